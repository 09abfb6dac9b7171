"""Prints a page for each pupil: figures that hold, mix-ups, the week's plan, and a bar to learn by heart."""

from collections.abc import Sequence
from dataclasses import replace

from game.reports.sheet import BODY, MARGIN, SMALL, PrintedSheet
from game.sessions.exam.outlook import percent
from game.sessions.progress.plan import DEFERS, StepKind
from game.sessions.pupils.pupil import PupilPage
from game.wording import day_words
from shared.levels import spelled
from shared.notation.engraved import beat_to_fill, reach
from shared.notation.page import Dress, lay_out_bar
from shared.sticking import natural

BAR_SPACE, FIGURE_SPACE = 2.4, 1.8
"""Millimetres of a staff space in the bar to learn by heart, at most, and of single figures: a child reads them."""

BOX_STEP = 8.0
"""From one day's box to the next, in millimetres."""


def pupils_report(pages: Sequence[PupilPage], title: str, now: float) -> bytes:
    """One page a pupil, in the order given, as the bytes of a PDF file; ``title`` names the file."""
    sheet: PrintedSheet | None = None
    for page in pages:
        remark = f"{page.level.title}, {day_words(now)}"
        if sheet is None:
            sheet = PrintedSheet(page.name, remark, document=title)
        else:
            sheet.begin(page.name, remark)
        _pupil(sheet, page)
    assert sheet is not None, "there is at least one pupil"
    return sheet.bytes()


def _pupil(sheet: PrintedSheet, page: PupilPage) -> None:
    sheet.heading("What holds")
    if page.holds:
        sheet.figures(page.level, page.holds, space=FIGURE_SPACE)
    else:
        sheet.text("Nothing yet: a figure holds once it was heard a few times and is named surely a day later.")
    sheet.heading("What is mixed up")
    for mix_up in page.mixed:
        sheet.taken(
            page.level, mix_up.heard, mix_up.said, f"in {percent(mix_up.times / mix_up.answers)} of the answers"
        )
    if not page.mixed:
        sheet.text("Nothing that happened more than once.")
    sheet.heading(f"This week: {page.plan.days} days, about {page.plan.minutes} minutes each")
    # Without the break: it is nothing to be ticked.
    steps = [step for step in page.plan.steps if step.kind is not StepKind.BREAK]
    for number, step in enumerate(steps, 1):
        # More names than that would fill lines of their own, and the page has little room.
        names = f": {step.names(page.level)}" if len(step.figures) <= 4 else ""
        sheet.room(BODY * 3)
        _boxes(sheet, page.plan.days)
        sheet.text(f"{number}. {step.title}{names}, {step.length}", width=sheet.width - page.plan.days * BOX_STEP - 4)
        sheet.gap(2)
    sheet.heading("By heart")
    sheet.text("Count it, clap it, play it, until you need no paper. Then write it down from memory.")
    _by_heart(sheet, page)
    sheet.gap(3)
    sheet.text(DEFERS[0], SMALL)


def _boxes(sheet: PrintedSheet, days: int) -> None:
    for day in range(days):
        sheet.box(sheet.width - (days - day) * BOX_STEP, sheet.y + 0.6)


def _by_heart(sheet: PrintedSheet, page: PupilPage) -> None:
    """The bar with its sticking, as wide as the page, and under it the same bar empty, to be filled from memory."""
    meter, figures = page.bar.meter, page.bar.figures
    dress = Dress(spelled(page.level), hands=natural(page.bar, page.hand))
    narrow = lay_out_bar(meter, figures, dress)
    space = min(BAR_SPACE, sheet.width / narrow.width)
    dress = replace(dress, least_beat=beat_to_fill([narrow], sheet.width / space))
    # With the beats of the full bar, so that the notes written below lie under those learnt.
    empty = lay_out_bar(meter, [None] * meter.beats, replace(dress, hands=None))
    for layout in (lay_out_bar(meter, figures, dress), empty):
        above, below = reach([layout])
        sheet.gap(4)
        sheet.room((above + below) * space + 4)
        sheet.page.paint(layout, MARGIN, sheet.y + above * space, space)
        sheet.gap((above + below) * space + 6)
