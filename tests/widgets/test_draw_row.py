"""Figures drawn in a row: never over what stands beside them."""

import pytest
from pygame import Rect, Surface, mask

from game.widgets.base import Draw
from game.widgets.look import Look
from game.widgets.notation import draw_row, tile_layout
from game.widgets.pairs import figure_in_row
from game.widgets.theme import THEMES
from shared.levels import find_level, spelling_in

LEVEL = find_level("stage-4")
LAYOUT = tile_layout(LEVEL.figures[2], spelling_in(LEVEL, LEVEL.figures[2]), False)

DRAWINGS: dict[str, Draw] = {
    "one": lambda canvas, look, box: draw_row(canvas, look, box, [LAYOUT]),
    "three": lambda canvas, look, box: draw_row(canvas, look, box, [LAYOUT] * 3),
    "in a list": figure_in_row(LEVEL, LEVEL.figures[2]),
}


@pytest.mark.parametrize("draw", DRAWINGS.values(), ids=DRAWINGS)
def test_figures_stay_in_their_box(draw: Draw) -> None:
    """With large type a list leaves little room between its words, and notes over words can't be read."""
    look = Look((1024, 640), THEMES["light"], 2.0)
    drawn = []
    for wide in range(10, 260, 10):
        canvas = Surface((400, 100))
        canvas.fill(look.theme.paper)
        box = Rect(60, 20, wide, 60)
        draw(canvas, look, box)
        ink = mask.from_threshold(canvas, look.theme.paper, (1, 1, 1, 255))
        ink.invert()
        parts = ink.get_bounding_rects()
        drawn.append(bool(parts))
        assert all(box.inflate(2, 2).contains(part) for part in parts), wide
    assert drawn[-1]
