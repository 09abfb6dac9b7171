"""Which figures are taken for which: a Dirichlet row for each figure heard.

Before any answer a row expects, of the wrong figures, those that sound alike (R. N. Shepard 1957); how much more than
others is learned from this player's own mistakes.  A mistake counts for its mirror image as well: who says g for f may
say f for g.  Each new answer to a figure fades the older ones, so that a confusion that was overcome is forgotten.
Figures heard side by side are told apart the better for it (Brunmair & Richter 2019), so that the next rival gets its
turn.
"""

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from shared.likeness import distance, likeness

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRIOR_RIGHT, PRIOR_WRONG = 2.0, 2.0
"""Prior answers' worth of right and of wrong names in each row."""

FLOOR = 0.03
"""The least likeness: any figure may be taken for any other."""

STEEPNESS = (0.0, 0.5, 1.0, 2.0, 4.0)
"""How steeply mistakes may fall off with distance, from not at all; all as likely before any mistake."""

MIRRORED = 0.5
"""What a mistake counts for its mirror image."""

KEPT = 0.95
"""The weight that is left of a row's answers after one more."""

CONTRASTED, FAINTEST = 0.85, 1e-6
"""The weight that is left of a mix-up of two figures after both were heard in one bar, and the least."""


def likeness_prior(figures: tuple[Figure, ...]) -> Floats:
    """Dirichlet weights (K, K) before any answer: row f, what may be said on hearing f."""
    alike = np.array([[likeness(heard, said) + FLOOR for said in figures] for heard in figures])
    np.fill_diagonal(alike, 0.0)
    prior = PRIOR_WRONG * alike / np.maximum(alike.sum(axis=1, keepdims=True), 1e-9)
    np.fill_diagonal(prior, PRIOR_RIGHT)
    return np.asarray(prior)


class Confusions:
    """Counts, fading, of what was said to each figure, on top of the likeness prior."""

    def __init__(self, figures: tuple[Figure, ...]) -> None:
        apart = np.array([[distance(heard, said) for said in figures] for heard in figures])
        alike = np.exp(-np.array(STEEPNESS)[:, None, None] * apart) + FLOOR
        alike[:, np.arange(len(figures)), np.arange(len(figures))] = 0.0
        self._mistakes = alike / np.maximum(alike.sum(axis=-1, keepdims=True), 1e-9)
        self._steepness = np.full(len(STEEPNESS), 1 / len(STEEPNESS))
        self._untold = np.ones_like(apart)
        self.counts = np.zeros_like(apart)

    def note(self, heard: int, said: tuple[tuple[int, float], ...], weight: float) -> None:
        """Count an answer: what was said, by places in the level's figures, with shares that sum to 1."""
        self.counts[heard] *= KEPT
        for figure, share in said:
            if figure >= 0:
                self.counts[heard, figure] += weight * share
            if figure >= 0 and figure != heard:
                self.counts[figure, heard] += MIRRORED * weight * share
                self._steepness *= self._mistakes[:, heard, figure] ** (weight * share)
                self._steepness /= self._steepness.sum()

    def contrast(self, heard: Ints) -> None:
        """Take in that these figures were heard side by side, each with its solution."""
        kept = np.ones_like(self.counts)
        kept[np.ix_(heard, heard)] = CONTRASTED
        np.fill_diagonal(kept, 1.0)
        self.counts *= kept
        self._untold = np.maximum(FAINTEST, kept * self._untold)

    @property
    def prior(self) -> Floats:
        """Dirichlet weights (K, K) of what is said wrong, before any answer but for the steepness that was learned."""
        expected = np.tensordot(self._steepness, self._mistakes, axes=1)
        return np.asarray(PRIOR_WRONG * self._untold * expected)

    def mistakes(self) -> Floats:
        """P(said g | heard f, wrong), as (K, K) with nothing on the diagonal; rows sum to 1."""
        weights = self.prior + self.counts
        np.fill_diagonal(weights, 0.0)
        return np.asarray(weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-12))
