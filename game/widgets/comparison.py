"""Two figures one above the other on one time scale, so that the eye sees the stroke that moved."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import zip_longest

from pygame import Rect, Surface

from game.engraving.surface import on_one_scale
from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.boxes import rows
from game.widgets.look import Look
from game.widgets.notation import draw_layout, extent, line_in
from shared.difference import difference
from shared.figures import Figure
from shared.notation.engraved import Layout
from shared.notation.page import lay_out_figure
from shared.spelling import Spelling

WIDEST = 44.0
"""How wide a beat may become to fill its row, in staff spaces."""

STRIP = 1.9
"""How wide the strip of a stroke is, in staff spaces."""

Lit = tuple[int, Fraction] | None
"""The stroke that sounds and differs: its row, from 0, and its place in the beat."""

Written = tuple[Figure, Spelling]

Hands = tuple[str, ...]
"""The hand of each stroke."""


@dataclass
class Comparison(Widget):
    """One figure, or two that are told apart: ``words`` stand before each, ``lit`` is asked at each painting.

    ``largest`` is the largest staff space, in pixels; ``hands`` the sticking of each figure, where it is shown.

    Where only one of two has a stroke, a strip runs through both: a dot over the one that plays, a ring over the
    other.
    """

    figures: Sequence[Written]
    words: Sequence[str]
    lit: Callable[[], Lit]
    largest: int
    hands: Sequence[Hands] = ()
    layered = True

    def ink(self) -> Rect:
        """The pixels of the notation."""
        first, *others = [extent(layout, left, line, space) for layout, left, line, space in self.places()]
        return first.unionall(others)

    def lettering(self, look: Look) -> list[Lettered]:
        word = self._words_width()
        boxes = [Rect(box.x, box.y, word, box.h) for box in self._rows()]
        return [letter(look, text, box, "body", True) for text, box in zip(self.words, boxes, strict=True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        colours = (look.theme.accent, look.theme.warn)
        for row, lettered in enumerate(self.lettering(look)):
            write(canvas, lettered, colours[row])
        self._paint_behind(canvas, look)
        for layout, left, line, space in self.places():
            draw_layout(canvas, look, layout, (left, line), space)

    def _paint_behind(self, canvas: Surface, look: Look) -> None:
        """Draw what lies under the notes: of two figures, a strip for each stroke that only one of them has."""
        if len(self.figures) == 1:
            return
        apart = difference(self.figures[0][0], self.figures[1][0])
        lit = self.lit()
        for owner, onsets in enumerate((apart.only_first, apart.only_other)):
            for onset in onsets:
                for row in (0, 1):
                    self._paint_strip(canvas, look, row, onset, row == owner, lit == (row, onset))

    def _paint_strip(self, canvas: Surface, look: Look, row: int, onset: Fraction, plays: bool, lit: bool) -> None:
        theme, box = look.theme, self._rows()[row]
        layout, left, _, space = self.places()[row]
        wide = round(STRIP * space)
        strip = Rect(left + round(layout.column(0, onset) * space) - wide // 2, box.y, wide, box.h)
        colour, wash = ((theme.accent, theme.wash), (theme.warn, theme.warn_wash))[row]
        look.box(canvas, strip, wash if plays else None, colour if lit else theme.rule, 3 if lit else 1)
        mark = (strip.centerx, strip.y + look.u(9))
        radius = look.u(7 if lit else 5)
        look.dot(canvas, mark, radius, colour if plays else theme.quiet)
        # A ring is a dot with a dot of paper on it; form tells it from a full dot where colours can't be told apart.
        if not plays:
            look.dot(canvas, mark, radius - look.u(1.5), theme.paper)

    # Where everything lies

    def _rows(self) -> list[Rect]:
        return rows(self.rect, [None] * len(self.figures), max(2, self.rect.h // 30))

    def _words_width(self) -> int:
        return round(self.rect.w * 0.19)

    def places(self) -> list[tuple[Layout, int, int, int]]:
        """The layout of each row with its left edge, its line and its staff space, all in pixels."""
        boxes, left = self._rows(), self.rect.x + self._words_width()
        # Dots and rings stand over the notes of a pair; a figure alone has none and takes their room.
        marks = boxes[0].h // 6 if len(boxes) > 1 else 0
        high = boxes[0].h - marks
        size = (self.rect.right - left, high)
        layouts, space = _laid_out(tuple(self.figures), tuple(self.hands), size, self.largest)
        lines = [box.y + marks + line_in(high, layouts, space) for box in boxes]
        return [(layout, left, line, space) for layout, line in zip(layouts, lines, strict=True)]


@lru_cache(maxsize=64)
def _laid_out(
    figures: tuple[Written, ...], hands: tuple[Hands, ...], size: tuple[int, int], largest: int
) -> tuple[tuple[Layout, ...], int]:
    dressed = [(*written, played) for written, played in zip_longest(figures, hands)]

    def lay_out(beat: float) -> list[Layout]:
        return [lay_out_figure(figure, spelling, hands=played, least_beat=beat) for figure, spelling, played in dressed]

    return on_one_scale(lay_out, size, largest, WIDEST)
