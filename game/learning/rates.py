"""The tables of the learner model, values alone: abilities, rates of learning and forgetting, and how likely each is.

``curves`` works with these tables and knows no numbers of its own.  Letters for shapes, here and in all of
``game.learning``: K figures of the level, A abilities, G rates of learning, P kinds of player, T traits, S shares of
the level known from before.  The values were chosen by running simulated learners (``tests.bench.learning``), not
measured on people; where a form comes from the literature, its source stands beside it.
"""

from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEP = 0.6
"""Log-odds between neighbouring abilities."""

ODDS = np.arange(-3.3, 4.2, STEP)
ABILITIES = 1 / (1 + np.exp(-ODDS))
"""The steps of ability as log-odds, in which they are evenly spaced, and P(right) at each of them."""

TOP = 3.8
"""The log-odds that slowing learning approaches and never passes (97.8 % right)."""

HALF_CLICKS = 0.5
"""The share of sudden insights that bring a figure only half the way: its name is known, but not yet the difference
from its rival."""


@dataclass(frozen=True)
class Rate:
    """How quickly a figure is learned.

    Each hearing gains ``gain`` of log-odds, or, where it is ``slowing``, that share of the way to the top;
    ``click`` is the chance that it is learned all at once.
    """

    gain: float = 0.0
    slowing: bool = False
    click: float = 0.0

    def steps(self) -> Floats:
        """How many abilities a hearing lifts each ability (A,), clicks left out."""
        gains = self.gain * np.maximum(0.0, TOP - ODDS) if self.slowing else np.full(len(ODDS), self.gain)
        return np.asarray(gains / STEP)

    def lift(self) -> Floats:
        """The transition matrix (A, A) of one hearing: where it takes each ability; rows sum to 1."""
        size = len(ABILITIES)
        lift = np.zeros((size, size))
        # In log-odds -0.3 and 3.3, that is 43 % and 96 % right.
        half, sure = size // 2 - 1, size - 2
        for ability, steps in enumerate(self.steps()):
            # A gain that falls between two steps is split between them, so that the mean gain is exact.
            whole, part = int(steps), steps % 1.0
            lift[ability, min(size - 1, ability + whole)] += (1 - self.click) * (1 - part)
            lift[ability, min(size - 1, ability + whole + 1)] += (1 - self.click) * part
            lift[ability, max(ability, sure if ability >= half else half)] += self.click * HALF_CLICKS
            lift[ability, max(ability, sure)] += self.click * (1 - HALF_CLICKS)
        return lift


STANDSTILL = Rate()

FAMILIES = (
    (STANDSTILL, *(Rate(gain=gain) for gain in (0.1, 0.2, 0.4, 0.8))),
    tuple(Rate(gain=gain, slowing=True) for gain in (0.03, 0.06, 0.12, 0.24)),
    tuple(Rate(click=click) for click in (0.08, 0.16, 0.32, 0.64)),
)
"""Steady, slowing and sudden learning, each from slow to quick; the slowest of all is none."""

RATES = tuple(rate for family in FAMILIES for rate in family)


def players() -> Floats:
    """P(rate | kind of player), as (P, G): each kind has a family, a usual rate, and figures that scatter around it."""
    kinds = []
    for family in FAMILIES:
        start = RATES.index(family[0])
        for usual, scatter in product(range(len(family)), (0.5, 1.0)):
            kind = np.zeros(len(RATES))
            kind[start : start + len(family)] = np.exp(-0.5 * ((np.arange(len(family)) - usual) / scatter) ** 2)
            kinds.append(kind / kind.sum())
    return np.array(kinds)


class Trait(NamedTuple):
    """How a player keeps what was learned.

    ``loss``: the chance, per share of forgetting, that time away costs some steps of ability.  ``echo``: log-odds
    by which a figure is better known right after it was heard than its ability says, and which say nothing of
    the next hour: performance is not learning (Soderstrom & Bjork 2015).
    """

    loss: float
    echo: float


# The last one is the crammer: what was just heard is repeated rightly, and little of it is left an hour later.
TRAITS = (Trait(0.5, 0.0), Trait(2.0, 0.0), Trait(6.0, 0.0), Trait(3.0, 4.0))
TRAIT_SHARES = (0.75, 0.15, 0.06, 0.04)
"""The traits, and the prior share of players that have each."""

ECHO_SECONDS = 80.0
"""The time scale of an echo: after three times as long half of it is left."""


def ringing(seconds: Floats) -> Floats:
    """The share of an echo that is left so long after a hearing: a power of time, as for activation (Anderson 1991)."""
    return np.asarray((1 + np.maximum(0.0, seconds) / ECHO_SECONDS) ** -0.5)


FARTHEST_DROP = 4
"""The most steps of ability that one loss takes: 2.4 log-odds."""


def drop() -> Floats:
    """The transition matrix (A, A) of a loss: one to four steps down, each as likely; rows sum to 1."""
    size = len(ABILITIES)
    table = np.zeros((size, size))
    for ability, steps in product(range(size), range(1, FARTHEST_DROP + 1)):
        table[ability, max(0, ability - steps)] += 1 / FARTHEST_DROP
    return table


SHARES_KNOWN = np.array([0.03, 0.2, 0.4, 0.6, 0.85])
"""The parts of a level that a player may know from before."""


def starts(rate: Rate) -> Floats:
    """P(ability) before any answer (2, A): of a figure new to the player, and of one known from before.

    Who does not learn (``STANDSTILL``) may stand anywhere: without that, a player who is half right for ever would be
    taken for one who is about to learn.
    """
    if rate == STANDSTILL:
        return np.full((2, len(ABILITIES)), 1 / len(ABILITIES))
    return np.stack([_bell(centre=-1.8, spread=1.6), _bell(centre=3.0, spread=1.0)])


def _bell(centre: float, spread: float) -> Floats:
    weights = np.exp(-0.5 * ((ODDS - centre) / spread) ** 2)
    return np.asarray(weights / weights.sum())
