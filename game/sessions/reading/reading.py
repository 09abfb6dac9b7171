"""Reading the other way: notation is shown, and the ear finds what belongs to it.

*Which bar?*  A bar is shown; three or four are heard, and one of them is what is written.
*Which beat?*  A bar is shown; what is heard differs from it on one beat.
The bars that are not the one shown differ from it by figures that are easily taken for those written.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from random import Random

import numpy as np
from numpy.typing import NDArray

from game.learning.confusions import Confusions
from game.sessions import SessionError
from game.sessions.answering.sheet import Sheet
from game.sessions.exam.paper import draw_paper, evenly
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import Setting

Floats = NDArray[np.float64]

BARS = 10
"""How many questions make a round."""

FEWEST_BARS, MOST_BARS = 3, 4


class Task(Enum):
    """The two tasks of reading."""

    WHICH_BAR = "which bar"
    WHICH_BEAT = "which beat"


@dataclass(frozen=True)
class ReadingQuestion:
    """``shown`` is what is written, ``heard`` the bars that sound, ``answer`` the right one, from 0.

    For *which beat* one bar is heard, and ``answer`` is the place in the bar that differs.
    """

    task: Task
    shown: Bar
    heard: tuple[Bar, ...]
    answer: int
    setting: Setting

    @property
    def options(self) -> int:
        """How many answers there are to choose from."""
        return len(self.heard) if self.task is Task.WHICH_BAR else self.shown.meter.beats


@dataclass(frozen=True)
class ReadingResult:
    """An answered question: which option was picked, from 0, and how many bars were heard."""

    question: ReadingQuestion
    picked: int
    hearings: int

    @property
    def right(self) -> bool:
        """Whether the option was the right one."""
        return self.picked == self.question.answer


class ReadingRound:
    """A round of ten questions of one task.

    ``confusion`` (K, K) is what the player is likely to say on hearing each of the level's figures, to
    choose what the wrong bars hold; without it, what sounds alike.  ``seed`` settles all that is random.
    ``number`` is that of the question at hand, from 1; once the last was left the round is ``finished``.
    """

    def __init__(self, level: Level, task: Task, seed: int, confusion: Floats | None = None) -> None:
        self.questions = reading_questions(level, task, seed, confusion)
        self.results: list[ReadingResult] = []
        self.number = 1
        self.finished = False
        self._ask()

    def _ask(self) -> None:
        # One place to answer, and as choices the numbers of the bars or beats.
        self.sheet: Sheet[int] = Sheet((0,), range(self.question.options))
        self._heard: Counter[int] = Counter()

    @property
    def revealed(self) -> bool:
        """Whether the question at hand was answered, so that the right option is shown."""
        return self.sheet.closed

    @property
    def heard(self) -> tuple[int, ...]:
        """How often each bar of the question at hand was heard before the answer."""
        return tuple(self._heard[option] for option in range(len(self.question.heard)))

    @property
    def question(self) -> ReadingQuestion:
        """The question at hand."""
        return self.questions[self.number - 1]

    @property
    def right(self) -> int:
        """How many questions were answered right so far."""
        return sum(result.right for result in self.results)

    @property
    def missed(self) -> tuple[tuple[Figure, Figure], ...]:
        """The figures that were not told apart, each as written and as heard, the most frequent first."""
        wrong = Counter(_differing(one) for one in self.results if not one.right)
        return tuple(pair for pair, _ in wrong.most_common())

    @property
    def may_pick(self) -> bool:
        """Whether every bar was heard, so that one can be picked."""
        return not self.revealed and len(self._heard) == len(self.question.heard)

    def hear(self, option: int, now: float) -> Bar:
        """Hear one of the bars, by its number from 0, as often as wanted; ``now`` in epoch seconds."""
        if not 0 <= option < len(self.question.heard):
            raise SessionError(f"bar {option + 1}: choose from 1 to {len(self.question.heard)}")
        self.sheet.hear(now)
        # Heard again once the answer is known, it counts no more.
        if not self.revealed:
            self._heard[option] += 1
        return self.question.heard[option]

    def pick(self, option: int) -> ReadingResult:
        """Answer; the right one may be shown from now on."""
        if not self.may_pick:
            raise SessionError("hear every bar before you pick one")
        if not self.sheet.pick(option):
            raise SessionError(f"answer {option + 1}: choose from 1 to {self.question.options}")
        result = ReadingResult(self.question, option, self.sheet.hearings)
        self.results.append(result)
        self.sheet.closed = True
        return result

    def go_on(self) -> None:
        """Leave the revealed question for the next."""
        if not self.revealed:
            raise SessionError("answer this one first")
        if self.number == len(self.questions):
            self.finished = True
        else:
            self.number += 1
            self._ask()


def _differing(wrong: ReadingResult) -> tuple[Figure, Figure]:
    """The first beat in which what was taken for the written bar differs from it: as written, and as heard."""
    shown, heard = wrong.question.shown, wrong.question.heard
    taken = heard[wrong.picked] if wrong.question.task is Task.WHICH_BAR else heard[0]
    return next(pair for pair in zip(shown.figures, taken.figures, strict=True) if pair[0] != pair[1])


def reading_questions(
    level: Level, task: Task, seed: int, confusion: Floats | None = None
) -> tuple[ReadingQuestion, ...]:
    """The questions of a round; every answer comes as often as any other, or once more."""
    random = Random(f"reading/{task.value}/{level.name}/{seed}")
    table = Confusions(level.figures).mistakes() if confusion is None else confusion
    written = _written(level, seed, BARS)
    if task is Task.WHICH_BEAT:
        answers = evenly(tuple(range(level.meter.beats)), BARS, random)
        return tuple(
            ReadingQuestion(task, bar, (_altered(bar, place, level.figures, table, random),), place, setting)
            for (bar, setting), place in zip(written, answers, strict=True)
        )
    return tuple(_which_bar(bar, setting, level, table, random) for bar, setting in written)


def _written(level: Level, seed: int, number: int) -> list[tuple[Bar, Setting]]:
    """Bars drawn as for an exam, every beat sounding its figure: fills would leave beats out."""
    whole = tuple(name for name in level.orchestrations if not name.startswith("fill")) or ("snare",)
    plain = Level(level.name, level.title, level.meter, level.figures, orchestrations=whole, tempo=level.tempo)
    return [(question.bar, question.setting) for question in draw_paper(plain, seed, number)]


def _which_bar(bar: Bar, setting: Setting, level: Level, table: Floats, random: Random) -> ReadingQuestion:
    bars = [bar]
    wanted = random.randint(FEWEST_BARS, MOST_BARS)
    # Twenty tries for each bar wanted: a level of two figures may have no other bar left.
    places = evenly(tuple(range(level.meter.beats)), 20 * wanted, random)
    for place in places:
        other = _altered(bar, place, level.figures, table, random)
        if other not in bars:
            bars.append(other)
        if len(bars) == wanted:
            break
    random.shuffle(bars)
    return ReadingQuestion(Task.WHICH_BAR, bar, tuple(bars), bars.index(bar), setting)


def _altered(bar: Bar, place: int, figures: Sequence[Figure], table: Floats, random: Random) -> Bar:
    """The bar with another figure on one beat: the likelier to be taken for the one written, the likelier here."""
    written = list(figures).index(bar.figures[place])
    # A little for every figure, so that there is always one to choose.
    # By column, for it is the wrong bar that sounds: how likely each figure, when heard, is taken for the written one.
    weights = [float(chance) + 1e-6 for chance in table[:, written]]
    weights[written] = 0.0
    return bar.with_figures({place: random.choices(list(figures), weights)[0]})
