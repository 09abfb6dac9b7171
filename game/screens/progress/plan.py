"""The practice plan: what to do, in what order and how; a step can be begun from here, and all of it printed."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from pygame import Rect

from game.learning.evidence import first_tries
from game.reports.plan_report import plan_report
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.practice.question import page_of
from game.screens.progress.progress import bring_in
from game.screens.progress.step import MOST_IN_A_ROW, Following, Rest, StepEnd, figures_of
from game.screens.saving import save
from game.sessions.practice.round import PracticeRound
from game.sessions.practice.step import StepDrill, StepRound
from game.sessions.progress.day import PlanDay
from game.sessions.progress.plan import Plan, PlanStep, StepKind, plan_for
from game.widgets.base import Draw, Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.texts import paragraphs
from game.wording import in_words, local_day

MINUTES = (("10", "10 minutes"), ("15", "15 minutes"), ("25", "25 minutes"))

USUAL_MINUTES = "15"

KEPT = "plan steps"
"""The name under which it is kept what was done of the plans, day by day."""


def open_step(context: Context, plan: Plan, number: int, begun: float) -> Screen:
    """The page on which a step of a plan begins, by its number from 1; its end leads to the next.

    It counts for the day on which the plan was ``begun`` (seconds since the epoch), though midnight may have passed.
    """
    # A function and no page yet: what the player knows is read when the step begins.
    follows = partial(open_step, context, plan, number + 1, begun) if number < len(plan.steps) else None
    at = Following(plan, number, follows)
    if at.step.kind is StepKind.BREAK:
        return Rest(context, at, lambda: _finish(context, at.step, begun))

    def end(finished: PracticeRound) -> Screen:
        _finish(context, at.step, begun)
        return StepEnd(context, at, finished)

    return page_of(context, _round(context, at.step, end))


def _round(context: Context, step: PlanStep, end: Callable[[PracticeRound], Screen]) -> PracticeRound:
    """The bars of a step, which the player's coach marks; at the step's tempo, whatever was slowed down before."""
    context.listening = replace(context.listening, pace=1.0)
    asked = {row.heard for row in first_tries(context.records.answers(context.player))}
    known = [figure for figure in context.level.figures if figure.count in asked]
    drill = StepDrill(context.coach(), step, known, context.seed())
    begun, second_tries = context.now(), context.settings.second_try
    if step.kind is StepKind.ROUND:
        return PracticeRound(drill, context.keep, begun, second_tries=second_tries, end=end)
    return StepRound(drill, context.keep, begun, second_tries=second_tries, end=end, minutes=step.minutes)


def _day(context: Context, at: float) -> PlanDay:
    """The plans of the day of a time for the level at hand, as they are kept."""
    kept = context.records.derived(context.player, KEPT)
    return PlanDay(context.level, at, kept if isinstance(kept, dict) else {})


def _finish(context: Context, step: PlanStep, begun: float) -> None:
    """Keep that a step was done, of the plan of the day on which it was begun."""
    context.records.keep_derived(context.player, KEPT, _day(context, begun).finished(step, context.now()))


class PlanPage(Screen):
    """The plan of whoever plays, for their level."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.minutes = ""
        self.chosen = 0
        self._told = ""
        self.focus = "steps"

    def entered(self) -> None:
        """Show the plan that the day began with, else one from what the records hold now, at its first open step."""
        context, now = self.context, self.context.now()
        day, self._day = _day(context, now), local_day(now)
        # As chosen on this page, else as the plan that was begun today, else as usual.
        self.minutes = self.minutes or (day.minutes if day.minutes in dict(MINUTES) else USUAL_MINUTES)
        minutes = int(self.minutes)
        plan = day.plan(minutes)
        exam = context.exam_day(context.level)
        if plan is None:
            plan = plan_for(context.level, context.records.answers(context.player), now, minutes, exam)
        else:
            plan = plan.reaching(exam, now)
        self.plan, self._done = plan, day.done
        self.chosen = next((k for k, step in enumerate(plan.steps) if step.key not in day.done), 0)
        self.stale = True

    def tick(self, now: float) -> list[Rect]:
        # A page that is left open overnight shows the new day's plan, with nothing done of it.
        if local_day(self.context.now()) != self._day:
            self.entered()
        return super().tick(now)

    def heading(self) -> Heading:
        return Heading("Practice plan", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            Key("b", "begin this step", self._begin),
            Key("p", "save to print", self._print),
            Key("escape", "back", Pop),
        )

    def dropped(self, path: Path) -> Next:
        self._told = bring_in(self.context, path)
        self.entered()
        return None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        minutes, body, told, buttons = rows(box, [look.u(TARGET), None, look.line(), look.u(TARGET)], look.u(12))
        left, right = columns(body, [box.w * 0.46, None], look.u(40))
        begin, sheet, _ = columns(buttons, [look.u(280), look.u(300), None], look.u(20))
        lines = [Row(f"{k}  {step.title}", self._remark(step), self._drawn(step)) for k, step in self._numbered()]
        # Higher rows where there are few, so that the list fills its column and the figures in it can be read.
        high = max(look.u(TARGET - 4), min(look.u(64), left.h // len(lines)))
        return [
            Choice("minutes", minutes, MINUTES, self.minutes, self._choose_minutes),
            ListBox("steps", left, lines, self.chosen, self._choose, self._begin, high),
            *self._step(look, right, self.plan.steps[self.chosen]),
            Label("told", told, self._told or self._together(), middle=True),
            Button("begin", begin, "Begin this step", self._begin, main=True, key="b"),
            Button("print", sheet, "Save to print (PDF)", self._print, key="p"),
        ]

    def _together(self) -> str:
        """How long all of it takes, and why it is shorter than was chosen."""
        length = f"Together {in_words(self.plan.minutes, 'minute')}."
        spare = int(self.minutes) - self.plan.minutes
        # A minute or two are lost to steps that did not fit, and need no word.
        return f"{length} Nothing else has to be drilled; ordinary practice fills the rest." if spare > 2 else length

    def _numbered(self) -> list[tuple[int, PlanStep]]:
        return list(enumerate(self.plan.steps, 1))

    def _remark(self, step: PlanStep) -> str:
        # The minutes alone: before them a round tells its bars, for which the row has no room.
        return "done today" if step.key in self._done else step.length.rpartition("about ")[2]

    def _drawn(self, step: PlanStep) -> Draw | None:
        # More would be too small in a line of the list; beside it the chosen step shows them all.
        return figures_of(self.context.level, step, counts=False) if 0 < len(step.figures) <= MOST_IN_A_ROW else None

    def _step(self, look: Look, box: Rect, step: PlanStep) -> list[Widget]:
        head = f"{step.title}, {step.length}"
        high = look.height(head, box.w, "lead", True)
        title, figures, words = rows(box, [high, look.u(120 if step.figures else 1), None], look.u(12))
        told = [*step.told]
        if self.chosen == 0 or step.kind is StepKind.BREAK:
            told.extend(self.plan.notes)
        return [
            Label("step", title, head, "lead", bold=True, middle=True),
            Picture("figures", figures, figures_of(self.context.level, step)),
            *paragraphs(look, words, "why", told),
        ]

    def _choose_minutes(self, value: str) -> None:
        self.minutes = value
        self.entered()

    def _choose(self, place: int) -> None:
        self.chosen = place

    def _begin(self) -> Next:
        context, now, minutes = self.context, self.context.now(), int(self.minutes)
        context.records.keep_derived(context.player, KEPT, _day(context, now).begun(minutes, self.plan))
        return Push(open_step(context, self.plan, self.chosen + 1, now))

    def _print(self) -> Next:
        name = self.context.player.name
        data = plan_report(self.plan, name, self.context.now())
        self._told = save(self.context, f"plan {name}", ".pdf", data)
        return None
