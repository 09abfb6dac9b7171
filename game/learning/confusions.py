"""Which figures are taken for which: a Dirichlet row for each figure heard.

Before any answer a row expects the right figure and, of the others, those that sound alike
(R. N. Shepard 1957).  Each new answer to a figure fades the older ones, so that a confusion that was
overcome is forgotten.  Figures heard side by side are told apart the better for it (Brunmair & Richter 2019),
so that the next rival gets its turn.
"""

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from shared.likeness import likeness

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRIOR_RIGHT, PRIOR_WRONG = 2.0, 2.0
"""Prior answers' worth of right and of wrong names in each row."""

FLOOR = 0.03
"""The least likeness: any figure may be taken for any other."""

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
        self.prior = likeness_prior(figures)
        self.counts = np.zeros_like(self.prior)

    def note(self, heard: int, said: tuple[tuple[int, float], ...], weight: float) -> None:
        """Count an answer: what was said, by places in the level's figures, with shares that sum to 1."""
        self.counts[heard] *= KEPT
        for figure, share in said:
            if figure >= 0:
                self.counts[heard, figure] += weight * share

    def contrast(self, heard: Ints) -> None:
        """Take in that these figures were heard side by side, each with its solution."""
        kept = np.ones_like(self.prior)
        kept[np.ix_(heard, heard)] = CONTRASTED
        np.fill_diagonal(kept, 1.0)
        self.counts *= kept
        self.prior = np.maximum(FAINTEST, kept * self.prior)

    @property
    def posterior(self) -> Floats:
        """Dirichlet weights (K, K) after all answers."""
        return self.prior + self.counts

    def table(self) -> Floats:
        """P(said g | heard f) as (K, K) posterior means; each row sums to 1."""
        weights = self.posterior
        return np.asarray(weights / weights.sum(axis=1, keepdims=True))

    def mistakes(self) -> Floats:
        """P(said g | heard f, wrong): the table without its diagonal, rows summing to 1."""
        weights = self.posterior
        np.fill_diagonal(weights, 0.0)
        return np.asarray(weights / weights.sum(axis=1, keepdims=True))
