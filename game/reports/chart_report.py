"""A chart on paper: its lines on the five-line staff, and what a player must know to play it."""

from game.reports.sheet import BODY, MARGIN, SMALL, PrintedSheet
from shared.charts import Chart
from shared.notation.chart_page import lay_out_chart
from shared.notation.page import PLAIN, Dress
from shared.orchestration import Setting

ACROSS = 2
"""The bars of a line: so few that the staff is as large as in printed music."""

SPACE = 2.0
"""Millimetres of a staff space, unless a line would then be wider than the page."""

GAP = 5.0
"""Millimetres between lines."""


def chart_report(chart: Chart, setting: Setting, title: str, player: str, dress: Dress = PLAIN) -> bytes:
    """A chart of fills on a page, as the bytes of a PDF file; a ``player`` may be any words before the tempo."""
    sheet = PrintedSheet(title, f"{player}, {setting.tempo:.0f} beats a minute" if player else "")
    draw_chart(sheet, chart, setting, dress)
    sheet.gap(2)
    if chart.repeats:
        sheet.text("What stands between the signs with dots is played twice.", BODY)
    if any(map(chart.same_as_before, range(len(chart.bars)))):
        sheet.text("A slanted stroke with two dots: the bar before it once more.", BODY)
    sheet.text("Play lightly, and rest if a hand hurts.", SMALL)
    return sheet.bytes()


def draw_chart(sheet: PrintedSheet, chart: Chart, setting: Setting, dress: Dress = PLAIN) -> None:
    """Draw the lines of a chart where a sheet stands, each as wide as the page."""
    for line in lay_out_chart(chart, setting, ACROSS, dress, width=sheet.width / SPACE):
        # Smaller than SPACE where a line of dense bars would not fit the page otherwise.
        space = sheet.width / line.width
        above, below = line.reach
        sheet.room((above + below) * space + GAP)
        left = MARGIN
        for layout in line.layouts:
            sheet.page.paint(layout, left, sheet.y + above * space, space)
            left += layout.width * space
        sheet.gap((above + below) * space + GAP)
