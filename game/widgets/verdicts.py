"""Verdicts on a bar: right or not, in a sign and words."""

from dataclasses import dataclass

from pygame import Rect, Surface

from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.look import Look


@dataclass
class Verdict(Widget):
    """A beat's verdict: a tick or a cross, and a word or two."""

    right: bool
    words: str

    def lettering(self, look: Look) -> list[Lettered]:
        side = look.u(26)
        box = Rect(self.rect.x + side, self.rect.y, self.rect.w - side, self.rect.h)
        return [letter(look, self.words, box, "body", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        colour = look.theme.accent if self.right else look.theme.warn
        side = look.u(20)
        sign = Rect(self.rect.x, self.rect.centery - side // 2, side, side)
        look.shape(canvas, "tick" if self.right else "cross", sign, colour)
        write(canvas, self.lettering(look)[0], colour)
