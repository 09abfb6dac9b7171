"""The lesson of a class as a page to print."""

from game.reports.sheet import TAKEN, PrintedSheet
from game.sessions.lesson.summary import NO_PAIR, ClassSummary, mix_up_share, no_mix_up_words, summary_words
from game.sessions.progress.plan import DEFERS, PlanStep
from game.wording import day_words
from shared.levels import Level


def class_report(summary: ClassSummary, room: str, level: Level, now: float) -> bytes:
    """The figures a class heard and mixed up, and its next lesson, as the bytes of a PDF file."""
    sheet = PrintedSheet(f"Lesson: {room}", f"{level.title}, {day_words(now)}")
    sheet.text(summary_words(summary), bold=True)
    for team in summary.teams:
        sheet.text(str(team))
    sheet.heading("Mixed up in this lesson")
    for mix_up in summary.mix_ups:
        sheet.taken(level, mix_up.heard, mix_up.said, f"by {mix_up_share(mix_up)}")
    if not summary.mix_ups:
        unknown = " What the others took them for is not known." if summary.weak else ""
        sheet.text(f"{no_mix_up_words(summary, level)}{unknown}")
    sheet.heading("Next lesson")
    for step in summary.next_lesson:
        _next_step(sheet, level, step)
    everything = "Then a round of everything, so that the pairs are not all there is."
    sheet.text(everything if summary.next_lesson else NO_PAIR)
    sheet.gap(4)
    sheet.text(DEFERS[1])
    return sheet.bytes()


def _next_step(sheet: PrintedSheet, level: Level, step: PlanStep) -> None:
    title = f"{' and '.join(map(level.named, step.figures))} side by side, {step.minutes} minutes"
    words = sum(sheet.tall(line, width=TAKEN - 4) for line in step.told)
    # Words and figures belong together on one page.
    sheet.room(sheet.tall(title, bold=True) + max(words, sheet.rows(level, step.figures, TAKEN)[1]))
    sheet.text(title, bold=True)
    top = sheet.y
    for line in step.told:
        sheet.text(line, width=TAKEN - 4)
    told, sheet.y = sheet.y, top
    sheet.figures(level, step.figures, TAKEN)
    sheet.y = max(told, sheet.y) + 1.5
