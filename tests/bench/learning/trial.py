"""One learner practises with one chooser, and is examined after every bar."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from shared.orchestration import Setting
from tests.bench.learning.figures import LEVEL
from tests.bench.learning.learners import DAY, SIZE, Given, Learner, Playing

Floats = NDArray[np.float64]

BARS_A_DAY, BAR_SECONDS = 40, 12.0
BEATS = 4
HOUR = 3600.0
START = 1_700_000_000.0
MOST_BARS = 600
EARLY = 40
"""The first bars, of which the share of right answers is told."""


class Chooser(Protocol):
    """Chooses the figures of a bar and how it is played, and hears what became of them."""

    def choose(self, now: float) -> tuple[list[int], Setting]: ...

    def learn(self, bar: Sequence[int], given: Given, now: float) -> None: ...


@dataclass(frozen=True)
class Outcome:
    """What came of a trial.

    ``bars`` until every figure was known, tested an hour later; ``early`` (EARLY,) the share right of each of the
    first bars; ``known`` P(right) an hour after those; ``contrasts`` the share of them with one of the five worst
    pairs.
    """

    bars: int
    early: tuple[float, ...]
    known: float
    contrasts: float


def time_of(bar: int) -> float:
    """When a bar (from 0) is heard: forty a day, twelve seconds apart."""
    day, place = divmod(bar, BARS_A_DAY)
    return START + day * DAY + place * BAR_SECONDS


def playing(setting: Setting) -> Playing:
    """How a learner of the benchmark hears a setting of the level."""
    low, high = LEVEL.tempo.low, LEVEL.tempo.high
    return Playing((setting.tempo - low) / (high - low), LEVEL.orchestrations.index(setting.orchestration))


def exam_setting(random: Random) -> Setting:
    """A setting as an exam draws it: the level's own tempi and ways round the kit."""
    return Setting(random.choice(LEVEL.orchestrations), float(random.randint(LEVEL.tempo.low, LEVEL.tempo.high)))


def run(learner: Learner, chooser: Chooser, tries: int) -> Outcome:
    """Practise until every figure is known, and at least for the first bars."""
    bars, early, known, contrasts = MOST_BARS, [], 0.0, []
    for turn in range(MOST_BARS):
        now = time_of(turn)
        bar, setting = chooser.choose(now)
        if turn < EARLY:
            contrasts.append(_holds_worst_pair(learner.table(now), bar))
        given = learner.practise(bar, now, playing(setting), tries)
        chooser.learn(bar, given, now + BAR_SECONDS / 2)
        right = learner.table(now + HOUR).diagonal()
        if turn < EARLY:
            early.append(float(np.mean(np.array(given.said) == bar)))
            known = float(right.mean())
        if bars == MOST_BARS and np.all(right >= learner.goal):
            bars = turn + 1
        if bars < MOST_BARS and turn + 1 >= EARLY:
            break
    return Outcome(bars, tuple(early), known, float(np.mean(contrasts)))


def _holds_worst_pair(table: Floats, bar: Sequence[int], pairs: int = 5) -> bool:
    """Whether a bar holds both figures of one of the learner's worst pairs."""
    mixed = np.triu(table + table.T, 1)
    worst = np.argsort(mixed, axis=None)[-pairs:]
    return any({int(pair) // SIZE, int(pair) % SIZE} <= set(bar) for pair in worst)
