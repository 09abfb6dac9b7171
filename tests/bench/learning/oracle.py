"""Choosers that know more of the learner than any coach can: how far a better choice, or a better belief, could lead.

``Rollout`` sees the learner itself, and tries bars out on copies of it.  ``Informed`` is told the learner's mechanism
and all that is not of single figures; what is of single figures, above all which are known, it infers from the same
answers as the coach.  What is between the coach and ``Informed`` a better belief might gain; what is between that and
``Rollout`` nobody can, who has only answers to go by.
"""

import copy
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shared.orchestration import Setting
from tests.bench.learning.choosers import AllKnowing, Uniform, most_needed
from tests.bench.learning.learners import SIZE, Given, Learner, Playing
from tests.bench.learning.trial import BEATS, HOUR, MOST_BARS, playing, time_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_HEARINGS = 60
"""After so many hearings a figure is given up when the hearings left are counted."""

PARTICLES = 128
"""Copies of the learner in the filter of ``Informed``."""

SHRUNK = 0.98
"""How far resampled particles keep their own values, against the mean of all: see ``Informed``."""


class Rollout(AllKnowing):
    """Plays three bars out on copies of the learner, each followed by all-knowing ones, and takes the soonest done.

    The rollout algorithm of D. P. Bertsekas, J. N. Tsitsiklis & C. Wu (1997, from memory).  The three: the all-knowing
    one; the figures that need most further hearings; the one that needs most, with those it is most mixed up with.
    """

    def __init__(self, random: np.random.Generator, learner: Learner) -> None:
        super().__init__(random, learner)
        self.bars = 0

    def figures(self, now: float) -> list[int]:
        table = self.learner.table(now + HOUR)
        most = np.lexsort((table.diagonal(), -self._hearings_left(now))).tolist()
        rivals = np.argsort(-(table + table.T)[most[0]]).tolist()
        beside = [most[0], *(rival for rival in rivals if rival != most[0])]
        bars = dict.fromkeys(tuple(sorted(bar[:BEATS])) for bar in (super().figures(now), most, beside))
        # The same chance for each bar, and never the learner's own, which nobody may foresee.
        seed = int(self.random.integers(2**31))
        return list(min(bars, key=lambda bar: self._done_after(list(bar), seed)))

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        self.bars += 1

    def _hearings_left(self, now: float) -> Ints:
        """How many further hearings each figure needs until it is known an hour on (K,), each heard by itself."""
        twin, left = _copy_of(self.learner, self.random), np.zeros(SIZE, dtype=np.int64)
        for _ in range(MOST_HEARINGS):
            lacking = twin.table(now + HOUR).diagonal() < twin.goal
            left += lacking
            for figure in np.flatnonzero(lacking).tolist():
                twin.hear([figure], now)
        return left

    def _done_after(self, bar: list[int], seed: int) -> int:
        """The number of the bar with which everything is known, if all-knowing ones follow this one."""
        random = np.random.default_rng(seed)
        twin = _copy_of(self.learner, random)
        follows = AllKnowing(random, twin)
        for turn in range(self.bars, MOST_BARS):
            now = time_of(turn)
            twin.hear(bar if turn == self.bars else follows.figures(now), now)
            if np.all(twin.table(now + HOUR).diagonal() >= twin.goal):
                return turn
        return MOST_BARS


def _copy_of(learner: Learner, random: np.random.Generator) -> Learner:
    """A copy that learns by itself, with another source of chance."""
    twin = copy.copy(learner)
    for name, value in vars(learner).items():
        if isinstance(value, np.ndarray | list | set):
            setattr(twin, name, value.copy())
    twin.random = random
    return twin


class Drawn(np.random.Generator):
    """A source of chance that keeps what it drew evenly between two bounds, or draws what another one kept.

    Such draws are the parameters of a learner that are not of single figures.
    """

    def __init__(self, bits: np.random.BitGenerator, like: "Drawn | None" = None) -> None:
        super().__init__(bits)
        self.like, self.kept = like, defaultdict[tuple[float, float], list[float]](list)

    def uniform(self, low: float, high: float) -> float:  # type: ignore[override]
        """The next draw between these bounds."""
        kept, number = self.kept[low, high], len(self.kept[low, high])
        other = self.like.kept[low, high] if self.like else []
        kept.append(other[number] if number < len(other) else float(super().uniform(low, high)))
        return kept[-1]


class Informed(Uniform):
    """A particle filter with the learner's own mechanism, which chooses as the all-knowing one would in the mean.

    Each particle is a whole learner, weighed for each figure apart and resampled with a smoothed kernel (J. Liu & M.
    West 2001, from memory).  Where figures depend on each other beyond what it is told, it is not exact.
    """

    def __init__(self, random: np.random.Generator, learner: Learner, seed: int) -> None:
        super().__init__(random)
        self.learner = learner
        self.drawn = Drawn(np.random.PCG64(np.random.SeedSequence([seed, 2])))
        type(learner)(np.flatnonzero(learner.known).tolist(), self.drawn)
        self.particles = [self._particle(int(learner.known.sum())) for _ in range(PARTICLES)]
        self.weights = np.full((PARTICLES, SIZE), 1 / PARTICLES)

    def _particle(self, known: int) -> Learner:
        figures = self.random.choice(SIZE, known, replace=False).tolist()
        chance = Drawn(np.random.PCG64(self.random.integers(2**63)), self.drawn)
        particle = type(self.learner)(figures, chance)
        particle.apart, particle.guesses = self.learner.apart, self.learner.guesses
        return particle

    def choose(self, now: float) -> tuple[list[int], Setting]:
        # Whoever has good days and bad draws the day's with its first answer: the filter is told that too.
        self.learner.rows([0], now, Playing(), 1)
        told = {name: value for name, value in vars(self.learner).items() if isinstance(value, int | float)}
        for particle in self.particles:
            vars(particle).update(told)
        figures, setting = super().choose(now)
        self.asked_at, self.played = now, playing(setting)
        return figures, setting

    def figures(self, now: float) -> list[int]:
        need, mixed = np.zeros(SIZE), np.zeros((SIZE, SIZE))
        for particle, weights in zip(self.particles, self.weights, strict=True):
            table = particle.table(now + HOUR)
            right = table.diagonal()
            lacking = right < particle.goal
            need += weights * np.where(lacking, 1.0 + (particle.goal - right), 0.1 * (1 - right))
            mixed += (weights * lacking)[:, None] * table
        return most_needed(need, mixed, self.random)

    def note(self, bar: Sequence[int], given: Given, now: float) -> None:  # noqa: ARG002
        put_right = [bar[place] for place, (again, _) in given.second.items() if again == bar[place]]
        for number, particle in enumerate(self.particles):
            self.weights[number, list(bar)] *= self._likelihood(particle, bar, given)
            particle.hear(bar, self.asked_at)
            if put_right and particle.tries_teach:
                particle.hear(put_right, self.asked_at)
        self.weights /= self.weights.sum(axis=0)
        for figure in bar:
            # Once fewer than half of the particles carry the weight, as is usual.
            if (self.weights[:, figure] ** 2).sum() > 2 / PARTICLES:
                self._resample(figure)

    def _likelihood(self, particle: Learner, bar: Sequence[int], given: Given) -> Floats:
        """P(pick, time, changes and second try) at each beat (n,), up to a factor."""
        # The noise of resampling takes some associations below 0, which no learner's own ever are.
        rows = np.clip(particle.rows(bar, self.asked_at, self.played, given.hearings), 0.0, 1.0)
        doubt = 1 - rows.max(axis=1)
        changing = particle.changing * doubt
        likely = rows[np.arange(len(bar)), given.said]
        # Whose times follow a law of their own is known by what was said alone.
        if type(particle).say is Learner.say:
            late = np.log(given.seconds) - np.log(particle.usual) - particle.slowing * doubt
            likely *= np.exp(-0.5 * (late / particle.scatter) ** 2)
        likely *= np.exp(-changing) * np.maximum(changing, 1e-9) ** np.array(given.changes)
        for place, (again, _) in given.second.items():
            likely[place] *= rows[place, again] / max(1 - rows[place, given.said[place]], 1e-12)
        # A hair more, so that the weights of a figure never all vanish.
        return np.asarray(likely + 1e-12)

    def _resample(self, figure: int) -> None:
        """Let every particle hold of a figure what the likely ones hold (systematic resampling)."""
        places = (np.arange(PARTICLES) + self.random.random()) / PARTICLES
        drawn = np.searchsorted(np.cumsum(self.weights[:, figure]), places).clip(0, PARTICLES - 1)
        for name, value in vars(self.particles[0]).items():
            if not isinstance(value, np.ndarray) or SIZE not in value.shape or name in ("apart", "guesses"):
                continue
            # Of a table of pairs it is the row: what is thought when this figure is heard.
            at = figure if value.shape[0] == SIZE else (slice(None), figure)
            held = np.array([vars(particle)[name][at] for particle in self.particles])[drawn]
            if held.dtype == np.float64:
                noise = np.sqrt(1 - SHRUNK**2) * held.std(axis=0) * self.random.standard_normal(held.shape)
                held = SHRUNK * held + (1 - SHRUNK) * held.mean(axis=0) + noise
            for particle, kept in zip(self.particles, held, strict=True):
                vars(particle)[name][at] = kept
        self.weights[:, figure] = 1 / PARTICLES
