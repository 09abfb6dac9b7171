"""Facts on a page: a quiet caption over a few words, in even cells."""

from collections.abc import Sequence
from dataclasses import dataclass

from pygame import Rect, Surface

from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.boxes import grid
from game.widgets.look import Look


@dataclass
class Fact(Widget):
    """A caption, and below it what is so."""

    caption: str
    words: str

    def lettering(self, look: Look) -> list[Lettered]:
        high = min(look.line("small"), self.rect.h // 2)
        upper = Rect(self.rect.x, self.rect.y, self.rect.w, high)
        lower = Rect(self.rect.x, upper.bottom, self.rect.w, self.rect.h - high)
        return [letter(look, self.caption, upper, "small"), letter(look, self.words, lower, "body", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        caption, words = self.lettering(look)
        write(canvas, caption, look.theme.quiet)
        write(canvas, words, look.theme.ink, middle=False)


def facts(look: Look, box: Rect, told: Sequence[tuple[str, str]], across: int) -> list[Fact]:
    """Facts as (caption, words) in a grid; each is named ``fact`` and its caption."""
    cells = grid(box, len(told), across, look.u(10))
    return [Fact(f"fact {caption}", cell, caption, words) for cell, (caption, words) in zip(cells, told, strict=True)]
