"""A practice plan as a page to print, with boxes to tick."""

from game.reports.sheet import BODY, LEAD, MARGIN, SMALL, PrintedSheet
from game.sessions.progress.plan import Plan, PlanStep, StepKind
from game.wording import counted, day_words

BOX_STEP = 9.0
"""From one day's box to the next, in millimetres."""

UNDER_BOXES = 12.0
"""From the top of a step to the figures under its boxes, in millimetres."""

GAP = 1.8
"""Between the words of a step and the figures below them, in millimetres."""


def plan_report(plan: Plan, player: str, now: float) -> bytes:
    """A plan for some days, as the bytes of a PDF file."""
    sheet = PrintedSheet(f"Practice plan: {player}", f"{plan.level.title}, {day_words(now)}, {_day(plan)}")
    # Before the steps: they are read before the sticks are taken up, and never stand on a page of their own.
    for note in plan.notes:
        sheet.text(note, SMALL)
    sheet.text("Tick a box for each day that you did the step.", SMALL)
    for number, step in enumerate(plan.steps, 1):
        sheet.rule()
        _step(sheet, plan, number, step)
    return sheet.bytes()


def _step(sheet: PrintedSheet, plan: Plan, number: int, step: PlanStep) -> None:
    left = sheet.width - plan.days * BOX_STEP
    title = f"{number}. {step.title}, {step.length}"
    words = sheet.tall(title, LEAD, bold=True, width=left - 4) + sum(
        sheet.tall(line, width=left - 4) for line in step.told
    )
    ticked = step.kind is not StepKind.BREAK
    rows, high = sheet.rows(plan.level, step.figures, left) if ticked else (0, 0.0)
    # Two figures stand under the boxes; more take rows of their own, under the words.
    beside = rows == 1
    if not beside and ticked:
        high = sheet.rows(plan.level, step.figures)[1]
    # A step with its boxes and figures is not torn over two pages: it is looked at while sticks are in the hands.
    sheet.room(max(words, UNDER_BOXES + high) if beside else words + GAP + high)
    top = sheet.y
    # A break is nothing to be ticked.
    for day in range(plan.days if ticked else 0):
        x = left + day * BOX_STEP
        sheet.box(x, sheet.y + 1)
        sheet.page.say(str(day + 1), MARGIN + x + 2.25, sheet.y + 9, SMALL * 0.8, middle=True)
    sheet.text(title, LEAD, bold=True, width=left - 4)
    for line in step.told:
        sheet.text(line, BODY, width=left - 4)
    if beside:
        told, sheet.y = sheet.y, top + UNDER_BOXES
        sheet.figures(plan.level, step.figures, left)
        sheet.y = max(told, sheet.y)
    elif ticked:
        sheet.gap(GAP)
        sheet.figures(plan.level, step.figures)


def _day(plan: Plan) -> str:
    """How long a day takes: the steps, as they were asked for, and the break apart from them."""
    rest = sum(step.minutes for step in plan.steps if step.kind is StepKind.BREAK)
    words = f"{counted(plan.minutes - rest, 'minute')} a day"
    return f"{words} and a break of {rest}" if rest else words
