"""Simulated learners that the coach is never developed on: only a final run with ``--unseen`` meets them.

Whoever tunes the coach must not look at what it does for these.
"""

from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from tests.bench.learning.figures import FIGURES
from tests.bench.learning.learners import DAY, SIZE, Floats, Learner, Playing, Random, between, kept, scaled
from tests.bench.learning.strangers import Odds


class Cues(Learner):
    """Fuzzy cues (after Oden & Massaro 1978): a figure is told by whether strokes fall on each of some places.

    Hearing a figure sharpens its own cues most, and those of every figure a little.
    """

    name = "cues"
    places = (0, 12, 16, 24, 32, 36)

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.cues = np.array([[Fraction(place, 48) in figure.onsets for place in self.places] for figure in FIGURES])
        self.blurred = 0.4 * random.standard_normal(self.cues.shape)
        self.own = np.where(self.known, 4.0, 0.8)
        self.everyone, self.shared = 0.0, scaled(random, 0.004, 0.016)
        self.forgetting = between(random, 0.02, 0.08)
        self.pace = scaled(random, 0.12, 0.35) * np.exp(0.3 * random.standard_normal(SIZE))

    def belief(self, now: float) -> Floats:
        left = kept((now - self.last) / DAY, self.forgetting)
        sharp = 1 / (1 + np.exp(-((self.own + self.everyone)[:, None] * left + self.blurred)))
        match = np.where(self.cues[:, None] == self.cues[None], sharp[:, None], 1 - sharp[:, None]).prod(axis=-1)
        return np.asarray(match / match.sum(axis=1, keepdims=True))

    def hear(self, bar: Sequence[int], now: float) -> None:
        left = kept((now - self.last) / DAY, self.forgetting)
        self.own, self.everyone = self.own * left, self.everyone * left
        for heard in bar:
            self.own[heard] += self.pace[heard]
            self.everyone += self.shared * self.pace[heard]
        self.last = now


class Swapped(Learner):
    """Associations in which some names sit on the wrong figure, and which only a mistake corrects.

    Each figure points to names with weights (after Estes 1950); a right answer leaves them as they are, a wrong
    one moves a part of the weight to the right name.
    """

    name = "swapped"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.pace, self.forgetting = scaled(random, 0.15, 0.5), between(random, 0.01, 0.06)
        self.weights = self.guesses.copy()
        self.weights[self.known] = np.eye(SIZE)[self.known]
        unknown = np.flatnonzero(~self.known)
        for heard in unknown[random.random(len(unknown)) < between(random, 0.2, 0.6)]:
            self.weights[heard] = 0.3 * self.weights[heard] + 0.7 * np.eye(SIZE)[self.apart[heard].argsort()[1]]
        self.mistaken: set[int] = set()

    def belief(self, now: float) -> Floats:
        left = kept((now - self.last) / DAY, self.forgetting)
        return np.asarray(left * self.weights + (1 - left) * self.guesses)

    def hear(self, bar: Sequence[int], now: float) -> None:
        right = self.table(now).diagonal()
        self.weights = self.belief(now)
        for heard in bar:
            if self.random.random() > right[heard]:
                self.weights[heard] += self.pace * (np.eye(SIZE)[heard] - self.weights[heard])
            else:
                self.weights[heard] += 0.15 * self.pace * (np.eye(SIZE)[heard] - self.weights[heard])
        self.last = now


class Diffusion(Odds):
    """Evidence that drifts to the right answer or away from it (Ratcliff 1978): practice makes the drift steeper.

    P(right) = 1 / (1 + exp(-2 a v)), mean time = (a / v) tanh(a v) + a fixed part: the times follow from the same
    drift as the answers, and a hasty player (small a) is quick and wrong.
    """

    name = "diffusion"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.bound = between(random, 0.7, 1.4)
        self.steepness = between(random, 0.8, 1.5)
        self.fixed = between(random, 0.3, 0.8)

    def belief(self, now: float) -> Floats:
        return self.spread(2 * self.bound * self.drift(now))

    def drift(self, now: float) -> Floats:
        """The drift of each figure."""
        return np.asarray(self.steepness * self.now(now) / 2)

    def say(self, rows: Floats) -> tuple[list[int], list[float]]:
        said, _ = super().say(rows)
        right = np.clip(rows.max(axis=1), 0.02, 0.995)
        drift = np.maximum(0.05, np.log(right / (1 - right)) / (2 * self.bound))
        mean = self.bound / drift * np.tanh(self.bound * drift)
        return said, (self.fixed + self.random.gamma(2.0, mean / 2.0)).tolist()


class Span(Odds):
    """A short span: of a bar's beats the later ones are lost, the more so the less the earlier ones are known."""

    name = "span"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.load = between(random, 0.3, 1.0)

    def rows(self, bar: Sequence[int], now: float, playing: Playing, hearings: int) -> Floats:  # noqa: ARG002
        odds = self.now(now)
        unsure = 1 / (1 + np.exp(odds[list(bar)]))
        burden = self.load * (np.cumsum(unsure) - unsure) / np.sqrt(hearings)
        rows = [self.spread(odds - lost)[heard] for heard, lost in zip(bar, burden, strict=True)]
        return np.asarray(0.98 * np.array(rows) + 0.02 / SIZE)


class Interference(Odds):
    """Learning a figure costs its nearest like a part of what was learned (retroactive interference)."""

    name = "interference"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.costs = between(random, 0.02, 0.12)
        self.like = np.array([np.argmin(np.where(np.arange(SIZE) == f, np.inf, self.apart[f])) for f in range(SIZE)])

    def hear(self, bar: Sequence[int], now: float) -> None:
        super().hear(bar, now)
        for heard in bar:
            rival = self.like[heard]
            if rival not in bar:
                self.odds[rival] -= self.costs * self.pace[heard] * (self.odds[rival] > self.low)


UNSEEN = (Cues, Swapped, Diffusion, Span, Interference)
"""The mechanisms that only a final run meets."""
