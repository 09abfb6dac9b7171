"""Verdicts on a bar: right or not, in a sign and words, and what was said instead, on a staff of its own."""

from dataclasses import dataclass

from pygame import Rect, Surface

from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.look import Look
from game.widgets.notation import engraver, extent, palette
from shared.notation.engraved import Layout


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


@dataclass
class Aside(Widget):
    """The beats that were answered otherwise, on a short staff of their own under the bar's."""

    layout: Layout
    space: int
    left: int
    line: int
    beats: tuple[int, ...]

    def ink(self) -> Rect:
        whole = extent(self.layout, self.left, self.line, self.space)
        left, right = self.layout.beats[self.beats[0]].left, self.layout.beats[self.beats[-1]].right - 0.5
        return Rect(self.left + int(left * self.space), whole.y, int((right - left) * self.space), whole.h)

    def paint(self, canvas: Surface, look: Look) -> None:
        picture = engraver().picture(self.layout, self.space, palette(look.theme))
        at = (self.left - picture.left, self.line - picture.line)
        for beat in self.beats:
            span = self.layout.beats[beat]
            start, end = round(span.left * self.space), round(span.right * self.space)
            area = Rect(start + picture.left, 0, end - start - self.space // 2, picture.surface.get_height())
            canvas.blit(picture.surface, (at[0] + area.x, at[1]), area)
