"""The figures that one figure is likeliest mixed up with."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shared.figures import Figure
from shared.likeness import likeness

FEW = 3


def neighbours(
    figure: Figure,
    figures: Sequence[Figure],
    confusion: NDArray[np.float64] | None = None,
) -> tuple[Figure, ...]:
    """Up to ``FEW`` other figures that are likeliest taken for ``figure`` or it for them, the likeliest first.

    ``confusion`` is the coach's table (K, K) in the order of ``figures``: P(said g | heard f).  Without it,
    or for a figure that is not among them, how alike they sound decides.  Only figures that fill the same
    kind of beat are named.
    """
    places = [k for k, other in enumerate(figures) if other != figure and other.compound == figure.compound]
    if confusion is not None and figure in figures:
        here = figures.index(figure)
        mixed = confusion[here] + confusion[:, here]
        places.sort(key=lambda k: -mixed[k])
    else:
        places.sort(key=lambda k: -likeness(figure, figures[k]))
    return tuple(figures[k] for k in places[:FEW])
