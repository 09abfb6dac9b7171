"""Estimates which figures this player takes for which: a table of P(said g | heard f, and wrong).

Each row is a Dirichlet distribution over the figures that may be said: prior weights plus counts of what was said.
The prior expects figures that sound alike to be mixed up most (R. N. Shepard 1957); how steeply that falls off with
distance is itself learned from the player's mistakes.  A mistake counts half for its mirror image as well: who says g
for f may say f for g.  Older answers fade with each new one, so that a confusion that was overcome is forgotten, and a
pair that was heard side by side fades faster (Brunmair & Richter 2019), so that the next rival gets its turn.
"""

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from shared.likeness import distance

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRIOR_WRONG = 2.0
"""The prior weight of all wrong figures together, in each row: so many mistakes."""

FLOOR = 0.03
"""The least likeness: however far apart, any figure may be taken for any other."""

STEEPNESS = (0.0, 0.5, 1.0, 2.0, 4.0)
"""The hypotheses for how steeply mistakes fall off with distance (exp(-steepness x distance)), from not at all;
before any mistake each is as likely."""

MIRRORED = 0.5
"""How much a mistake counts for its mirror image: g said for f, also as f said for g."""

KEPT = 0.95
"""The factor by which one more answer to a figure fades the older ones: after 14 answers half is left."""

CONTRASTED, FAINTEST = 0.85, 1e-6
"""The factor by which hearing two figures in one bar fades their mix-ups, and the least that is left of the prior:
above 0, for a row must still sum to 1 where a level has only these two."""


class Confusions:
    """The fading counts of what was said to each figure, and the prior that they are added to."""

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
            # Below 0: nothing was said, or a figure that the level no longer has.
            if figure >= 0:
                self.counts[heard, figure] += weight * share
            if figure >= 0 and figure != heard:
                self.counts[figure, heard] += MIRRORED * weight * share
                # Bayes over the hypotheses of steepness; a share of a class, or a doubtful bar, tells less.
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
        """The Dirichlet weights (K, K) that wrong names have without the counts, by the steepness learned so far."""
        expected = np.tensordot(self._steepness, self._mistakes, axes=1)
        return np.asarray(PRIOR_WRONG * self._untold * expected)

    def mistakes(self) -> Floats:
        """P(said g | heard f, wrong), as (K, K) with 0 on the diagonal; rows sum to 1."""
        weights = self.prior + self.counts
        np.fill_diagonal(weights, 0.0)
        return np.asarray(weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-12))
