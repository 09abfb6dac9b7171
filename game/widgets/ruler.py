"""The ruler over a bar: the numbers of its beats, and a small mark where the sound is."""

from collections.abc import Callable
from dataclasses import dataclass

from pygame import Rect, Surface

from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.look import Look

Where = Callable[[], tuple[str, int | None]]
"""A function that tells the word for what sounds, and the mark's column in pixels; None where there is no mark."""


@dataclass
class Ruler(Widget):
    """``columns`` are the middles of the beats' first notes, in pixels; ``where`` is asked at each painting.

    ``room`` is how many pixels from the left the word may take.
    """

    columns: tuple[int, ...]
    end: int
    room: int
    where: Where

    def lettering(self, look: Look) -> list[Lettered]:
        word, _ = self.where()
        return [letter(look, word, Rect(self.rect.x, self.rect.y, self.room, self.rect.h), "small", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        base = self.rect.bottom - look.u(10)
        thick = look.u(1.5)
        canvas.fill(theme.quiet, (self.columns[0], base, self.end - self.columns[0], thick))
        for column in self.columns:
            # Half of its thickness to each side: the mark of the beat is its middle.
            canvas.fill(theme.quiet, (column - thick // 2, base - look.u(6), thick, look.u(12)))
        write(canvas, self.lettering(look)[0], theme.accent)
        mark = self.where()[1]
        if mark is not None:
            look.dot(canvas, (mark, base), look.u(8), theme.accent)
