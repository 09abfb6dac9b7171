"""Shows a new figure, alone or over one that is like it, with its sticking and its count lit in time."""

from dataclasses import dataclass
from fractions import Fraction

from pygame import Rect, Surface

from game.widgets.comparison import Comparison
from game.widgets.look import Look
from shared.notation.marks import text_width
from shared.notation.page import COUNT_SIZE


@dataclass
class Met(Comparison):
    """A ``Comparison`` with ``hands``, in which ``lit`` is whichever stroke sounds.

    The light is one small mark that moves from count to count, since a field that flashes on each of four strokes
    a beat is too much for some eyes.
    """

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
