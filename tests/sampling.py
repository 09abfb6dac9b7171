"""Which cases of a large table the suite runs at every change, and which only the long run."""

from collections.abc import Sequence
from itertools import product
from typing import Any

import pytest
from _pytest.mark import ParameterSet


def some(one_in: int, *axes: Sequence[Any]) -> list[ParameterSet]:
    """Every combination of the axes, as cases of a test; all but one in so many are marked ``long``.

    The cases that stay lie on diagonals: while ``one_in`` is no longer than an axis, every value of the others stays,
    with each in turn.  So each page is seen in some window and each window with some pages.
    """
    cases = product(*(enumerate(axis) for axis in axes))
    return [
        pytest.param(*(value for _, value in case), marks=() if _stays(case, one_in) else pytest.mark.long)
        for case in cases
    ]


def _stays(case: Sequence[tuple[int, Any]], one_in: int) -> bool:
    return sum(place for place, _ in case) % one_in == 0
