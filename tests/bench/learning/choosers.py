"""The choosers that the coach is measured against, each as good as its idea allows; and the all-knowing one."""

from collections import deque
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from random import Random

import numpy as np
from fsrs import Card, Rating, Scheduler
from numpy.typing import NDArray

from game.learning.coach import Coach
from game.learning.memory import retained
from game.learning.staircase import Staircase
from shared.orchestration import Setting
from tests.bench.learning.figures import FIGURES, LEVEL
from tests.bench.learning.learners import DAY, SIZE, Given, Learner
from tests.bench.learning.trial import BEATS, HOUR

Floats = NDArray[np.float64]


_PLACES = {figure: place for place, figure in enumerate(FIGURES)}


class Uniform:
    """Four different figures at random, played as hard as the coach's own staircase would have them."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random
        self.staircase = Staircase(LEVEL)
        self.tempo = LEVEL.tempo.low
        self.settings = Random(int(random.integers(2**31)))

    def choose(self, now: float) -> tuple[list[int], Setting]:
        setting = self.staircase.setting(self.settings, plain=False)
        self.tempo = setting.tempo
        return self.figures(now), setting

    def figures(self, now: float) -> list[int]:  # noqa: ARG002
        return [int(k) for k in self.random.choice(SIZE, BEATS, replace=False)]

    def learn(self, bar: Sequence[int], given: Given, now: float) -> None:
        right = sum(heard == answer for heard, answer in zip(bar, given.said, strict=True))
        self.staircase = self.staircase.answered(right, len(bar), self.tempo)
        self.note(bar, given, now)

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:
        """Learn which figures to choose."""


class Ranked(Uniform):
    """A chooser that takes the figures of greatest ``urgency``, ties at random."""

    def urgency(self, now: float) -> Floats:
        raise NotImplementedError

    def figures(self, now: float) -> list[int]:
        order = np.lexsort((self.random.random(SIZE), -self.urgency(now)))
        return [int(k) for k in order[:BEATS]]


class Leitner(Ranked):
    """Boxes within the session (after Leitner 1972): right, one box up; wrong, back to the first.

    ``ladder`` gives each box's interval in bars; the most overdue, as a share of its interval, comes first.
    """

    def __init__(self, random: np.random.Generator, ladder: tuple[int, ...]) -> None:
        super().__init__(random)
        self.ladder = np.array(ladder)
        self.box = np.zeros(SIZE, dtype=np.int64)
        self.last = np.full(SIZE, -ladder[0])
        self.bars = 0

    def urgency(self, now: float) -> Floats:  # noqa: ARG002
        return np.asarray((self.bars - self.last) / self.ladder[self.box])

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        for heard, answer in zip(bar, given.said, strict=True):
            self.box[heard] = min(len(self.ladder) - 1, self.box[heard] + 1) if heard == answer else 0
            self.last[heard] = self.bars
        self.bars += 1


LADDERS = ((1, 2, 4, 8, 16), (1, 3, 9, 27), (1, 2, 3, 5, 8, 13), (2, 5, 12, 30))
"""Four ladders of intervals in bars; the best of them for each kind of player is compared."""


def sm2_step(ease: float, interval: float, repetitions: int, quality: int) -> tuple[float, float, int]:
    """One repetition of SM-2 (Woźniak 1990): the new ease, interval and number of repetitions."""
    ease = max(1.3, ease + 0.1 - (5 - quality) * (0.08 + (5 - quality) * 0.02))
    if quality < 3:
        return ease, 1.0, 0
    return ease, {0: 1.0, 1: 6.0}.get(repetitions, interval * ease), repetitions + 1


class SuperMemo2(Ranked):
    """SM-2 with a bar for a day: within a session days would never come.  Quick answers are graded 5, others 4."""

    def __init__(self, random: np.random.Generator) -> None:
        super().__init__(random)
        self.state = [(2.5, 1.0, 0)] * SIZE
        self.last = np.full(SIZE, -1)
        self.bars = 0
        self.times: deque[float] = deque(maxlen=200)

    def urgency(self, now: float) -> Floats:  # noqa: ARG002
        intervals = np.array([interval for _, interval, _ in self.state])
        return np.asarray((self.bars - self.last) / intervals)

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        self.times.extend(given.seconds)
        usual = float(np.median(self.times))
        for heard, answer, time in zip(bar, given.said, given.seconds, strict=True):
            quality = (5 if time < usual else 4) if heard == answer else 2
            self.state[heard] = sm2_step(*self.state[heard], quality)
            self.last[heard] = self.bars
        self.bars += 1


class FsrsDue(Ranked):
    """FSRS: what is due comes first, then what has the lowest recall; its usual learning steps of minutes."""

    def __init__(self, random: np.random.Generator) -> None:
        super().__init__(random)
        self.scheduler = Scheduler(enable_fuzzing=False)
        self.cards = [Card(card_id=figure, due=_moment(0.0)) for figure in range(SIZE)]
        self.recall_last = np.zeros(SIZE)

    def urgency(self, now: float) -> Floats:
        due = np.array([card.due.timestamp() <= now for card in self.cards])
        return np.asarray(due * 1.0 + 1 - self._recall(now))

    def _recall(self, now: float) -> Floats:
        strengths = np.array([card.stability or 1e-3 for card in self.cards])
        return retained((now - self.recall_last) / DAY, strengths)

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:
        for heard, answer in zip(bar, given.said, strict=True):
            rating = Rating.Good if heard == answer else Rating.Again
            self.cards[heard], _ = self.scheduler.review_card(self.cards[heard], rating, _moment(now))
            self.recall_last[heard] = now


def _moment(now: float) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=now)


class ItemAdaptive(Ranked):
    """The rival to beat: each figure's error rate, fading, and how long ago it was heard; nothing of pairs.

    It uses the same evidence as the coach: a right answer that came late, or after a change, counts as partly wrong,
    a mistake that the second try put right as partly right.  Its numbers were tuned on the learners that the coach
    is developed on (seeds from 1000 on), by ``python -m tests.bench.learning.rival``.
    """

    kept, prior_wrong, prior_right = 0.75, 0.7, 0.5
    rest, alive, late, mended = 8.0, 0.02, 0.35, 0.0

    def __init__(self, random: np.random.Generator) -> None:
        super().__init__(random)
        self.wrong, self.right = np.zeros(SIZE), np.zeros(SIZE)
        self.last = np.full(SIZE, -100)
        self.bars = 0
        self.times: deque[float] = deque(maxlen=80)

    def urgency(self, now: float) -> Floats:  # noqa: ARG002
        alpha, beta = self.wrong + self.prior_wrong, self.right + self.prior_right
        fresh = 1 - np.exp(-(self.bars - self.last) / self.rest)
        return np.asarray((alpha / (alpha + beta) + self.alive) * fresh)

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        usual = float(np.median(self.times)) if self.times else 0.0
        for place, heard in enumerate(bar):
            wrong = float(given.said[place] != heard)
            if not wrong and (given.changes[place] or (usual and given.seconds[place] > 1.4 * usual)):
                wrong = self.late
            elif place in given.second and given.second[place][0] == heard:
                wrong = 1 - self.mended
            self.wrong[heard] = self.kept * self.wrong[heard] + wrong
            self.right[heard] = self.kept * self.right[heard] + 1 - wrong
            self.last[heard] = self.bars
        self.bars += 1
        self.times.extend(given.seconds)


class AllKnowing(Ranked):
    """Sees the learner's true table an hour on: what is not yet known, with the rivals it is mixed up with."""

    def __init__(self, random: np.random.Generator, learner: Learner) -> None:
        super().__init__(random)
        self.learner = learner

    def figures(self, now: float) -> list[int]:
        table, goal = self.learner.table(now + HOUR), self.learner.goal
        right = table.diagonal()
        need = np.where(right < goal, 1.0 + (goal - right), 0.1 * (1 - right))
        return most_needed(need, table * (right < goal)[:, None], self.random)


def most_needed(need: Floats, mixed: Floats, random: np.random.Generator) -> list[int]:
    """The bar that is needed most, one figure after the other: its need (K,), and with which it is mixed up (K, K)."""
    pairs = mixed + mixed.T
    np.fill_diagonal(pairs, 0.0)
    chosen: list[int] = []
    while len(chosen) < BEATS:
        gain = need + pairs[chosen].sum(axis=0) + 1e-6 * random.random(SIZE)
        gain[chosen] = -1.0
        chosen.append(int(gain.argmax()))
    return chosen


class Coached:
    """The coach itself, through the same door as the window: ask and mark."""

    def __init__(self, seed: int) -> None:
        self.coach = Coach(LEVEL, seed)

    def choose(self, now: float) -> tuple[list[int], Setting]:
        self.question = self.coach.ask(now)
        return [_PLACES[figure] for figure in self.question.asked_figures], self.question.setting

    def learn(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        picks = [FIGURES[answer] for answer in given.said]
        noted = {"hearings": given.hearings, "changes": given.changes}
        self.coach.mark(self.question, picks, now, given.seconds, **noted)
        if given.second:
            again, times = zip(*given.second.values(), strict=True)
            picks = [FIGURES[answer] for answer in again]
            self.coach.mark(self.question.only(given.second), picks, now, times, hearings=1, attempt=2)
