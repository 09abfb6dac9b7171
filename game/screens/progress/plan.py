"""The practice plan: what to do, in what order and how; a step can be begun from here, and all of it printed."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from pygame import Rect, Surface

from game.reports.plan_report import plan_report
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.practice.drilling import drill
from game.screens.practice.question import open_practice
from game.screens.progress.progress import bring_in
from game.screens.saving import save
from game.sessions.progress.plan import Kind, Step, done_since, plan_for
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import figure_line
from game.widgets.pairs import draw_figures
from game.widgets.paragraphs import paragraphs
from game.wording import counted

MINUTES = (("10", "10 minutes"), ("15", "15 minutes"), ("25", "25 minutes"))


class PlanPage(Screen):
    """The plan of whoever plays, for their level."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._minutes = "15"
        self._chosen = 0
        self._told = ""
        self.focus = "steps"

    def entered(self) -> None:
        """Plan from what the records hold now: steps may have been done meanwhile."""
        self._answers = self.context.records.answers(self.context.player)
        self._plan = plan_for(self.context.level, self._answers, self.context.now(), int(self._minutes))
        self._chosen = min(self._chosen, len(self._plan.steps) - 1)
        self.stale = True

    def heading(self) -> Heading:
        return Heading("Practice plan", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            Key("b", "begin this step", self._begin),
            Key("p", "save to print", self._print),
            Key("escape", "home", Pop),
        )

    def dropped(self, path: Path) -> Next:
        self._told = bring_in(self.context, path)
        self.entered()
        return None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        minutes, body, told, buttons = rows(box, [look.u(TARGET), None, look.line("small"), look.u(TARGET)], look.u(12))
        left, right = columns(body, [box.w * 0.42, None], look.u(40))
        begin, sheet, _ = columns(buttons, [look.u(280), look.u(300), None], look.u(20))
        lines = [Row(f"{k}  {step.kind.value.capitalize()}", self._remark(step)) for k, step in self._numbered()]
        hint = "A pupil's history file can be dropped on this window, to plan for that pupil."
        return [
            Choice("minutes", minutes, MINUTES, self._minutes, self._choose_minutes),
            ListBox("steps", left, lines, self._chosen, self._choose, self._begin, look.u(TARGET - 4)),
            *self._step(look, right, self._plan.steps[self._chosen]),
            Label("told", told, self._told or hint, "small", middle=True),
            Button("begin", begin, "Begin this step", self._begin, main=True, key="b"),
            Button("print", sheet, "Save to print (PDF)", self._print, key="p"),
        ]

    def _numbered(self) -> list[tuple[int, Step]]:
        return list(enumerate(self._plan.steps, 1))

    def _remark(self, step: Step) -> str:
        minutes = counted(step.minutes, "minute")
        today = datetime.fromtimestamp(self.context.now()).replace(hour=0, minute=0, second=0, microsecond=0)
        done = step.kind is not Kind.BREAK and done_since(step, self._answers, today.timestamp())
        return f"{minutes}, heard today" if done else minutes

    def _step(self, look: Look, box: Rect, step: Step) -> list[Widget]:
        title, figures, words = rows(box, [look.line("lead"), look.u(120), None], look.u(12))
        told = [step.why]
        if step.kind is not Kind.BREAK:
            told.append(f"{step.played.capitalize()}, {step.tempo:.0f} beats a minute.")
        if self._chosen == 0 or step.kind is Kind.BREAK:
            told.extend(self._plan.notes)
        return [
            Label("step", title, self._title(step), "lead", bold=True, middle=True),
            Picture("figures", figures, lambda canvas, look, box: self._draw(canvas, look, box, step)),
            *paragraphs(look, words, "why", told),
        ]

    def _title(self, step: Step) -> str:
        """The figures of a step, or where they are many what it is for."""
        return step.names if 0 < len(step.figures) <= 4 else step.kind.value.capitalize()

    def _draw(self, canvas: Surface, look: Look, box: Rect, step: Step) -> None:
        if step.kind is Kind.ROUND:
            figure_line(canvas, look, box, self.context.level)
        elif step.figures:
            draw_figures(canvas, look, box, self.context.level, step.figures)

    # Acts

    def _choose_minutes(self, value: str) -> None:
        self._minutes = value
        self.entered()

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _begin(self) -> Next:
        step = self._plan.steps[self._chosen]
        if step.kind is Kind.BREAK:
            self._told = "Rest now; the next step waits."
            return None
        if step.kind is Kind.CONTRAST:
            return Push(drill(self.context, step.figures[0], step.figures[1]))
        return Push(open_practice(self.context))

    def _print(self) -> Next:
        name = self.context.player.name
        data = plan_report(self._plan, name, self.context.now())
        self._told = save(self.context, f"plan {name}", ".pdf", data)
        return None
