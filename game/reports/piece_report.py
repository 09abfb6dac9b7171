"""Prints a round as one piece of music."""

from dataclasses import replace

from game.reports.sheet import MARGIN, SMALL, PrintedSheet
from game.wording import counted
from shared.charts import Chart
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, reach
from shared.notation.page import Dress, lay_out_bar
from shared.notation.spacing import NARROWEST_BEAT

ACROSS = 2
"""The bars of a line."""

NUMBER_AT = 2.0
"""How far above the line the number of the first bar of a line stands, in staff spaces, over the clef."""

SPACE = 1.9
"""The most millimetres of a staff space: lines with two sparse bars would look far larger than the others."""

GAP, WIDEST_GAP = 9.0, 18.0
"""Millimetres between lines: room for a pencil, and at most, where a page has room left."""


def piece_report(chart: Chart, level: Level, player: str, tempo: float) -> bytes:
    """The bars in lines, what was missed left empty to be written in, as the bytes of a PDF file."""
    gaps = len(chart.gaps)
    missing = f", {counted(gaps, 'beat')} left to write in" if gaps else ""
    sheet = PrintedSheet(f"A round of {player}", f"{level.title}, {tempo:.0f} beats a minute{missing}")
    sheet.gap(3)
    beats = ACROSS * chart.meter.beats
    # Laid out twice: how wide a beat may be is known only when every line has been measured.
    narrow = [_line(chart, level, line, NARROWEST_BEAT) for line in chart.systems(ACROSS)]
    # One size, and beats of one width: staves and bar lines stand alike from line to line.
    space = min(SPACE, sheet.width / max(sum(layout.width for layout in line) for line in narrow))
    least = max(layout.beat_width for line in narrow for layout in line)
    used = sum(sum(reach(line)) * space for line in narrow) + 2 * SMALL
    gap = min(max(GAP, (sheet.room_left - used) / len(narrow)), WIDEST_GAP)
    for bars, line in zip(chart.systems(ACROSS), narrow, strict=True):
        ends = sum(layout.width - layout.beat_width * chart.meter.beats for layout in line)
        layouts = _line(chart, level, bars, max(least, (sheet.width / space - ends) / beats))
        above, below = reach(layouts)
        sheet.room((above + below) * space + gap)
        sheet.page.say(str(bars[0] + 1), MARGIN, sheet.y + (above - NUMBER_AT) * space, SMALL)
        left = MARGIN
        for layout in layouts:
            sheet.page.paint(layout, left, sheet.y + above * space, space)
            left += layout.width * space
        sheet.gap((above + below) * space + gap)
    sheet.text("In the sound, hi-hat and bass drum play a straight groove under these bars.", SMALL)
    return sheet.bytes()


def _line(chart: Chart, level: Level, bars: range, least_beat: float) -> list[Layout]:
    dress, last = Dress(spelled(level), least_beat=least_beat), len(chart.bars) - 1
    return [
        lay_out_bar(
            chart.meter, chart.figures(bar), replace(dress, opening=bar == bars[0], timed=bar == 0, final=bar == last)
        )
        for bar in bars
    ]  # fmt: skip
