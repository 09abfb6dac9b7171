"""Practises one step of a plan: bars of its figures, played as the plan says, until its minutes are over."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil
from random import Random

from game.learning import Question
from game.learning.coach import Coach
from game.learning.introduction import ALL_BEATS, AMONG_ALL, BETWEEN_TWO, TWO_BEATS
from game.learning.question import Reason, question_id
from game.sessions.practice.asker import MarkedByCoach
from game.sessions.practice.round import BarResult, PracticeRound
from game.sessions.progress.plan import PlanStep, StepKind
from game.wording import counted
from shared.bars import Bar
from shared.figures import Figure
from shared.likeness import distance
from shared.orchestration import ORCHESTRATIONS, Setting, groove_bar

LONGEST_BAR = 60.0
"""The most seconds that one bar may take of a step's minutes: whoever was called away has not practised meanwhile."""

REASONS = {
    StepKind.SETTLE: "known",
    StepKind.CONTRAST: "mixed up",
    StepKind.BRING_BACK: "away",
    StepKind.MEET: "new",
    StepKind.ROUND: "known",
}
"""The reason for a bar of a step, as the log keeps it."""


class StepDrill(MarkedByCoach):
    """Asks bars of a step's figures, the way round the kit and at the tempo that the step says.

    ``known`` are the figures that the player was asked before: they are on offer with the step's own.  The figures of
    a step that meets some are each met first, and asked alone.
    """

    def __init__(self, coach: Coach, step: PlanStep, known: Sequence[Figure], seed: int = 0) -> None:
        super().__init__(coach)
        self.step = step
        self.choices = tuple(figure for figure in coach.level.figures if figure in known or figure in step.figures)
        self._to_meet = [figure for figure in step.figures if step.kind is StepKind.MEET]
        self._known = list(known)
        # Of a lone figure every bar would be the same: the known one that is most like it goes with it.
        self._figures = step.figures if len(step.figures) > 1 else self._beside(step.figures[0])
        if len(self.choices) < 2:
            self.choices = self._figures
        self._random = Random(f"step/{seed}")
        self._seed = seed
        self._asked = 0
        self._bag: list[Figure] = []
        self._last: Bar | None = None

    def ask(self, now: float) -> Question:
        """The next bar: one that meets a figure, or one of all the step's figures in an order that is new."""
        level, step = self.coach.level, self.step
        self._asked += 1
        places = ORCHESTRATIONS[step.orchestration].asked(level.meter)
        setting = Setting(step.orchestration, step.tempo, min(level.groove_bars), seed=self._random.getrandbits(31))
        name = question_id("step", level.name, step.key, self._seed, self._asked, now)
        # More than two do not fit beside the reason, and would tell a player nothing there.
        shown = step.figures if len(step.figures) <= 2 else ()
        reason = Reason(f"A step of your plan: {step.kind.value}.", REASONS[step.kind], shown)
        if self._to_meet:
            new = self._to_meet.pop(0)
            choices = self._beside(new)
            bar, asked = groove_bar(level.meter).with_figures({places[-1]: new}), places[-1:]
            self._known.append(new)
            return Question(bar, asked, choices, self.coach.paced(setting, [new]), reason, name, (new,))
        bar = self._bar(places)
        setting = self.coach.paced(setting, [bar.figures[place] for place in places])
        return Question(bar, self._asked_of(places), self.choices, setting, reason, name)

    def _asked_of(self, places: tuple[int, ...]) -> tuple[int, ...]:
        """The places that are asked: of figures that were met lately no more at a time than practice asks of them."""
        level, courses = self.coach.level, self.coach.steps.courses
        steps = [courses[level.figures.index(figure)] for figure in self._figures]
        least = min((course.step for course in steps if course.met), default=ALL_BEATS)
        beats = {BETWEEN_TWO: 1, AMONG_ALL: 1, TWO_BEATS: 2}.get(least, len(places))
        return tuple(sorted(self._random.sample(places, min(beats, len(places)))))

    def _beside(self, new: Figure) -> tuple[Figure, ...]:
        """A new figure and the one most like it, of those known or of the step, in the level's order."""
        others = [figure for figure in (*self._known, *self.step.figures) if figure != new]
        rival = min(others or self.coach.level.figures, key=lambda figure: (figure == new, distance(new, figure)))
        return tuple(figure for figure in self.coach.level.figures if figure in (new, rival))

    def _bar(self, places: tuple[int, ...]) -> Bar:
        """The figures in turn, so that each comes as often as any other; where two fit into a bar, never just one."""
        chosen = [self._next() for _ in places]
        bar = self._laid(places, chosen)
        # A few figures have few orders: after twenty shuffles a repeated bar is taken as it is.
        for _ in range(20):
            if bar != self._last:
                break
            self._random.shuffle(chosen)
            bar = self._laid(places, chosen)
        self._last = bar
        return bar

    def _laid(self, places: tuple[int, ...], figures: Sequence[Figure]) -> Bar:
        return groove_bar(self.coach.level.meter).with_figures(dict(zip(places, figures, strict=True)))

    def _next(self) -> Figure:
        # Drawn without putting back: each figure comes once before any comes again.
        if not self._bag:
            self._bag = self._random.sample(self._figures, len(self._figures))
        return self._bag.pop()


@dataclass
class StepRound(PracticeRound):
    """The bars of a step, which ends with the bar in which its ``minutes`` are over."""

    minutes: int = 1
    spent: float = field(default=0.0, init=False)
    _since: float = field(default=0.0, init=False)

    def __post_init__(self) -> None:
        super().__post_init__()
        self._since = self.started

    @property
    def complete(self) -> bool:
        """Whether the minutes are over."""
        return self.left <= 0

    @property
    def left(self) -> float:
        """The seconds that are left."""
        return 60.0 * self.minutes - self.spent

    @property
    def place(self) -> str:
        left = ceil(self.left / 60)
        return f"Bar {self.number}, {counted(left, 'minute')} left" if left > 0 else f"Bar {self.number}, the last"

    def _reveal(self, result: BarResult, now: float) -> None:
        # Not below 0, for a clock that was set back must not lengthen the step.
        self.spent += min(LONGEST_BAR, max(0.0, now - self._since))
        self._since = max(now, self._since)
        super()._reveal(result, now)
