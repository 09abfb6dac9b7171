"""Every figure that the six grids hold."""

from itertools import product

from shared.figures import COMPOUND_GRIDS, SIMPLE_GRIDS, Figure, Grid
from shared.spelling import spellings


def figures_of(grid: Grid) -> list[Figure]:
    """Every onset set of a grid."""
    choices = product((False, True), repeat=grid.divisions)
    return [Figure(tuple(p for p, on in zip(grid.places, row, strict=True) if on), grid.compound) for row in choices]


EVERY_FIGURE = list(dict.fromkeys(figure for grid in (*SIMPLE_GRIDS, *COMPOUND_GRIDS) for figure in figures_of(grid)))

EVERY_SPELLING = [spelling for figure in EVERY_FIGURE for spelling in spellings(figure)]
