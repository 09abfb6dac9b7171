"""Simulated learners of different mechanisms, none of them the coach's own model.

A learner hears a bar of figures, says what it takes them for, and learns from the solution.  ``table(now)``
is the truth that only the oracle and the examiner see: P(said g | heard f), slips of the finger included.
All rates are judgement; they were set once so that practice with a uniform choice, and with an all-knowing
one, takes about as many bars as is reported in DEVELOPERS.md.
"""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from tests.bench.learning.figures import FIGURES, distances, percepts

Floats = NDArray[np.float64]

SIZE = len(FIGURES)
SLIPS = 0.02
DAY = 86400.0
USUAL_SECONDS, TIME_SPREAD = 1.2, 0.35


class Learner:
    """What all learners share: slips, response times, and which figures are known from before."""

    name = ""

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        self.known = np.zeros(SIZE, dtype=bool)
        self.known[list(known)] = True
        self.random = random
        self.apart = distances(random)
        self.last = 0.0

    def table(self, now: float) -> Floats:
        """P(said g | heard f) at a time, as (K, K)."""
        return (1 - SLIPS) * self.belief(now) + SLIPS / SIZE

    def belief(self, now: float) -> Floats:
        """What the learner would say if its fingers never slipped."""
        raise NotImplementedError

    def hear(self, bar: Sequence[int], now: float) -> None:
        """Learn from a bar and its solution."""
        raise NotImplementedError

    def answer(self, bar: Sequence[int], now: float) -> tuple[list[int], list[float]]:
        """What is said to each beat of a bar, and in how many seconds: doubt is slow."""
        rows = self.table(now)[list(bar)]
        said = (self.random.random((len(bar), 1)) > np.cumsum(rows, axis=1)).sum(axis=1).clip(0, SIZE - 1)
        doubt = 1 - rows.max(axis=1)
        seconds = USUAL_SECONDS * (1 + doubt) * np.exp(TIME_SPREAD * self.random.standard_normal(len(bar)))
        return said.tolist(), seconds.tolist()


def _kept(days: float, rate: float) -> float:
    """The share of what was learned that is left after some days."""
    return float((1 + max(0.0, days)) ** -rate)


class SimilarityChoice(Learner):
    """Similarity choice (Shepard 1957, Luce 1963): practice makes a figure's rivals less like it.

    A rival in the same bar is told apart the better for it.
    """

    name = "similarity"
    rate, spread, contrast, forgetting = 0.32, 0.5, 3.0, 0.05

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        self.learned = np.zeros((SIZE, SIZE))
        self.learned[self.known] = 3.6
        self.rates = self.rate * np.exp(self.spread * random.standard_normal(SIZE) + 0.2 * random.standard_normal())
        self.bias = np.exp(0.3 * random.standard_normal(SIZE))

    def belief(self, now: float) -> Floats:
        learned = self.learned * _kept((now - self.last) / DAY, self.forgetting)
        alike = self.bias * np.exp(-(1.5 * self.apart + learned))
        np.fill_diagonal(alike, self.bias)
        return np.asarray(alike / alike.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.learned *= _kept((now - self.last) / DAY, self.forgetting)
        for heard in bar:
            self.learned[heard] += self.rates[heard]
            for rival in bar:
                self.learned[heard, rival] += self.contrast * self.rates[heard]
        self.last = now


class ExemplarNetwork(Learner):
    """Exemplars and the delta rule (after Kruschke 1992): what is learned of a figure spreads to its likes,
    and disturbs them.  Contrast earns nothing."""

    name = "network"
    rate, narrowness, decision, forgetting = 0.12, 4.5, 6.0, 0.02

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        self.active = np.exp(-self.narrowness * self.apart)
        self.weights = np.zeros((SIZE, SIZE))
        self.rates = self.rate * np.exp(0.2 * random.standard_normal()) * np.exp(0.2 * random.standard_normal(SIZE))
        for _ in range(60):
            for heard in random.permutation(np.flatnonzero(self.known)):
                self._correct(heard, 0.2)

    def belief(self, now: float) -> Floats:
        kept = _kept((now - self.last) / DAY, self.forgetting)
        strength = np.exp(self.decision * kept * (self.active @ self.weights))
        return np.asarray(strength / strength.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.weights *= _kept((now - self.last) / DAY, self.forgetting)
        for heard in bar:
            self._correct(heard, self.rates[heard])
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
    decay, threshold, noise, away, lasting = 0.25, -0.15, 0.3, 0.05, 2.0

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        self.heard: list[int] = []
        self.times: list[float] = []
        self.thresholds = self.threshold + 0.3 * random.standard_normal(SIZE) + 0.2 * random.standard_normal()
        guesses = np.exp(-1.5 * self.apart)
        self.guesses = guesses / guesses.sum(axis=1, keepdims=True)
        self.clock = 0.0

    def belief(self, now: float) -> Floats:
        time = self._inner(now)
        traces = (time - np.array(self.times) + 5.0) ** -self.decay
        strength = np.where(self.known, self.lasting, 1e-9)
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
    label, pair, alone, lost = 0.32, 0.35, 0.06, 0.02

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        self.labels = self.known.copy()
        near = self.apart.argsort(axis=1)[:, 1:4]
        self.blurred = np.zeros((SIZE, SIZE), dtype=bool)
        for heard in range(SIZE):
            for rival in near[heard]:
                chance = 0.1 if self.known[heard] and self.known[rival] else 0.4
                if random.random() < chance:
                    self.blurred[heard, rival] = self.blurred[rival, heard] = True
        self.rate = float(np.exp(0.25 * random.standard_normal()))

    def belief(self, now: float) -> Floats:
        options = np.eye(SIZE) + self.blurred
        named = options / options.sum(axis=1, keepdims=True)
        guessed = np.full((SIZE, SIZE), 1 / SIZE)
        kept = _kept((now - self.last) / DAY, self.lost)
        sure = np.where(self.labels, np.where(self.known, 1.0, kept), 0.0)[:, None]
        return np.asarray(sure * named + (1 - sure) * guessed)

    def hear(self, bar: Sequence[int], now: float) -> None:
        kept = _kept((now - self.last) / DAY, self.lost)
        self.labels &= self.known | (self.random.random(SIZE) < kept)
        for heard in bar:
            self.labels[heard] |= self.random.random() < self.label * self.rate
            for rival in np.flatnonzero(self.blurred[heard]):
                chance = (self.pair if rival in bar else self.alone) * self.rate
                if self.random.random() < chance:
                    self.blurred[heard, rival] = self.blurred[rival, heard] = False
        self.last = now


class Templates(Learner):
    """Noisy percepts matched to remembered templates (after signal detection theory): hearing a figure draws
    its template towards the truth and sharpens it."""

    name = "templates"
    rate, sharpening, forgetting = 0.03, 0.012, 0.04

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        heard = percepts()
        self.percepts = (heard - heard.mean(axis=0)) / heard.std()
        self.percepts /= np.sqrt((self.percepts**2).sum(axis=1).mean())
        wander = 1.6 * random.standard_normal(self.percepts.shape) / np.sqrt(self.percepts.shape[1])
        self.templates = self.percepts + np.where(self.known[:, None], 0.05, 1.0) * wander
        self.sharpness = np.where(self.known, 5.0, 1.2)
        self.speed = float(np.exp(0.25 * random.standard_normal()))

    def belief(self, now: float) -> Floats:
        kept = _kept((now - self.last) / DAY, self.forgetting)
        apart = ((self.percepts[:, None] - self.templates[None]) ** 2).sum(axis=-1)
        match = np.exp(-apart * 4.0 * kept * self.sharpness[:, None])
        return np.asarray(match / match.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.sharpness = np.maximum(1.2, self.sharpness * _kept((now - self.last) / DAY, self.forgetting))
        for heard in bar:
            self.templates[heard] += self.rate * self.speed * (self.percepts[heard] - self.templates[heard])
            self.sharpness[heard] += self.sharpening * self.speed * (6.0 - self.sharpness[heard])
        self.last = now


class Cues(Learner):
    """Fuzzy cues (after Oden & Massaro 1978): a figure is told by whether strokes fall on each of some places.

    Hearing a figure sharpens its own cues most, and those of every figure a little.  Never used to tune the coach.
    """

    name = "cues"
    rate, shared, forgetting = 0.16, 0.008, 0.05
    places = (0, 12, 16, 24, 32, 36)

    def __init__(self, known: Sequence[int], random: np.random.Generator) -> None:
        super().__init__(known, random)
        self.cues = np.array([[Fraction(place, 48) in figure.onsets for place in self.places] for figure in FIGURES])
        self.blurred = 0.4 * random.standard_normal(self.cues.shape)
        self.own = np.where(self.known, 4.0, 0.8)
        self.everyone = 0.0
        self.rates = self.rate * np.exp(0.3 * random.standard_normal(SIZE) + 0.2 * random.standard_normal())

    def belief(self, now: float) -> Floats:
        kept = _kept((now - self.last) / DAY, self.forgetting)
        sharp = 1 / (1 + np.exp(-((self.own + self.everyone)[:, None] * kept + self.blurred)))
        match = np.where(self.cues[:, None] == self.cues[None], sharp[:, None], 1 - sharp[:, None]).prod(axis=-1)
        return np.asarray(match / match.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        kept = _kept((now - self.last) / DAY, self.forgetting)
        self.own, self.everyone = self.own * kept, self.everyone * kept
        for heard in bar:
            self.own[heard] += self.rates[heard]
            self.everyone += self.shared * self.rates[heard]
        self.last = now


TUNED = (SimilarityChoice, ExemplarNetwork, Activation, AllOrNone, Templates)
"""The learners that the coach was developed against."""

UNSEEN = Cues
"""The learner that it was not."""
