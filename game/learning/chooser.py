"""Which figures the next bar holds: those with the longest way to go, set against what they are taken for.

Juxtaposing what is mixed up is what teaches the difference (Brunmair & Richter 2019); coming back after
some bars rather than at once, mixed with other material, is what keeps it.
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
"""P(right) from which a figure counts as known, and the log-odds over which that is blurred."""

LACKING = 1 / (1 + ((ABILITIES / (1 - ABILITIES)) / (GOAL / (1 - GOAL))) ** (1 / SOFTNESS))
"""How far each ability falls short, from 1 (not known) to 0 (known)."""

AHEAD = 0.8
"""What each further hearing weighs against the one before, looking ahead over those that a figure may need."""

NEED = np.stack(
    [(1 - AHEAD) * np.linalg.solve(np.eye(len(ABILITIES)) - AHEAD * rate.lift(), LACKING) for rate in RATES]
)
"""How far each ability falls short over the hearings ahead (G, A), from 1 to 0: what is learned slowly needs more."""

SHARPNESS = 2.0
"""The power that sets what surely needs hearing before what may."""

JUST_HEARD, RESTED_AFTER = 0.5, 2.0
"""How much less a figure promises right after it was heard, and the bars that take most of that away."""

KEEP_ALIVE, KEEP_ALIVE_BARS, LONGEST = 0.2, 30, 40
"""What a figure promises that has rested for some bars, however well it is known, and the most that count."""

PAIR_WEIGHT = 1.0
"""What a pair's mix-ups count against what single figures need."""

KNOWN_PARTNER = 0.1
"""What a rival that is itself well known counts as a partner, against one that is not."""

VARIETY = 0.2
"""By how much, in the logarithm, chance raises or lowers what a figure promises."""

LEFT_TO_CHANCE = 0.1
"""The share of places that chance fills, so that what the coach does for a player can be told from what chance does."""

FEW, REPEATS = 5, 0.6
"""Up to so many figures, so many bars hold one twice: otherwise the beats that are known give the last one away."""

MOST_UNHEARD, FAR_LESS = 2, 1e6


class ChosenFigure(NamedTuple):
    """A figure by its place in the level, and with which probability it was put there."""

    figure: int
    probability: float


@dataclass(frozen=True)
class Outlook:
    """What the coach believes as it chooses.

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
        """How well a figure can be heard again (K,): little right after it was heard, then 1."""
        return np.asarray(1 - JUST_HEARD * np.exp(-(self.rested - 1) / RESTED_AFTER))

    def gains(self) -> Floats:
        """What hearing each figure promises (K,)."""
        needed = np.einsum("gka,ga->k", self.abilities, NEED)
        alive = KEEP_ALIVE * np.minimum(self.rested, LONGEST) / KEEP_ALIVE_BARS
        return np.asarray(needed**SHARPNESS * self.freshness() + alive)

    def pair_gains(self) -> Floats:
        """What hearing two figures together promises besides (K, K), symmetric."""
        abilities = self.abilities.sum(axis=0)
        wrong = 1 - abilities @ ABILITIES
        partner = KNOWN_PARTNER + (1 - KNOWN_PARTNER) * (abilities @ LACKING)
        mixed = wrong[:, None] * self.mistakes * partner
        fresh = np.sqrt(self.freshness())
        return np.asarray(PAIR_WEIGHT * (mixed + mixed.T) * fresh[:, None] * fresh)


def choose(
    outlook: Outlook, size: int, random: Random, met: Sequence[int], unheard: Collection[int] = ()
) -> list[ChosenFigure]:
    """The figures for a bar, the most wanted first; of the places one in ten is left to chance among those ``met``."""
    return [_perhaps_by_chance(figure, met, random) for figure in best(outlook, size, random, unheard)]


def best(outlook: Outlook, size: int, random: Random, unheard: Collection[int] = ()) -> list[int]:
    """What promises most: the best pair first, then by greatest gain.

    Chance decides between figures that promise about as much, so that they do not always come in the same
    company.  No more than two ``unheard`` figures come in one bar while there are others.  A level with fewer figures
    than the bar has places gives each again in turn; where there are few, the last place often repeats another.
    """
    gains, pairs = outlook.gains(), outlook.pair_gains()
    gains *= [random.lognormvariate(0, VARIETY) for _ in gains]
    chosen = _best_pair(gains, pairs)
    while len(chosen) < min(size, len(gains)):
        promise = gains + pairs[chosen].sum(axis=0)
        if len(set(unheard) & set(chosen)) >= MOST_UNHEARD:
            promise[list(unheard)] -= FAR_LESS
        promise[chosen] = -np.inf
        chosen.append(int(promise.argmax()))
    if size > 1 and len(gains) <= FEW and random.random() < REPEATS:
        chosen = [*chosen[: size - 1], random.choice(chosen[: size - 1])]
    return [chosen[place % len(chosen)] for place in range(size)]


def _perhaps_by_chance(wanted: int, others: Sequence[int], random: Random) -> ChosenFigure:
    """The figure that is wanted, or now and then any of the others, with the probability of what it came to."""
    if not others:
        return ChosenFigure(wanted, 1.0)
    figure = random.choice(others) if random.random() < LEFT_TO_CHANCE else wanted
    probability = LEFT_TO_CHANCE / len(others) if figure in others else 0.0
    return ChosenFigure(figure, probability + (1 - LEFT_TO_CHANCE) * (figure == wanted))


def _best_pair(gains: Floats, pairs: Floats) -> list[int]:
    if len(gains) == 1:
        return [0]
    together = gains[:, None] + gains + pairs
    np.fill_diagonal(together, -np.inf)
    first, second = np.unravel_index(int(together.argmax()), together.shape)
    return [int(first), int(second)]
