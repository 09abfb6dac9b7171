"""Figures are what can be heard: sets of onsets inside one beat."""

from fractions import Fraction

import pytest

from shared.figures import BETWEEN, COMPOUND_GRIDS, SIMPLE_GRIDS, Figure, FigureError, Grid
from tests.shared.strategies import ALL_FIGURES, COMPOUND_FIGURES, SIMPLE_FIGURES, onset_sets

QUARTER, HALF = Fraction(1, 4), Fraction(1, 2)


def test_every_onset_set_is_a_figure() -> None:
    """A crotchet beat has 316 onset sets: those on eighths and on sixths, which share the subsets of {0, 1/2}."""
    assert len(SIMPLE_FIGURES) == 2**8 + 2**6 - 2**2
    assert len(COMPOUND_FIGURES) == 2**6


@pytest.mark.parametrize("grid", [*SIMPLE_GRIDS, *COMPOUND_GRIDS], ids=lambda grid: grid.name)
def test_a_figure_takes_the_coarsest_grid(grid: Grid) -> None:
    """No grid with fewer places holds the onsets of a figure's own grid."""
    for figure, _ in onset_sets(grid):
        grids = COMPOUND_GRIDS if figure.compound else SIMPLE_GRIDS
        coarser = grids[: grids.index(figure.grid)]
        assert figure.grid.holds(figure.onsets)
        assert not any(other.holds(figure.onsets) for other in coarser)


def test_slots_and_picture_tell_the_onsets() -> None:
    """The slots, the picture and the onsets of every figure say the same."""
    for figure in ALL_FIGURES:
        divisions = figure.grid.divisions
        assert tuple(Fraction(slot, divisions) for slot in figure.slots) == figure.onsets
        assert tuple(k for k, sign in enumerate(figure.picture) if sign == "x") == figure.slots
        assert len(figure.picture) == divisions


def test_counts_tell_figures_apart() -> None:
    """No two figures of one kind of beat are counted alike."""
    assert len({figure.count for figure in SIMPLE_FIGURES}) == len(SIMPLE_FIGURES)
    assert len({figure.count for figure in COMPOUND_FIGURES}) == len(COMPOUND_FIGURES)


def test_brackets_mark_what_is_not_played() -> None:
    """The words outside brackets are the strokes, in order and at their places."""
    for figure in ALL_FIGURES:
        played = [place for place, word in figure.counted_places(3) if not word.startswith("(")]
        assert tuple(played) == figure.onsets


def test_a_ta_follows_its_neighbour() -> None:
    """Every stroke between two counted places is counted right after the place before it."""
    for figure in ALL_FIGURES:
        places = dict(figure.counted_places())
        step = Fraction(1, figure.grid.divisions)
        between = [place for place, word in places.items() if word == BETWEEN]
        assert all(place - step in places for place in between)


def test_the_count_names_its_beat() -> None:
    """On beat 3 the figure begins with 3, played or silent."""
    assert Figure((0, QUARTER, 3 * QUARTER)).count_on(3) == "3 e a"
    assert Figure((HALF,)).count_on(3) == "(3) &"


def test_the_rest_is_a_figure() -> None:
    """Silence is counted too."""
    assert Figure(()).is_rest
    assert Figure(()).count == "(1)"
    assert not Figure((0,)).is_rest


def test_compound_and_simple_differ() -> None:
    """The same onsets are counted in another way in a dotted-crotchet beat, and are another figure."""
    thirds = (0, Fraction(1, 3), Fraction(2, 3))
    assert Figure(thirds).count == "1 trip let"
    assert Figure(thirds, compound=True).count == "1 la li"
    assert Figure(thirds) != Figure(thirds, compound=True)


def test_whole_numbers_become_fractions() -> None:
    """Onsets given as whole numbers are kept exact, so equal figures are equal keys."""
    assert Figure((0, HALF)) == Figure((Fraction(0), HALF))
    assert len({Figure((0,)), Figure((Fraction(0),))}) == 1


@pytest.mark.parametrize(
    ("onsets", "words"),
    [
        ((HALF, QUARTER), "ascend"),
        ((0, 0), "ascend"),
        ((Fraction(1),), "not including, 1"),
        ((-QUARTER,), "from 0"),
        ((-QUARTER, HALF), "from 0"),
        ((Fraction(1, 5),), "no grid of the crotchet beat"),
        ((Fraction(1, 8), Fraction(1, 3)), "no grid"),
    ],
)
def test_refuses_what_is_no_figure(onsets: tuple[Fraction, ...], words: str) -> None:
    """Onsets out of order, outside the beat or on no grid are refused by name."""
    with pytest.raises(FigureError, match=words):
        Figure(onsets)


def test_demisemiquavers_do_not_divide_a_compound_beat() -> None:
    """A quarter of a dotted crotchet lies on no compound grid."""
    with pytest.raises(FigureError, match="dotted-crotchet"):
        Figure((0, QUARTER), compound=True)
