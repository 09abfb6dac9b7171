"""Chooses which figures the next bar holds: those whose hearing is worth most now, and one place in ten by chance.

Every figure gets a number, its gain: how much the player is expected to learn by hearing it now.  Two figures that
are mixed up gain more side by side, for hearing both in one bar is what teaches the difference (Brunmair & Richter
2019); a figure that was just heard gains less, for coming back after some bars is what keeps it (spaced practice).
The bar takes the figures with the largest sum.  One place in ten is filled by chance, so that the coach can be judged
afterwards (``coach_effect``).  Shapes are those of ``rates``: G rates, K figures, A abilities.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from random import Random
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from game.learning.rates import ABILITIES, RATES

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GOAL, SOFTNESS = 0.9, 0.3
"""P(right) at which a figure counts as half known, and how gradual that is: the scale, in log-odds, of a logistic
curve around it."""

LACKING = 1 / (1 + ((ABILITIES / (1 - ABILITIES)) / (GOAL / (1 - GOAL))) ** (1 / SOFTNESS))
"""How far each ability falls short, from 1 (not known) to 0 (known)."""

AHEAD = 0.8
"""The discount factor: how much each further hearing counts of the one before when the hearings ahead are summed."""

# The discounted sum of LACKING over all hearings ahead is a geometric series of the lift matrix L, and such a series
# has a closed form: (1 - d) (I - d L)^-1 LACKING with discount factor d, as for the value of a Markov chain.
NEED = np.stack(
    [(1 - AHEAD) * np.linalg.solve(np.eye(len(ABILITIES)) - AHEAD * rate.lift(), LACKING) for rate in RATES]
)
"""How far each ability falls short over the hearings ahead (G, A), from 1 to 0: what is learned slowly needs more."""

SHARPNESS = 2.0
"""The exponent of the need: above 1, a figure that surely needs hearing comes before several that perhaps do."""

JUST_HEARD, RESTED_AFTER = 0.5, 2.0
"""The share of its gain that a figure loses right after it was heard, and in how many bars all but a third (1/e) of
that loss is over."""

KEEP_ALIVE, KEEP_ALIVE_BARS, LONGEST = 0.2, 30, 40
"""A gain that grows with rest alone, so that no figure is dropped however well it is known: its size, after how many
bars of rest it is reached, and the bars of rest after which it grows no further."""

PAIR_WEIGHT = 1.0
"""The weight of a pair's gain against that of single figures."""

KNOWN_PARTNER = 0.1
"""How much a rival that is well known still counts as a partner: a little, for it may serve as the contrast."""

VARIETY = 0.2
"""The standard deviation, in the logarithm, by which chance raises or lowers each gain."""

LEFT_TO_CHANCE = 0.1
"""The share of places that chance fills, so that what the coach does for a player can be told from what chance does."""

FEW, REPEATS = 5, 0.6
"""On a level of at most so many figures, this share of the bars holds one of them twice: otherwise the beats that are
known would give the last one away."""

MOST_UNHEARD, FAR_LESS = 2, 1e6
"""How many figures that were never heard may come in one bar, and what is taken off the gain of a third: more than
any gain, yet finite, so that one can still be taken where there is nothing else."""


class ChosenFigure(NamedTuple):
    """A figure by its place in the level, and with which probability it was put there."""

    figure: int
    probability: float


@dataclass(frozen=True)
class Outlook:
    """The coach's beliefs as it chooses.

    ``abilities`` (G, K, A) P(rate, ability) of each figure; ``mistakes`` (K, K) P(said g | heard f, wrong); ``rested``
    (K,) bars since each was heard.
    """

    abilities: Floats
    mistakes: Floats
    rested: Ints

    def of(self, figures: Sequence[int]) -> "Outlook":
        """The same for some of the figures."""
        mistakes = self.mistakes[np.ix_(figures, figures)]
        return Outlook(self.abilities[:, figures], mistakes, self.rested[figures])

    def freshness(self) -> Floats:
        """The share of its gain that each figure brings by now (K,): less right after it was heard, then 1."""
        return np.asarray(1 - JUST_HEARD * np.exp(-(self.rested - 1) / RESTED_AFTER))

    def gains(self) -> Floats:
        """The gain expected from hearing each figure (K,)."""
        needed = np.einsum("gka,ga->k", self.abilities, NEED)
        alive = KEEP_ALIVE * np.minimum(self.rested, LONGEST) / KEEP_ALIVE_BARS
        return np.asarray(needed**SHARPNESS * self.freshness() + alive)

    def pair_gains(self) -> Floats:
        """The gain expected from hearing two figures in one bar, beyond that of each alone (K, K), symmetric."""
        abilities = self.abilities.sum(axis=0)
        wrong = 1 - abilities @ ABILITIES
        partner = KNOWN_PARTNER + (1 - KNOWN_PARTNER) * (abilities @ LACKING)
        mixed = wrong[:, None] * self.mistakes * partner
        # The root, since each of the two brings its own: together they weigh as much as one figure's freshness.
        fresh = np.sqrt(self.freshness())
        return np.asarray(PAIR_WEIGHT * (mixed + mixed.T) * fresh[:, None] * fresh)


def choose(
    outlook: Outlook, size: int, random: Random, met: Sequence[int], unheard: Collection[int] = ()
) -> list[ChosenFigure]:
    """The figures for a bar, the most wanted first; of the places one in ten is left to chance among those ``met``."""
    return [_perhaps_by_chance(figure, met, random) for figure in best(outlook, size, random, unheard)]


def best(outlook: Outlook, size: int, random: Random, unheard: Collection[int] = ()) -> list[int]:
    """The figures with the greatest gain: first the best pair, then one by one those that add most to the chosen.

    Chance decides between figures that promise about as much, so that they do not always come in the same
    company.  No more than two ``unheard`` figures come in one bar while there are others.  A level with fewer figures
    than the bar has places gives each again in turn; where there are few, the last place often repeats another.
    """
    gains, pairs = outlook.gains(), outlook.pair_gains()
    # Log-normal, so that the factor is never negative and halving is as likely as doubling.
    gains *= [random.lognormvariate(0, VARIETY) for _ in gains]
    chosen = _best_pair(gains, pairs)
    while len(chosen) < min(size, len(gains)):
        promise = gains + pairs[chosen].sum(axis=0)
        if len(set(unheard) & set(chosen)) >= MOST_UNHEARD:
            promise[list(unheard)] -= FAR_LESS
        promise[chosen] = -np.inf
        chosen.append(int(promise.argmax()))
    if size > 1 and len(gains) <= FEW and random.random() < REPEATS:
        # In the last place: in a bar of three beats or more the best pair stays whole.
        chosen = [*chosen[: size - 1], random.choice(chosen[: size - 1])]
    return [chosen[place % len(chosen)] for place in range(size)]


def _perhaps_by_chance(wanted: int, others: Sequence[int], random: Random) -> ChosenFigure:
    """The figure that is wanted, or now and then any of the others, with the probability of what it came to."""
    # Before anything was met there is no other figure that chance could take.
    if not others:
        return ChosenFigure(wanted, 1.0)
    figure = random.choice(others) if random.random() < LEFT_TO_CHANCE else wanted
    # The propensity that ``coach_effect`` divides by: chance may have drawn the very figure that the coach wanted too.
    probability = LEFT_TO_CHANCE / len(others) if figure in others else 0.0
    return ChosenFigure(figure, probability + (1 - LEFT_TO_CHANCE) * (figure == wanted))


def _best_pair(gains: Floats, pairs: Floats) -> list[int]:
    if len(gains) == 1:
        return [0]
    together = gains[:, None] + gains + pairs
    np.fill_diagonal(together, -np.inf)
    first, second = np.unravel_index(int(together.argmax()), together.shape)
    return [int(first), int(second)]
