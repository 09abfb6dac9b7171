"""P(answer | ability): what an answer, its time and its trustworthiness tell of how well a figure is known."""

import numpy as np
from numpy.typing import NDArray

from game.learning.paces import ABILITIES
from game.learning.trust import Beat, Weight

Floats = NDArray[np.float64]

_DOUBT = 1 - ABILITIES


def telling(bar: list[Beat], weights: list[Weight]) -> Floats:
    """The likelihood of each beat's answer at each ability, as (n, A), up to a factor for each beat."""
    counts, late, slope, spread = np.array([(weight.counts, *weight.pause) for weight in weights]).T[..., None]
    timed = -0.5 * ((late - slope * _DOUBT) / spread) ** 2
    return np.asarray(np.exp(counts * (_said(bar) + timed)))


def doubts(bar: list[Beat], abilities: Floats) -> Floats:
    """P(wrong) of each answered figure (n,) as it was when answered, now that the answer is known.

    ``abilities`` (n, A) is P(ability) before.  A right answer was given with less doubt than was to be expected.
    """
    known = abilities * np.exp(_said(bar))
    return np.asarray(known @ _DOUBT / known.sum(axis=1))


def _said(bar: list[Beat]) -> Floats:
    """The log-likelihood of what was said to each beat, its time left out, at each ability (n, A).

    An ability is P(right) with all figures on offer.  Who does not know guesses: with fewer on offer a wrong answer
    is rarer by the same factor at every ability, and a right one tells less.
    """
    right, rarer = np.array([(beat.right, beat.wrong) for beat in bar]).T[..., None]
    wrong = rarer * _DOUBT
    return np.asarray(np.log1p(-wrong) * right + np.log(wrong) * (1 - right))
