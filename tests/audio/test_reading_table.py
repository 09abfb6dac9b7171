"""Bars of many players are read as surely as the table of the measurements asks (tests/bench/test_reading.py)."""

import pytest

from tests.bench.test_reading import EXPECTED, SPREADS, limit, prototype, shares
from tests.sampling import some

BEATS, PROTOTYPE_BEATS = 400, 140
"""How many beats of a cell are read here, and how many the prototype's shares were counted on (120 to 160)."""

BEYOND = {("semiquavers", 120, 45), ("semiquavers", 160, 20), ("semiquavers", 160, 45), ("with triplets", 100, 20)}
"""Cells where no reader can tell as much of a known player: python -m tests.bench.reading_bound."""

CELLS = [(*cell, spread) for cell in EXPECTED for spread in SPREADS]


def noise(share: float, beats: int) -> float:
    """Three standard deviations of a share, in per cent, that was counted on so many beats."""
    # A share of all or none, once counted on few beats, is not known to be all or none.
    share = min(98.0, max(1.0, share))
    return 3 * float(share * (100 - share) / max(1, beats)) ** 0.5


@pytest.mark.parametrize(("cell", "known"), some(29, CELLS, [False, True]), ids=str)
def test_bars_are_told_and_rightly(cell: tuple[str, int, int], known: bool) -> None:
    """At most 1 % of what is told is wrong up to a spread of 30 ms, 3 % beyond; of a known player enough is told."""
    found, (right, told, wrong) = shares(*cell, known, BEATS), prototype(*cell)
    assert found.wrong <= limit(cell[2]) + noise(limit(cell[2]), found.beats)
    assert found.right >= right - noise(right, PROTOTYPE_BEATS)
    if known and cell not in BEYOND and cell[2] < SPREADS[-1]:
        goal = told if wrong <= 1 else told / 2
        assert found.told >= goal - noise(goal, PROTOTYPE_BEATS)
