"""How doubtful a figure may be and still be told, so that of all that is told no more is wrong than allowed.

That a beat may be told while its figure is wrong with some probability says nothing yet of how much of all that is told
is wrong: where figures lie far apart, next to nothing, where they lie close, nearly as much.  So the doubt is reckoned
for each set of figures, tempo and spread from how far the figures lie apart: the probability that the likelihood ratio
of two figures passes a bound is a normal tail (Van Trees 1968, Detection, Estimation, and Modulation Theory I, 2.2).
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure

Floats = NDArray[np.float64]

EVEN, UNEVEN = (0.03, 0.01), (0.045, 0.03)
"""How much of what is told may be wrong: up to a spread of 30 ms 1 %, from 45 ms on 3 %."""

CAUTION = 2.5
"""The power of a spread by which its weight grows where it is decided whether a figure is told.

A bar has too few strokes to tell its spread: one that is wider than it looks has figures told wrongly, a narrower one
only fewer told.  The number comes from simulation."""

NEAR = 0.5
"""How far apart, in beats, two readings that share out strokes otherwise between two beats still count as rivals."""

ALIKE = 12
"""Distances are held apart to a twelfth of their natural logarithm."""

MOST = 0.3
"""However little would be wrong if strokes lay as the model has them, no figure more doubtful than this is told: they
never quite do."""

HALVINGS = 10
"""How often the span in which a doubt is sought is halved: to a two-hundredth of it or less."""


@dataclass(frozen=True)
class Rivals:
    """Which figure may be taken for which, as arrays with one entry a pair.

    ``own`` and ``other`` are the numbers of two figures of a set of ``count``, ``share`` the part of the bars in which
    the two can be confused, and ``apart`` how far they lie apart, in beats: the root of the squared distances of their
    strokes, the shift that all of them have in common taken off as far as the rest of the bar tells it.
    """

    count: int
    own: NDArray[np.intp]
    other: NDArray[np.intp]
    share: Floats
    apart: Floats

    def shares(self, spread: float, doubt: float) -> tuple[float, float]:
        """The shares of beats told, and told wrongly, if ``doubt`` is allowed; ``spread`` in beats."""
        distance, bound = self.apart / spread, log((1 - doubt) / doubt)
        clear = self.share * np.log(normal((distance**2 / 2 - bound) / distance) + 1e-12)
        told = np.exp(np.bincount(self.own, clear, minlength=self.count))
        wrong = self.share * normal((-(distance**2) / 2 - bound) / distance)
        # Strokes that look like the other figure are told as that only if they look like no third one.
        wrong *= np.minimum(1, told[self.other] / np.exp(clear))
        return float(told.mean() + wrong.sum() / self.count), float(wrong.sum() / self.count)


@lru_cache(maxsize=32)
def rivals(figures: tuple[Figure, ...]) -> Rivals:
    """The rivals among some figures, each as likely as the next on every beat of a bar."""
    count = len(figures)
    places = [np.array([float(at) for at in figure.onsets]) for figure in figures]
    parts = [_in_a_beat(places), *_over_a_border(places)]
    own, other, moves, share = (np.concatenate(column) for column in zip(*parts, strict=True))
    # Three other beats tell how far all strokes are late, with a variance of ``shift`` squared spreads.
    shift = count / (3 * max(1, sum(map(len, places))))
    apart = np.sqrt(moves[:, 0] - moves[:, 1] ** 2 * shift / (1 + moves[:, 2] * shift))
    keys = np.stack([own, other, np.round(ALIKE * np.log(apart)).astype(np.intp)], 1)
    pairs, which = np.unique(keys, axis=0, return_inverse=True)
    shares = np.asarray(np.bincount(which.ravel(), share, minlength=len(pairs)), np.float64)
    return Rivals(count, pairs[:, 0], pairs[:, 1], shares, np.exp(pairs[:, 2] / ALIKE))


Part = tuple[NDArray[np.intp], NDArray[np.intp], Floats, Floats]
"""Pair by pair: the numbers of the two figures, the moves of their strokes (sum of squares, sum, number), the share."""


def _in_a_beat(places: Sequence[Floats]) -> Part:
    """Figures of as many strokes, one for the other within their beat."""
    pairs = [(a, b) for a, one in enumerate(places) for b, two in enumerate(places) if a != b and len(one) == len(two)]
    own, other = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    moved = [places[a] - places[b] for a, b in pairs]
    moves = np.array([(move @ move, move.sum(), len(move)) for move in moved]).reshape(-1, 3)
    return own, other, moves, np.ones(len(pairs))


def _over_a_border(places: Sequence[Floats]) -> Iterator[Part]:
    """Two figures for two others, with as many strokes shared out otherwise between the two beats."""
    groups: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for one, mine in enumerate(places):
        for two, theirs in enumerate(places):
            groups[len(mine) + len(theirs)].append((one, two))
    for strokes, group in groups.items():
        at = np.array([[*places[one], *(1 + places[two])] for one, two in group]).reshape(len(group), strokes)
        before = np.array([len(places[one]) for one, _ in group])
        squares = ((at[:, None] - at[None]) ** 2).sum(2)
        meant, taken = np.nonzero((before[:, None] != before[None]) & (squares <= NEAR**2))
        moved = at[meant] - at[taken]
        moves = np.stack([squares[meant, taken], moved.sum(1), np.full(len(meant), float(strokes))], 1)
        share = np.full(len(meant), 1 / len(places))
        for own in np.array(group, dtype=np.intp).T:
            yield own[meant], own[taken], moves, share


@lru_cache(maxsize=128)
def doubts(figures: tuple[Figure, ...], beat: float, spreads: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    """At each spread, in seconds as ``beat`` is, the limit of what is told wrongly and the doubt that keeps it."""
    among = rivals(figures)
    found = []
    for spread in spreads:
        limit = float(np.interp(log(spread), np.log([EVEN[0], UNEVEN[0]]), [EVEN[1], UNEVEN[1]]))
        # The sum over rivals counts too much where many lie near.  Figures told are on average less than half as
        # doubtful as the most doubtful one (by simulation), so twice the limit keeps it everywhere.
        low, high = log(2 * limit), log(MOST)
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            told, wrong = among.shares(spread / beat, exp(middle))
            low, high = (middle, high) if wrong <= limit * told else (low, middle)
        found.append((limit, exp(low)))
    return tuple(found)


def told(figures: tuple[Figure, ...], beat: float, spreads: Floats, weights: Floats, wrong: Floats) -> bool:
    """Whether a figure is sure enough to be told.

    ``spreads`` are those that come into question, in seconds as ``beat`` is, ``weights`` their probabilities and
    ``wrong`` how likely the figure is wrong at each.
    """
    # A twentieth more or less of a tempo changes little: its neighbours share an entry of the cache.
    nearly = exp(round(20 * log(beat)) / 20)
    limit, allowed = np.array(doubts(figures, nearly, tuple(map(float, spreads)))).T
    # Each spread is held to its own limit by a Lagrange multiplier: one over what the most doubtful figure that is
    # allowed there lies above the limit.
    cost = (wrong - allowed) / (allowed - limit)
    return bool((weights * spreads**CAUTION) @ cost <= 0)


def normal(values: Floats) -> Floats:
    """The normal distribution function, to 1e-7 (Abramowitz and Stegun 1964, 26.2.17)."""
    size = np.abs(values)
    step = 1 / (1 + 0.2316419 * size)
    series = 0.319381530 + step * (-0.356563782 + step * (1.781477937 + step * (-1.821255978 + step * 1.330274429)))
    tail = np.exp(-size * size / 2) / sqrt(2 * pi) * step * series
    return np.where(values > 0, 1 - tail, tail)
