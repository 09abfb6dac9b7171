"""Distances between rhythms do what their definitions say."""

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.counting import parse_figure
from shared.figures import Figure
from shared.likeness import chronotonic_distance, distance, edit_distance, likeness, swap_distance

FIGURES = [Figure(tuple(Fraction(k, 4) for k in range(4) if picture >> k & 1)) for picture in range(16)]
FIGURES += [Figure(tuple(Fraction(k, 3) for k in range(3) if picture >> k & 1)) for picture in (2, 3, 5, 6, 7)]

figures = st.sampled_from(FIGURES)


@given(figures, figures)
def test_symmetric(first, second):
    """Every distance is the same both ways, and likeness with it."""
    for measure in (swap_distance, edit_distance, chronotonic_distance):
        assert measure(first.onsets, second.onsets) == measure(second.onsets, first.onsets)
    assert likeness(first, second) == pytest.approx(likeness(second, first))


def test_only_the_same_is_no_distance_away():
    """Two figures are no distance apart only where they are the same."""
    for first, second in combinations(FIGURES, 2):
        assert distance(first, second) > 0
        assert 0 < likeness(first, second) < 1
    assert all(likeness(figure, figure) == 1 for figure in FIGURES)


@given(figures, figures, figures)
def test_edits_keep_triangle(first, second, third):
    """A detour is never shorter, in pulses of one grid that holds all three."""
    direct = edit_distance(first.onsets, third.onsets, 12)
    assert direct <= edit_distance(first.onsets, second.onsets, 12) + edit_distance(second.onsets, third.onsets, 12)


def test_swap_with_different_numbers_of_strokes():
    """Every stroke of the fuller figure goes to one of the sparser: "1 e & a" to "1 &" moves two by a quarter."""
    full, pair = parse_figure("1 e & a"), parse_figure("1 &")
    assert swap_distance(full.onsets, pair.onsets) == Fraction(1, 2)


def test_swap_against_silence():
    """Against the rest every stroke moves a whole beat."""
    assert swap_distance(parse_figure("1 e a").onsets, ()) == 3


def test_chronotonic_by_hand():
    """Intervals of "1 e a" are 1/4 1/2 1/4 and of "1 & a" 1/2 1/4 1/4: they differ by 1/4 over half a beat."""
    first, second = parse_figure("1 e a"), parse_figure("1 & a")
    assert chronotonic_distance(first.onsets, second.onsets) == Fraction(1, 8)


def test_near_pairs_are_likest():
    """ "1 a" is likest to "1 let" of all triplets: they differ by a twelfth of a beat (arithmetic)."""
    heard = parse_figure("1 a")
    triplets = [figure for figure in FIGURES if figure.grid.name == "triplet"]
    assert max(triplets, key=lambda figure: likeness(heard, figure)) == parse_figure("1 let")
