"""Two figures one above the other: one time scale, and marks where only one of them has a stroke."""

from fractions import Fraction
from itertools import product

import pytest
from pygame import Rect, Surface

from game.widgets.comparison import Comparison
from game.widgets.look import Look
from game.widgets.theme import THEMES
from shared.counting import parse_figure
from shared.figures import Figure
from shared.levels import find_level, spelling_in
from tests.sampling import some

FIGURES = [*find_level("stage-8").figures, *find_level("mixed-grids").figures]
BOX = Rect(20, 30, 560, 200)


def compared(*counts: str, lit: tuple[int, Fraction] | None = None) -> Comparison:
    """Figures of beat 1, side by side."""
    figures = [parse_figure(count) for count in counts]
    level = find_level("stage-8")
    written = [(figure, spelling_in(level, figure)) for figure in figures]
    return Comparison("apart", BOX, written, ["It was", "You said"], lambda: lit, 15)


@pytest.mark.parametrize(("first", "other"), some(20, FIGURES, FIGURES), ids=str)
def test_equal_times_stand_in_equal_columns(first: Figure, other: Figure) -> None:
    """Whatever the two grids, the beat has one width, and all ink stays inside the box."""
    apart = compared(first.count, other.count)
    (upper, left, _, space), (lower, other_left, _, other_space) = apart.places()
    assert (left, space) == (other_left, other_space)
    for place, parts in product(range(12), (12,)):
        assert upper.column(0, place / parts) == pytest.approx(lower.column(0, place / parts))
    assert BOX.contains(apart.ink())


def painted(apart: Comparison) -> bytes:
    canvas = Surface((600, 260))
    canvas.fill(THEMES["light"].paper)
    apart.paint(canvas, Look((1280, 720), THEMES["light"]))
    return bytes(canvas.get_buffer().raw)


def test_only_strokes_that_differ_are_lit() -> None:
    """The e of 1 e & against 1 & a is lit when it sounds; the 1, which both have, is not."""
    silent = painted(compared("1 e &", "1 & a"))
    assert painted(compared("1 e &", "1 & a", lit=(0, Fraction(1, 4)))) != silent
    assert painted(compared("1 e &", "1 & a", lit=(0, Fraction(0)))) == silent
