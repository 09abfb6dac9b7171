"""Distances between rhythms against the published ones.

Six five-stroke timelines on sixteen pulses: G. T. Toussaint, The Geometry of Musical Rhythm (2013), and "A
comparison of rhythmic similarity measures", ISMIR 2004.
"""

from fractions import Fraction

import pytest

from shared.likeness import chronotonic_distance, edit_distance, swap_distance

PULSES = 16
TIMELINES = {
    "shiko": "x...x.x...x.x...",
    "son": "x..x..x...x.x...",
    "soukous": "x..x..x...xx....",
    "rumba": "x..x...x..x.x...",
    "bossa-nova": "x..x..x...x..x..",
    "gahu": "x..x..x...x...x.",
}
ONSETS = {
    name: tuple(Fraction(pulse, PULSES) for pulse, sign in enumerate(row) if sign == "x")
    for name, row in TIMELINES.items()
}

SWAPS = {
    "shiko": (0, 1, 2, 2, 2, 3),
    "son": (1, 0, 1, 1, 1, 2),
    "soukous": (2, 1, 0, 2, 2, 3),
    "rumba": (2, 1, 2, 0, 2, 3),
    "bossa-nova": (2, 1, 2, 2, 0, 1),
    "gahu": (3, 2, 3, 3, 1, 0),
}
"""The least number of moves by one pulse (Toussaint 2004)."""

PAIRS = {
    ("shiko", "son"): (2, 6),
    ("shiko", "soukous"): (4, 14),
    ("shiko", "rumba"): (3, 10),
    ("son", "soukous"): (2, 8),
    ("son", "gahu"): (2, 8),
    ("soukous", "bossa-nova"): (2, 12),
    ("rumba", "gahu"): (4, 14),
    ("bossa-nova", "gahu"): (2, 6),
}
"""Edit and chronotonic distances in pulses, computed from the definitions."""


@pytest.mark.parametrize("name", TIMELINES)
def test_swap_table(name):
    """The table of swap distances is the published one."""
    assert tuple(PULSES * swap_distance(ONSETS[name], other) for other in ONSETS.values()) == SWAPS[name]


@pytest.mark.parametrize("pair", PAIRS)
def test_other_distances(pair):
    """Edit and chronotonic distances are those of the definitions."""
    first, second = (ONSETS[name] for name in pair)
    found = (
        edit_distance(first, second, PULSES),
        PULSES**2 * chronotonic_distance(first, second),
    )
    assert found == PAIRS[pair]


@pytest.mark.parametrize("measure", [swap_distance, chronotonic_distance])
def test_son_is_most_central(measure):
    """The son is nearest to all the others together (Toussaint 2002)."""
    sums = {name: sum(measure(mine, other) for other in ONSETS.values()) for name, mine in ONSETS.items()}
    assert min(sums, key=sums.__getitem__) == "son"
