"""A round as one piece of music, on paper."""

from game.reports.sheet import MARGIN, SMALL, PrintedSheet
from shared.charts import Chart
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, reach
from shared.notation.page import Dress, lay_out_bar

ACROSS = 2
"""The bars of a line."""


def piece_report(chart: Chart, level: Level, player: str, tempo: float) -> bytes:
    """The bars in lines, what was missed left empty to be written in, as the bytes of a PDF file."""
    gaps = len(chart.gaps)
    missing = f", {gaps} left to write in" if gaps else ""
    sheet = PrintedSheet(f"A round of {player}", f"{level.title}, {tempo:.0f} beats a minute{missing}")
    for line in chart.systems(ACROSS):
        layouts = [_laid_out(chart, level, bar) for bar in line]
        above, below = reach(layouts)
        # No larger than that: a line with two sparse bars would shout beside the others.
        space = min(1.8, sheet.width / sum(layout.width for layout in layouts))
        sheet.room((above + below) * space + 6)
        left = MARGIN
        for layout in layouts:
            sheet.page.paint(layout, left, sheet.y + above * space, space)
            left += layout.width * space
        sheet.gap((above + below) * space + 6)
    sheet.gap(2)
    sheet.text("Under the bars: hi-hat and bass drum of a straight groove.", SMALL)
    return sheet.bytes()


def _laid_out(chart: Chart, level: Level, bar: int) -> Layout:
    return lay_out_bar(chart.meter, chart.figures(bar), Dress(spelled(level), opening=bar % ACROSS == 0))
