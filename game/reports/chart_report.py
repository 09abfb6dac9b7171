"""A chart on paper: its lines on the five-line staff, and what a player must know to play it."""

from game.engraving.ground import Pages
from game.reports.sheet import LEADING, MARGIN, SMALL, PrintedSheet
from shared.charts import Chart
from shared.notation.chart_page import ChartLine, lay_out_chart
from shared.notation.page import PLAIN, Dress
from shared.orchestration import Setting

ACROSS = 2
"""The bars of a line: so few that the staff is as large as in printed music."""

SPACE = 2.0
"""The most millimetres of a staff space."""

READABLE = 1.3
"""A chart is made smaller, down to so many millimetres a staff space, if it then fits one page.

It is a staff of 5.2 mm, as in music printed small (common practice, no source).
"""

GAP, WIDEST_GAP = 2.5, 8.0
"""Millimetres between lines: at least, and where a page has room left."""

LIGHTLY = "Play lightly, and rest if a hand hurts."


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
    return [*told, LIGHTLY]


def draw_chart(sheet: PrintedSheet, chart: Chart, setting: Setting, dress: Dress = PLAIN, below: float = 0.0) -> None:
    """Draw the lines of a chart where a sheet stands, each as wide as the page, all on one page where they are then
    still readable; ``below`` them so many millimetres are kept free."""
    narrow = lay_out_chart(chart, setting, ACROSS, dress, numbered=False)
    # One size for all lines: staves of two sizes on a page would look like two pieces.
    widest = min(SPACE, sheet.width / max(line.width for line in narrow))
    room = sheet.left - below
    fitting = (room - GAP * len(narrow)) / sum(_height(line) for line in narrow)
    # What would be too small to read from a stand goes on several pages instead, each line as wide as the page.
    space = min(widest, fitting) if fitting >= min(READABLE, widest) else widest
    lines = lay_out_chart(chart, setting, ACROSS, dress, sheet.width / space, numbered=False)
    spare = (room - space * sum(map(_height, lines))) / len(lines)
    gap = min(max(GAP, spare), WIDEST_GAP)
    for line in lines:
        above, _ = line.reach
        sheet.room(_height(line) * space + gap)
        left = MARGIN
        for layout in line.layouts:
            sheet.page.paint(layout, left, sheet.y + above * space, space)
            left += layout.width * space
        sheet.gap(_height(line) * space + gap)


def _height(line: ChartLine) -> float:
    """From the highest ink of a line to its lowest, in staff spaces."""
    return sum(line.reach)
