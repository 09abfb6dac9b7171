"""Which figures the next bar holds: a pair worth contrasting, then what else has most to gain.

Juxtaposing what is mixed up is what teaches the difference (Brunmair & Richter 2019); coming back after
some bars rather than at once, mixed with other material, is what keeps it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FRESH_AFTER = 8.0
"""Bars after which a figure is as good as not just heard."""

PAIR_WEIGHT = 1.5
KEEP_ALIVE = 0.02
"""What a pair's mix-ups count against single figures' errors, and what any figure counts at least."""


@dataclass(frozen=True)
class Outlook:
    """What the coach believes as it chooses.

    ``wrong`` (K,) P(wrong) of each figure; ``mistakes`` (K, K) P(said g | heard f, wrong); ``rested`` (K,)
    bars since each was heard.
    """

    wrong: Floats
    mistakes: Floats
    rested: Ints

    def freshness(self) -> Floats:
        """From 0 (heard just now) to 1."""
        return np.asarray(1 - np.exp(-self.rested / FRESH_AFTER))

    def gains(self) -> Floats:
        """What hearing each figure promises (K,)."""
        return np.asarray((self.wrong + KEEP_ALIVE) * self.freshness())

    def pair_gains(self) -> Floats:
        """What hearing two figures together promises besides (K, K), symmetric, 0 on the diagonal."""
        mixed = self.wrong[:, None] * self.mistakes
        pooled = mixed + mixed.T
        fresh = self.freshness()
        return np.asarray(PAIR_WEIGHT * pooled * np.sqrt(fresh[:, None] * fresh[None, :]))


def choose(outlook: Outlook, size: int) -> list[int]:
    """The figures for a bar: the best pair first, then by greatest gain.

    A level with fewer figures than the bar has places gives each again in turn.
    """
    gains, pairs = outlook.gains(), outlook.pair_gains()
    chosen = _best_pair(gains, pairs)
    while len(chosen) < min(size, len(gains)):
        promise = gains + pairs[chosen].sum(axis=0)
        promise[chosen] = -1.0
        chosen.append(int(promise.argmax()))
    return [chosen[place % len(chosen)] for place in range(size)]


def _best_pair(gains: Floats, pairs: Floats) -> list[int]:
    together = gains[:, None] + gains[None, :] + pairs
    np.fill_diagonal(together, -1.0)
    first, second = np.unravel_index(int(together.argmax()), together.shape)
    return [int(first), int(second)] if len(gains) > 1 else [0]
