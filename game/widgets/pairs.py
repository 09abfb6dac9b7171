"""Pairs of figures: a bar in which two take turns, and how figures are drawn side by side on a page."""

from collections.abc import Sequence
from itertools import cycle, islice

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.widgets.base import Draw
from game.widgets.boxes import columns
from game.widgets.look import Look
from game.widgets.notation import centred, draw_layout, draw_row, tile_layout
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level, spelling_in
from shared.notation.engraved import reach


def in_turn(level: Level, first: Figure, second: Figure) -> Bar:
    """A bar in which the two take turns."""
    return Bar(level.meter, tuple(islice(cycle((first, second)), level.meter.beats)))


def draw_figure(canvas: Surface, look: Look, box: Rect, level: Level, figure: Figure) -> None:
    """Draw a figure without its count in the middle of a box; all figures of a level have one size."""
    layouts = [tile_layout(one, spelling_in(level, one), count=False) for one in level.figures]
    space = min(fit(layouts, box.w, box.h), look.u(9))
    layout = tile_layout(figure, spelling_in(level, figure), count=False)
    draw_layout(canvas, look, layout, centred(layout, box, space), space)


def draw_figures(canvas: Surface, look: Look, box: Rect, level: Level, figures: Sequence[Figure]) -> None:
    """Draw a few figures side by side on one line, as large as they all fit."""
    layouts = [tile_layout(figure, spelling_in(level, figure)) for figure in figures]
    # Two columns at least: a figure alone is not to be larger than one of two.
    cells = columns(box, [None] * max(2, len(figures)), look.u(10))
    space = min(fit(layouts, cells[0].w, box.h), look.u(11))
    line = box.y + round(reach(layouts)[0] * space)
    for cell, layout in zip(cells, layouts, strict=False):
        draw_layout(canvas, look, layout, (cell.x, line), space)


def figure_in_row(level: Level, figure: Figure) -> Draw:
    """The drawing of a figure at the left of its place in a row of a list."""
    layouts = [tile_layout(figure, spelling_in(level, figure), count=False)]
    return lambda canvas, look, box: draw_row(canvas, look, Rect(box.x, box.y, min(box.w, look.u(96)), box.h), layouts)
