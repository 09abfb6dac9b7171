"""Between the steps of a plan: the end of one, which leads to the next, and the break."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

from pygame import Rect, Surface

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.sessions.practice.round import PracticeRound
from game.sessions.progress.plan import DEFERS, Plan, PlanStep, StepKind
from game.widgets.base import Draw, Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.widgets.notation import draw_row, figure_line, tile_layout
from game.widgets.texts import paragraphs
from game.wording import counted
from shared.levels import Level, spelling_in

MOST_IN_A_ROW = 4
"""So many figures of a step are drawn side by side; more of them as lines across."""


@dataclass(frozen=True)
class Following:
    """A step of a plan, its number from 1, and what opens the page of the step after it, where there is one."""

    plan: Plan
    number: int
    open_next: Callable[[], Screen] | None

    @property
    def step(self) -> PlanStep:
        """The step itself."""
        return self.plan.steps[self.number - 1]

    @property
    def next(self) -> PlanStep | None:
        """The step after it."""
        return self.plan.steps[self.number] if self.number < len(self.plan.steps) else None


def figures_of(level: Level, step: PlanStep, counts: bool = True) -> Draw:
    """The function that draws a step's figures into a box; without ``counts`` where these would be too small."""

    def draw(canvas: Surface, look: Look, box: Rect) -> None:
        if len(step.figures) > MOST_IN_A_ROW:
            figure_line(canvas, look, box, level, step.figures)
        else:
            draw_row(canvas, look, box, [tile_layout(one, spelling_in(level, one), counts) for one in step.figures])

    return draw


class BetweenSteps(Screen):
    """A page between two steps: what was done, what comes next, and the key that goes on."""

    def __init__(self, context: Context, at: Following) -> None:
        super().__init__(context)
        self.at = at
        self.focus = "next"

    def heading(self) -> Heading:
        return Heading("Practice plan", self.context.level.title, f"Step {self.at.number} of {len(self.at.plan.steps)}")

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "the plan", Pop),)

    def _coming(self, look: Look, box: Rect) -> list[Widget]:
        """The next step: its title, its figures and what it is."""
        step = self.at.next
        if step is None:
            return [*paragraphs(look, box, "why", ["That was the last step. Enough for today.", *self.at.plan.notes])]
        title, figures, words = rows(box, [look.line("lead"), look.u(120 if step.figures else 1), None], look.u(10))
        return [
            Label("coming", title, f"Next: {step.title}, {step.length}", "lead", bold=True, middle=True),
            Picture("figures", figures, figures_of(self.context.level, step)),
            *paragraphs(look, words, "why", step.told),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        begin, plan, _ = columns(box, [look.u(320), look.u(220), None], look.u(20))
        back = Button("plan", plan, "Back to the plan", Pop)
        if self.at.next is None:
            return [Button("next", begin, "Back to the plan", Pop, main=True)]
        words = "Take the break" if self.at.next.kind is StepKind.BREAK else "Begin the next step"
        return [Button("next", begin, words, self._go_on, main=True), back]

    def _go_on(self) -> Next:
        # In place of this page, so that Esc leads from every step straight back to the plan.
        return Replace(self.at.open_next()) if self.at.open_next else Pop()


class StepEnd(BetweenSteps):
    """A step that is done."""

    def __init__(self, context: Context, at: Following, finished: PracticeRound) -> None:
        super().__init__(context, at)
        self._round = finished

    def body(self, look: Look, box: Rect) -> list[Widget]:
        done, figures, words, rule, coming, buttons = rows(
            box, [look.line("title"), look.u(110), look.line("lead"), look.u(14), None, look.u(TARGET)], look.u(8)
        )
        return [
            Label("done", done, f"{self.at.step.title}: done", "title", bold=True, middle=True),
            Picture("figures done", figures, figures_of(self.context.level, self.at.step)),
            Label("told", words, self._told(), "lead", middle=True),
            Picture("rule", rule, _rule),
            *self._coming(look, coming),
            *self._buttons(look, buttons),
        ]

    def _told(self) -> str:
        done = self._round
        return f"{counted(len(done.results), 'bar')}, {done.right} of {done.beats} beats right."


class Rest(BetweenSteps):
    """A break between two steps; ``done`` keeps that it was taken, once its minutes are over."""

    def __init__(self, context: Context, at: Following, done: Callable[[], None]) -> None:
        super().__init__(context, at)
        # By the clock and not by frames: the window may be hidden, and is then hardly asked to draw.
        self._until = context.now() + 60 * at.step.minutes
        self._done: Callable[[], None] | None = done
        # No number of seconds that can be left, so that the first frame paints one.
        self._shown = -1

    def tick(self, now: float) -> list[Rect]:
        left = self._left
        if not left and self._done:
            # Forgotten before it is called: if keeping fails, the next tick must not try again behind the notice.
            done, self._done = self._done, None
            done()
        if left != self._shown:
            self._shown, self.stale = left, True
        return super().tick(now)

    @property
    def _left(self) -> int:
        """The seconds that are left, whole ones."""
        return max(0, ceil(self._until - self.context.now()))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        clock, words, rule, coming, buttons = rows(
            box, [look.line("huge"), look.line() * 4, look.u(14), None, look.u(TARGET)], look.u(10)
        )
        left = self._left
        shown = f"Rest: {left // 60}:{left % 60:02}" if left else "The break is over."
        return [
            Label("clock", clock, shown, "huge", bold=True, middle=True),
            *paragraphs(look, words, "rest", [self.at.step.why, DEFERS[1]]),
            Picture("rule", rule, _rule),
            *self._coming(look, coming),
            *self._buttons(look, buttons),
        ]


def _rule(canvas: Surface, look: Look, box: Rect) -> None:
    """A hairline across."""
    canvas.fill(look.theme.rule, (box.x, box.centery, box.w, look.u(1)))
