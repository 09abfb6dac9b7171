"""Prints a chart: its lines on the five-line staff, the meaning of its signs, and the caution."""

from collections.abc import Sequence

from game.engraving.ground import Pages
from game.reports.sheet import LEADING, MARGIN, SMALL, PrintedSheet
from game.wording import PLAY_LIGHTLY
from shared.charts import Chart
from shared.notation.chart_page import ChartLine, lay_out_chart
from shared.notation.page import PLAIN, Dress
from shared.orchestration import Setting

SPACE = 2.0
"""The most millimetres of a staff space."""

READABLE = 1.3
"""A chart is made smaller, down to so many millimetres a staff space, if it then fits one page.

It is a staff of 5.2 mm, as in music printed small (common practice, no source).
"""

COMFORTABLE = 1.6
"""The least where it takes more pages than one all the same."""

GAP, WIDEST_GAP = 2.5, 8.0
"""Millimetres between lines: at least, and where a page has room left."""


def chart_report(chart: Chart, setting: Setting, title: str, player: str, dress: Dress = PLAIN) -> bytes:
    """A chart of fills on a page, as the bytes of a PDF file; a ``player`` may be any words before the tempo."""
    sheet = PrintedSheet(title, _remark(setting, player))
    _draw(sheet, chart, setting, dress)
    return sheet.bytes()


def chart_pages(chart: Chart, setting: Setting, title: str, player: str, dress: Dress, page: Pages) -> None:
    """The same, drawn on the pages that are given."""
    _draw(PrintedSheet(title, _remark(setting, player), page=page), chart, setting, dress)


def _remark(setting: Setting, player: str) -> str:
    return f"{player}, {setting.tempo:.0f} beats a minute" if player else ""


def _draw(sheet: PrintedSheet, chart: Chart, setting: Setting, dress: Dress) -> None:
    told = _told(chart)
    draw_chart(sheet, chart, setting, dress, below=len(told) * SMALL * LEADING + 2)
    sheet.gap(2)
    for words in told:
        sheet.text(words, SMALL)


def _told(chart: Chart) -> list[str]:
    """Sentences under the chart: the meaning of its signs, and the caution."""
    told = []
    if chart.repeats:
        told.append("What stands between the signs with dots is played twice.")
    if any(map(chart.same_as_before, range(len(chart.bars)))):
        told.append("A slanted stroke with two dots: the bar before it once more.")
    return [*told, PLAY_LIGHTLY]


def draw_chart(sheet: PrintedSheet, chart: Chart, setting: Setting, dress: Dress = PLAIN, below: float = 0.0) -> None:
    """Draw the lines of a chart where a sheet stands, each as wide as the page, on as few pages as can be read.

    ``below`` them so many millimetres are kept free.
    """
    # Half a phrase in a line, or one that has no halves; of that one a part, where it has so many notes that the staff
    # would be smaller than in printed music.
    for across in (chart.phrase if chart.phrase % 2 else chart.phrase // 2, 2):
        narrow = lay_out_chart(chart, setting, across, dress, numbered=False)
        # One size for all lines: staves of two sizes on a page would look like two pieces.
        widest = min(SPACE, sheet.width / max(line.width for line in narrow))
        if widest >= READABLE:
            break
    room = sheet.room_left - below
    space, each = _setting(narrow, widest, room)
    lines = lay_out_chart(chart, setting, across, dress, sheet.width / space, numbered=False)
    gap = min(max(GAP, (room - space * _tallest(lines, each)) / each), WIDEST_GAP)
    for number, line in enumerate(lines):
        if number and number % each == 0:
            sheet.turn()
        above, _ = line.reach
        left = MARGIN
        for layout in line.layouts:
            sheet.page.paint(layout, left, sheet.y + above * space, space)
            left += layout.width * space
        sheet.gap(_height(line) * space + gap)


def _setting(lines: Sequence[ChartLine], widest: float, room: float) -> tuple[float, int]:
    """The staff space, at most ``widest``, and how many lines stand on each page, as evenly as can be."""
    for pages in range(1, len(lines) + 1):
        each = -(-len(lines) // pages)
        space = min(widest, (room - GAP * each) / _tallest(lines, each))
        if space >= min(widest, READABLE if pages == 1 else COMFORTABLE):
            break
    return space, each


def _tallest(lines: Sequence[ChartLine], each: int) -> float:
    """The height of the fullest page's lines, so many to a page, in staff spaces."""
    return max(sum(map(_height, lines[first : first + each])) for first in range(0, len(lines), each))


def _height(line: ChartLine) -> float:
    """From the highest ink of a line to its lowest, in staff spaces."""
    return sum(line.reach)
