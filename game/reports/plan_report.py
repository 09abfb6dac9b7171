"""A practice plan as a page to print, with boxes to tick."""

from game.reports.sheet import BODY, LEAD, LEADING, MARGIN, SMALL, PrintedSheet
from game.sessions.progress.plan import Plan, PlanStep, StepKind
from game.wording import counted, day_words

BOXES = 9.0
"""Millimetres from one box to the next."""


def plan_report(plan: Plan, player: str, now: float) -> bytes:
    """A plan for some days, as the bytes of a PDF file."""
    sheet = PrintedSheet(f"Practice plan: {player}", f"{plan.level.title}, {day_words(now)}, {_day(plan)}")
    sheet.text("Tick a box for each day that you did the step.", SMALL)
    for number, step in enumerate(plan.steps, 1):
        sheet.rule()
        _step(sheet, plan, number, step)
    sheet.rule()
    for note in plan.notes:
        sheet.text(note)
    return sheet.bytes()


def _step(sheet: PrintedSheet, plan: Plan, number: int, step: PlanStep) -> None:
    # A step with its boxes and figures is not torn over two pages: it is looked at while sticks are in the hands.
    sheet.room(36)
    left = sheet.width - plan.days * BOXES
    # A break is nothing to be ticked.
    for day in range(plan.days if step.kind is not StepKind.BREAK else 0):
        x = left + day * BOXES
        sheet.box(x, sheet.y + 1)
        sheet.page.say(str(day + 1), MARGIN + x + 2.25, sheet.y + 9, SMALL * 0.8, middle=True)
    sheet.text(f"{number}. {step.title}, {step.length}", LEAD, bold=True, width=left - 4)
    for line in step.told:
        sheet.text(line, BODY, width=left - 4)
    if step.kind is StepKind.BREAK:
        return
    sheet.gap(BODY * LEADING / 3)
    sheet.figures(plan.level, step.figures)


def _day(plan: Plan) -> str:
    """How long a day takes: the steps, as they were asked for, and the break apart from them."""
    rest = sum(step.minutes for step in plan.steps if step.kind is StepKind.BREAK)
    words = f"{counted(plan.minutes - rest, 'minute')} a day"
    return f"{words} and a break of {rest}" if rest else words
