"""What the simulated learners hear: twenty figures, and how near they lie to each other."""

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from shared.bars import METERS
from shared.figures import Figure
from shared.levels import Level, Tempo

Floats = NDArray[np.float64]


def _onsets(divisions: int, picture: int) -> Figure:
    return Figure(tuple(Fraction(k, divisions) for k in range(divisions) if picture >> k & 1))


FIGURES = tuple(_onsets(4, picture) for picture in range(1, 16)) + tuple(
    _onsets(3, picture) for picture in (2, 3, 5, 6, 7)
)
"""Fifteen of the semiquaver grid and five of the triplet grid."""

LEVEL = Level(
    "bench",
    "Bench",
    METERS["4/4"],
    FIGURES,
    orchestrations=("snare", "down-the-kit", "kick-and-snare"),
    tempo=Tempo(60, 100),
)

PARTS, BLUR = 48, 0.06
"""How finely a beat is sampled, and the width in beats to which the ear blurs a stroke."""


def percepts() -> Floats:
    """Each figure as the ear might take it (K, PARTS + 1): strokes blurred in time, and their number.

    Another view than the coach's own likeness, on purpose.
    """
    time = np.arange(PARTS) / PARTS
    rows = []
    for figure in FIGURES:
        strokes = np.array([float(onset) for onset in figure.onsets])
        blurred = np.exp(-0.5 * ((time[None, :] - strokes[:, None]) / BLUR) ** 2).sum(axis=0)
        rows.append(np.append(blurred, 1.2 * len(strokes)))
    return np.array(rows)


def distances(random: np.random.Generator, spread: float = 0.35) -> Floats:
    """How far apart one learner hears the figures (K, K): symmetric, mean 1, each pair a little its own."""
    heard = percepts()
    apart = np.sqrt(((heard[:, None] - heard[None]) ** 2).sum(axis=-1))
    own = np.exp(spread * np.triu(random.standard_normal(apart.shape), 1))
    apart = np.triu(apart * own, 1)
    apart += apart.T
    return np.asarray(apart / apart[np.triu_indices_from(apart, 1)].mean())
