"""Simulated learners of the mechanisms that the coach was first developed on, none of them its own model.

A learner hears a bar of figures, says what it takes them for, tries the wrong ones once more where it may, and
learns from the solution.  ``table(now)`` is the truth that only the examiner and the all-knowing chooser see:
P(said g | heard f), slips of the finger included.  Every parameter is drawn anew for each seed, evenly
(``between``) or evenly in the logarithm (``scaled``) from the range that stands beside it; the ranges are judgement.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.bench.learning.figures import FIGURES, distances, percepts

Floats = NDArray[np.float64]
Random = np.random.Generator

SIZE = len(FIGURES)
SLIPS = 0.02
MINUTE, DAY = 60.0, 86400.0
KNOWN = 0.9
"""P(right) from which a figure counts as known."""


class Playing(NamedTuple):
    """How a bar is played: tempo from 0 (the level's slowest) to 1, and the way round the kit by its place."""

    tempo: float = 0.5
    kit: int = 0


@dataclass(frozen=True)
class Given:
    """What the window notes of an answered bar: for each beat the pick, its seconds, how often it was changed.

    ``second`` has the second try, pick and seconds, at the beats that were wrong and opened again.
    """

    said: list[int]
    seconds: list[float]
    changes: list[int]
    hearings: int
    second: dict[int, tuple[int, float]]


def between(random: Random, low: float, high: float) -> float:
    """A draw, evenly between two bounds."""
    return float(random.uniform(low, high))


def scaled(random: Random, low: float, high: float) -> float:
    """A draw, evenly in the logarithm."""
    return float(np.exp(random.uniform(np.log(low), np.log(high))))


class Learner:
    """What all learners share: slips, response times, second tries, and which figures are known from before.

    One in six takes as long in doubt as when sure, and one in three learns nothing by a second try; for the
    others a beat put right by themselves counts as heard once more (after Slamecka & Graf 1978).
    """

    name = ""

    def __init__(self, known: Sequence[int], random: Random) -> None:
        self.known = np.zeros(SIZE, dtype=bool)
        self.known[list(known)] = True
        self.random = random
        self.apart = distances(random)
        self.last = 0.0
        self.usual = scaled(random, 0.8, 2.0)
        self.slowing = 0.0 if random.random() < 1 / 6 else between(random, 0.3, 1.2)
        self.scatter = between(random, 0.25, 0.5)
        self.changing = between(random, 0.0, 0.6)
        self.tries_teach = bool(random.random() >= 1 / 3)
        guesses = np.exp(-scaled(random, 0.5, 4.0) * self.apart)
        np.fill_diagonal(guesses, 0.0)
        self.guesses = guesses / guesses.sum(axis=1, keepdims=True)

    @property
    def goal(self) -> Floats | float:
        """P(right) from which each figure counts as known."""
        return KNOWN

    def table(self, now: float) -> Floats:
        """P(said g | heard f) at a time, as (K, K), as an exam at the level's own tempi and ways would find it."""
        return (1 - SLIPS) * self.belief(now) + SLIPS / SIZE

    def belief(self, now: float) -> Floats:
        """What the learner would say if its fingers never slipped."""
        raise NotImplementedError

    def hear(self, bar: Sequence[int], now: float) -> None:
        """Learn from a bar and its solution."""
        raise NotImplementedError

    def rows(self, bar: Sequence[int], now: float, playing: Playing, hearings: int) -> Floats:  # noqa: ARG002
        """P(said g) at each beat of a bar that is played so and heard so often."""
        return self.table(now)[list(bar)]

    def practise(self, bar: Sequence[int], now: float, playing: Playing, tries: int = 2) -> Given:
        """Answer a bar, the wrong beats twice where there are two tries, then learn from the solution."""
        sure = self.rows(bar, now, playing, 1).max(axis=1)
        hearings = 1 + int(self.random.binomial(2, 1 - sure.min()))
        rows = self.rows(bar, now, playing, hearings)
        said, seconds = self.say(rows)
        changes = self.random.poisson(self.changing * (1 - rows.max(axis=1))).tolist()
        second = {}
        for place in range(len(bar)) if tries > 1 else ():
            if said[place] != bar[place]:
                left = rows[place].copy()
                left[said[place]] = 0.0
                (again,), (time,) = self.say(left[None] / left.sum())
                second[place] = again, time
        self.hear(bar, now)
        put_right = [bar[place] for place, (again, _) in second.items() if again == bar[place]]
        if put_right and self.tries_teach:
            self.hear(put_right, now)
        return Given(said, seconds, changes, hearings, second)

    def say(self, rows: Floats) -> tuple[list[int], list[float]]:
        """What is said by P(said g), and in how many seconds: doubt is slow."""
        said = (self.random.random((len(rows), 1)) > np.cumsum(rows, axis=1)).sum(axis=1).clip(0, SIZE - 1)
        late = self.slowing * (1 - rows.max(axis=1)) + self.scatter * self.random.standard_normal(len(rows))
        return said.tolist(), (self.usual * np.exp(late)).tolist()


def kept(days: float, rate: float) -> float:
    """The share of what was learned that is left after some days."""
    return float((1 + max(0.0, days)) ** -rate)


class SimilarityChoice(Learner):
    """Similarity choice (Shepard 1957, Luce 1963): practice makes a figure's rivals less like it.

    A rival in the same bar is told apart the better for it.
    """

    name = "similarity"
    rates_between, contrasts = (0.2, 0.5), (1.5, 6.0)

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.contrast = scaled(random, *self.contrasts)
        self.forgetting = between(random, 0.02, 0.15)
        self.learned = np.zeros((SIZE, SIZE))
        self.learned[self.known] = 3.6
        self.pace = scaled(random, *self.rates_between) * np.exp(0.5 * random.standard_normal(SIZE))
        self.bias = np.exp(0.3 * random.standard_normal(SIZE))

    def belief(self, now: float) -> Floats:
        learned = self.learned * kept((now - self.last) / DAY, self.forgetting)
        alike = self.bias * np.exp(-(1.5 * self.apart + learned))
        np.fill_diagonal(alike, self.bias)
        return np.asarray(alike / alike.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.learned *= kept((now - self.last) / DAY, self.forgetting)
        heard = np.array(bar)
        np.add.at(self.learned, heard, self.pace[heard, None])
        for figure in bar:
            np.add.at(self.learned[figure], heard, self.contrast * self.pace[figure])
        self.last = now


class ExemplarNetwork(Learner):
    """Exemplars and the delta rule (after Kruschke 1992): what is learned of a figure spreads to its likes,
    and disturbs them.  Contrast earns nothing."""

    name = "network"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.forgetting, self.decision = between(random, 0.01, 0.05), between(random, 6.0, 8.0)
        self.active = np.exp(-between(random, 4.0, 6.0) * self.apart)
        self.weights = np.zeros((SIZE, SIZE))
        self.pace = scaled(random, 0.1, 0.25) * np.exp(0.2 * random.standard_normal(SIZE))
        for _ in range(60):
            for heard in random.permutation(np.flatnonzero(self.known)):
                self._correct(heard, 0.2)

    def belief(self, now: float) -> Floats:
        left = kept((now - self.last) / DAY, self.forgetting)
        strength = np.exp(self.decision * left * (self.active @ self.weights))
        return np.asarray(strength / strength.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.weights *= kept((now - self.last) / DAY, self.forgetting)
        for heard in bar:
            self._correct(heard, self.pace[heard])
        self.last = now

    def _correct(self, heard: int, rate: float) -> None:
        error = -(self.active[heard] @ self.weights)
        error[heard] += 1.0
        self.weights += rate * np.outer(self.active[heard], error)


class Activation(Learner):
    """Activation that decays (after Anderson & Schooler 1991): B = ln sum of ages to the power -d.

    Nights and hours away count for less than time at practice.  Contrast earns nothing.
    """

    name = "activation"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.decay, self.noise, self.away = between(random, 0.15, 0.35), between(random, 0.2, 0.5), 0.05
        self.heard: list[int] = []
        self.times: list[float] = []
        self.thresholds = between(random, -0.5, 0.1) + 0.3 * random.standard_normal(SIZE)
        self.clock = 0.0

    def belief(self, now: float) -> Floats:
        time = self._inner(now)
        traces = (time - np.array(self.times) + 5.0) ** -self.decay
        strength = np.where(self.known, 2.0, 1e-9)
        np.add.at(strength, np.array(self.heard, dtype=np.int64), traces)
        sure = 1 / (1 + np.exp(-(np.log(strength) - self.thresholds) / self.noise))
        return np.asarray(sure[:, None] * np.eye(SIZE) + (1 - sure)[:, None] * self.guesses)

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.clock, self.last = self._inner(now), now
        self.heard.extend(bar)
        self.times.extend([self.clock] * len(bar))

    def _inner(self, now: float) -> float:
        """Time as memory counts it: seconds at practice in full, longer gaps only in part."""
        gap = now - self.last if self.last else 0.0
        return self.clock + min(gap, 60.0) + self.away * max(0.0, gap - 60.0)


class AllOrNone(Learner):
    """All-or-none labels (Bower 1961) and all-or-none discriminations of near pairs.

    A label not had is guessed; a pair not told apart is a toss-up, and is best learned with both in one bar.
    """

    name = "all-or-none"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.label, self.lost = scaled(random, 0.15, 0.5), between(random, 0.01, 0.05)
        self.pair = scaled(random, 0.15, 0.5)
        self.alone = self.pair / scaled(random, 2.0, 10.0)
        self.labels = self.known.copy()
        near = self.apart.argsort(axis=1)[:, 1:4]
        self.blurred = np.zeros((SIZE, SIZE), dtype=bool)
        for heard in range(SIZE):
            for rival in near[heard]:
                chance = 0.1 if self.known[heard] and self.known[rival] else 0.4
                if random.random() < chance:
                    self.blurred[heard, rival] = self.blurred[rival, heard] = True

    def belief(self, now: float) -> Floats:
        options = np.eye(SIZE) + self.blurred
        named = options / options.sum(axis=1, keepdims=True)
        left = kept((now - self.last) / DAY, self.lost)
        sure = np.where(self.labels, np.where(self.known, 1.0, left), 0.0)[:, None]
        return np.asarray(sure * named + (1 - sure) / SIZE)

    def hear(self, bar: Sequence[int], now: float) -> None:
        left = kept((now - self.last) / DAY, self.lost)
        self.labels &= self.known | (self.random.random(SIZE) < left)
        for heard in bar:
            self.labels[heard] |= self.random.random() < self.label
            for rival in np.flatnonzero(self.blurred[heard]):
                if self.random.random() < (self.pair if rival in bar else self.alone):
                    self.blurred[heard, rival] = self.blurred[rival, heard] = False
        self.last = now


class Templates(Learner):
    """Noisy percepts matched to remembered templates (after signal detection theory): hearing a figure draws
    its template towards the truth and sharpens it."""

    name = "templates"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        heard = percepts()
        self.percepts = (heard - heard.mean(axis=0)) / heard.std()
        self.percepts /= np.sqrt((self.percepts**2).sum(axis=1).mean())
        wander = 1.6 * random.standard_normal(self.percepts.shape) / np.sqrt(self.percepts.shape[1])
        self.templates = self.percepts + np.where(self.known[:, None], 0.05, 1.0) * wander
        self.sharpness = np.where(self.known, 5.0, 1.2)
        speed = scaled(random, 0.7, 2.0)
        self.drawn, self.sharpening = 0.03 * speed, 0.012 * speed
        self.forgetting = between(random, 0.02, 0.06)

    def belief(self, now: float) -> Floats:
        left = kept((now - self.last) / DAY, self.forgetting)
        apart = ((self.percepts[:, None] - self.templates[None]) ** 2).sum(axis=-1)
        match = np.exp(-apart * 4.0 * left * self.sharpness[:, None])
        return np.asarray(match / match.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        left = kept((now - self.last) / DAY, self.forgetting)
        self.sharpness = np.maximum(1.2, self.sharpness * left)
        for heard in bar:
            self.templates[heard] += self.drawn * (self.percepts[heard] - self.templates[heard])
            self.sharpness[heard] += self.sharpening * (6.0 - self.sharpness[heard])
        self.last = now


FIRST = (SimilarityChoice, ExemplarNetwork, Activation, AllOrNone, Templates)
"""The mechanisms that the coach was first developed on."""
