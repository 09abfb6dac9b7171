"""One learner practises with one chooser, and is examined after every bar."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from tests.bench.learning.learners import DAY, SIZE, Learner

Floats = NDArray[np.float64]

BARS_A_DAY, BAR_SECONDS = 40, 12.0
BEATS = 4
HOUR = 3600.0
START = 1_700_000_000.0
KNOWN = 0.9
MOST_BARS = 800
LOOKS = (40, 80, 120)


class Chooser(Protocol):
    """Chooses the figures of a bar and hears what became of them."""

    def choose(self, now: float) -> list[int]: ...

    def learn(self, bar: Sequence[int], said: Sequence[int], seconds: Sequence[float], now: float) -> None: ...


@dataclass
class Outcome:
    """What came of a trial.

    ``bars`` until every figure was at 90 %, tested an hour later; ``accuracy`` after 40, 80 and 120 bars;
    ``worst`` figure after 120; ``rested`` accuracy 7 days after them; ``contrasts`` the share of the first
    120 bars, or those until all was known, with one of the five worst pairs.
    """

    bars: int = MOST_BARS
    accuracy: dict[int, float] = field(default_factory=dict)
    worst: float = 0.0
    rested: float = 0.0
    contrasts: float = 0.0


def time_of(bar: int) -> float:
    """When a bar (from 0) is heard: forty a day, twelve seconds apart."""
    day, place = divmod(bar, BARS_A_DAY)
    return START + day * DAY + place * BAR_SECONDS


def run(learner: Learner, chooser: Chooser) -> Outcome:
    """Practise until every figure is known, and at least for as long as the looks go."""
    outcome, contrasts = Outcome(), []
    for turn in range(MOST_BARS):
        now = time_of(turn)
        bar = chooser.choose(now)
        if outcome.bars == MOST_BARS and turn < LOOKS[-1]:
            contrasts.append(_holds_worst_pair(learner.table(now), bar))
        said, seconds = learner.answer(bar, now)
        learner.hear(bar, now)
        chooser.learn(bar, said, seconds, now + BAR_SECONDS / 2)
        right = learner.table(now + HOUR).diagonal()
        if outcome.bars == MOST_BARS and right.min() >= KNOWN:
            outcome.bars = turn + 1
        if turn + 1 in LOOKS:
            outcome.accuracy[turn + 1] = float(right.mean())
        if turn + 1 == LOOKS[-1]:
            outcome.worst = float(right.min())
            outcome.rested = float(learner.table(now + 7 * DAY).diagonal().mean())
        if turn + 1 >= LOOKS[-1] and outcome.bars < MOST_BARS:
            break
    outcome.contrasts = float(np.mean(contrasts))
    return outcome


def _holds_worst_pair(table: Floats, bar: Sequence[int], pairs: int = 5) -> bool:
    """Whether a bar holds both figures of one of the learner's worst pairs."""
    mixed = np.triu(table + table.T, 1)
    worst = np.argsort(mixed, axis=None)[-pairs:]
    return any({int(pair) // SIZE, int(pair) % SIZE} <= set(bar) for pair in worst)
