"""Hands follow the grid, for either leading hand."""

import pytest
from hypothesis import given

from shared.bars import Bar
from shared.counting import parse_bar
from shared.sticking import OTHER, STICKINGS, Hands, alternating, natural
from tests.shared.strategies import BARS


def swapped(hands: Hands) -> Hands:
    """The same strokes with the hands changed over."""
    return tuple(tuple(OTHER[hand] for hand in beat) for beat in hands)


@given(BARS)
def test_one_hand_for_each_stroke(bar: Bar) -> None:
    """Every rule gives each beat as many hands as it has strokes, and only R and L."""
    for rule in STICKINGS.values():
        hands = rule(bar)
        assert [len(beat) for beat in hands] == [len(figure.onsets) for figure in bar.figures]
        assert {hand for beat in hands for hand in beat} <= {"R", "L"}


@given(BARS)
def test_left_hand_lead_is_the_mirror(bar: Bar) -> None:
    """A left-hander plays every stroke with the other hand."""
    for rule in STICKINGS.values():
        assert rule(bar, "L") == swapped(rule(bar, "R"))


@given(BARS)
def test_alternating_hands_alternate(bar: Bar) -> None:
    """No hand plays twice running, and the leading hand begins."""
    strokes = [hand for beat in alternating(bar) for hand in beat]
    assert strokes == ["RL"[k % 2] for k in range(len(strokes))]


@given(BARS)
def test_natural_hands_leave_strokes_out(bar: Bar) -> None:
    """The natural hands are those of the full grids with the silent places left out."""
    full = [figure.grid.divisions for figure in bar.figures]
    for beat, (figure, hands) in enumerate(zip(bar.figures, natural(bar), strict=True)):
        before = sum(full[:beat])
        assert hands == tuple("RL"[(before + slot) % 2] for slot in figure.slots)


@pytest.mark.parametrize(
    ("count", "hands"),
    [
        ("1 e a 2 & 3 e a 4 & a", "RLL RR RLL RRL"),
        ("1 trip let 2 trip let 3 trip let 4", "RLR LRL RLR L"),
        ("1 trip let 2 & 3 let 4", "RLR LL LL R"),
        ("1 la li 2 la li", "RLR LRL"),
        ("1 ta la ta li ta 2 ta la ta li ta", "RLRLRL RLRLRL"),
    ],
)
def test_triplets_hand_over_the_lead(count: str, hands: str) -> None:
    """A beat of three swaps the lead, a beat of two, four, six or eight keeps it (common practice, no source)."""
    assert " ".join("".join(beat) for beat in natural(parse_bar(count))) == hands
