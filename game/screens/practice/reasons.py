"""Why a bar comes, as a page shows it: the figures drawn, and a short sentence."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.learning.question import Reason
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.look import Look
from game.widgets.notation import COUNTED, draw_layout, line_in, tile_layout
from shared.figures import Figure
from shared.levels import Level, spelling_in

FIGURE_WIDTH = 140
"""How wide a figure beside its sentence is at most, in units."""


def reason_below(look: Look, box: Rect, level: Level, reason: Reason) -> list[Widget]:
    """The figures with the sentence under them; a sentence alone stands at the top."""
    if not reason.figures:
        return [Label("reason", box, reason.words)]
    # A long sentence leaves a third of the box to the figures: without them it would not say of what it speaks.
    words_high = min(box.h * 2 // 3, look.height(reason.words, box.w))
    drawn, words = rows(box, [None, words_high], look.u(4))
    return _parts(level, reason, drawn, words)


def reason_beside(look: Look, box: Rect, level: Level, reason: Reason) -> list[Widget]:
    """The sentence with the figures before it, on one line."""
    wide = look.u(FIGURE_WIDTH) * len(reason.figures)
    drawn, words = columns(box, [wide, None], look.u(16)) if wide else (box, box)
    return _parts(level, reason, drawn, words)


def figures_picture(name: str, box: Rect, level: Level, figures: Sequence[Figure]) -> Picture:
    """A few figures side by side."""
    return Picture(name, box, partial(_draw, level=level, figures=tuple(figures)), least=COUNTED)


def _parts(level: Level, reason: Reason, drawn: Rect, words: Rect) -> list[Widget]:
    found: list[Widget] = [Label("reason", words, reason.words, middle=True)]
    if reason.figures:
        found.append(figures_picture("reason figures", drawn, level, reason.figures))
    return found


def _draw(canvas: Surface, look: Look, box: Rect, level: Level, figures: Sequence[Figure]) -> None:
    """The figures side by side on one line, as large as they fit."""
    layouts = [tile_layout(figure, spelling_in(level, figure)) for figure in figures]
    wide = min(look.u(FIGURE_WIDTH), box.w // len(layouts))
    space = min(fit(layouts, wide - look.u(10), box.h), look.u(9))
    line = box.y + line_in(box.h, layouts, space)
    for k, layout in enumerate(layouts):
        draw_layout(canvas, look, layout, (box.x + k * wide, line), space)
