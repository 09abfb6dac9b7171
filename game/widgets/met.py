"""Shows a new figure, alone or over one that is like it, with its sticking and its count lit in time."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.widgets.comparison import Comparison, Written
from game.widgets.look import Look
from game.widgets.notation import line_in
from shared.notation.engraved import Layout, beat_to_fill
from shared.notation.marks import text_width
from shared.notation.page import COUNT_SIZE, lay_out_figure

WIDEST = 40.0
"""How wide a beat may become to fill its row, in staff spaces."""

Hands = tuple[str, ...]
"""The hand of each stroke."""


@dataclass
class Met(Comparison):
    """A ``Comparison`` with the ``hands`` of each figure; ``lit`` is whichever stroke sounds.

    The light is one small mark that moves from count to count, since a field that flashes on each of four strokes
    a beat is too much for some eyes.
    """

    hands: Sequence[Hands] = ()

    def _paint_behind(self, canvas: Surface, look: Look) -> None:
        super()._paint_behind(canvas, look)
        lit = self.lit()
        if lit is not None and lit[0] < len(self.figures):
            self._paint_light(canvas, look, *lit)

    def _paint_light(self, canvas: Surface, look: Look, row: int, onset: Fraction) -> None:
        layout, left, line, space = self.places()[row]
        column = layout.column(0, onset)
        # The layout doesn't tell count from sticking; their type sizes do.
        counts = [word for word in layout.words if word.size == COUNT_SIZE]
        word = min(counts, key=lambda word: abs(word.x - column))
        wide = max(COUNT_SIZE, text_width(word.text, word.size) + 0.8) * space
        mark = Rect(0, 0, round(wide), round(COUNT_SIZE * 1.15 * space))
        # From the baseline up by 0.36 of the type size, about half of a capital: to the middle of the word.
        mark.center = left + round(word.x * space), line + round((word.y - 0.36 * COUNT_SIZE) * space)
        colour = (look.theme.accent, look.theme.warn)[row]
        look.box(canvas, mark, look.theme.paper, colour, 4)

    def places(self) -> list[tuple[Layout, int, int, int]]:
        boxes, left = self._rows(), self.rect.x + self._words_width()
        marks = boxes[0].h // 8 if len(boxes) > 1 else 0
        size = (self.rect.right - left, boxes[0].h - marks)
        layouts, space = _on_one_scale(tuple(self.figures), tuple(self.hands), size, self.largest)
        lines = [box.y + marks + line_in(size[1], layouts, space) for box in boxes]
        return [(layout, left, line, space) for layout, line in zip(layouts, lines, strict=True)]


@lru_cache(maxsize=64)
def _on_one_scale(
    figures: tuple[Written, ...], hands: tuple[Hands, ...], size: tuple[int, int], largest: int
) -> tuple[tuple[Layout, ...], int]:
    """The figures at one width of the beat, and the staff space at which they fill a row of that size."""
    dressed = [(figure, spelling, played) for (figure, spelling), played in zip(figures, hands, strict=True)]
    narrow = [lay_out_figure(figure, spelling, hands=played) for figure, spelling, played in dressed]
    space = min(fit(narrow, *size), largest)
    beat = beat_to_fill(narrow, size[0] / space, WIDEST)
    layouts = [lay_out_figure(figure, spelling, hands=played, least_beat=beat) for figure, spelling, played in dressed]
    return tuple(layouts), space
