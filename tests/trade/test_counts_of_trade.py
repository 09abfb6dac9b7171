"""The words drummers count with (common practice, no source)."""

from fractions import Fraction

import pytest

from shared.bars import METERS, Bar
from shared.counting import parse_bar
from shared.figures import COMPOUND_GRIDS, SIMPLE_GRIDS, Figure, Grid


def full(grid: Grid) -> Figure:
    return Figure(grid.places, grid.compound)


@pytest.mark.parametrize(
    ("name", "count"),
    [
        ("semiquaver", "1 e & a 2 e & a 3 e & a 4 e & a"),
        ("triplet", "1 trip let 2 trip let 3 trip let 4 trip let"),
        ("compound quaver", "1 la li 2 la li 3 la li 4 la li"),
    ],
)
def test_full_bars_are_counted_as_drummers_do(name: str, count: str) -> None:
    """A bar in which every place is played has every word."""
    grid = next(grid for grid in (*SIMPLE_GRIDS, *COMPOUND_GRIDS) if grid.name == name)
    meter = METERS["12/8" if grid.compound else "4/4"]
    assert Bar(meter, (full(grid),) * 4).count == count


def test_quavers_are_numbers_and_ands() -> None:
    """A bar of straight quavers is counted "1 & 2 & 3 & 4 &", each & half-way."""
    bar = parse_bar("1 & 2 & 3 & 4 &")
    assert [float(beat + at) for beat, at in bar.onsets()] == [k / 2 for k in range(8)]


def test_the_quarters_of_a_beat_have_four_words() -> None:
    """In "1 e & a" the words lie on the four quarters of the beat, in order."""
    assert parse_bar("1 e & a").figures[0].counted_places() == (
        (Fraction(0), "1"),
        (Fraction(1, 4), "e"),
        (Fraction(1, 2), "&"),
        (Fraction(3, 4), "a"),
    )


def test_1_e_a_leaves_out_the_and() -> None:
    """ "1 e a" is the group of four semiquavers without the &."""
    four, three = (parse_bar(count).figures[0].onsets for count in ("1 e & a", "1 e a"))
    assert set(four) - set(three) == {Fraction(1, 2)}


@pytest.mark.parametrize(
    ("meter", "crotchets"), [("2/4", 2), ("3/4", 3), ("4/4", 4), ("6/8", 3), ("9/8", 4.5), ("12/8", 6)]
)
def test_meters_hold_their_notes(meter: str, crotchets: float) -> None:
    """6/8 is two beats of three quavers, three crotchets in all; 4/4 is four beats of one crotchet."""
    assert METERS[meter].beats * METERS[meter].crotchets_in_beat == crotchets
