"""Short texts on a page: facts under their captions, verdicts with their sign, sentences one below the other."""

from collections.abc import Sequence
from dataclasses import dataclass

from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.boxes import grid
from game.widgets.classroom import BigLabel
from game.widgets.look import Look


@dataclass
class Fact(Widget):
    """A caption with its words below it."""

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
        # From the top, close under its caption: in the middle of a high box the two would fall apart.
        write(canvas, words, look.theme.ink, middle=False)


def facts(look: Look, box: Rect, told: Sequence[tuple[str, str]], across: int) -> list[Fact]:
    """Facts as (caption, words) in a grid; each is named ``fact`` and its caption."""
    cells = grid(box, len(told), across, look.u(10))
    return [Fact(f"fact {caption}", cell, caption, words) for cell, (caption, words) in zip(cells, told, strict=True)]


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
        # A sign beside the word, and not colour alone: not everyone tells red from green.
        sign = Rect(self.rect.x, self.rect.centery - side // 2, side, side)
        look.shape(canvas, "tick" if self.right else "cross", sign, colour)
        write(canvas, self.lettering(look)[0], colour)


def paragraphs(look: Look, box: Rect, name: str, texts: Sequence[str]) -> list[Widget]:
    """A label for each sentence, named by ``name`` and its number."""
    usual = look.type_size("body")
    # One size for all of them: each fitted by itself, the longest sentence would be the smallest.
    for size in range(usual, round(usual * lettering.SMALLEST) - 1, -1):
        gap = size // 2
        heights = _heights(box.w, texts, size)
        if sum(heights) + gap * (len(texts) - 1) <= box.h:
            break
    found: list[Widget] = []
    top, readable = box.y, round(usual * lettering.READABLE)
    for k, (text, height) in enumerate(zip(texts, heights, strict=True)):
        place = Rect(box.x, top, box.w, height)
        found.append(BigLabel(f"{name} {k}", place, text, size, bold=False, readable=readable))
        top += height + gap
    return found


def as_many(look: Look, box: Rect, texts: Sequence[str], most: int) -> list[str]:
    """The first of some sentences, at most so many and as can be read in a box; then how many more there are."""
    size = round(look.type_size("body") * lettering.READABLE)
    for shown in range(min(most, len(texts)), 0, -1):
        more = [f"and {len(texts) - shown} more"] if shown < len(texts) else []
        told = [*texts[:shown], *more]
        if sum(_heights(box.w, told, size)) + size // 2 * (len(told) - 1) <= box.h:
            break
    return told


def _heights(width: int, texts: Sequence[str], size: int) -> list[int]:
    # In a box as high as may be, since its height is asked for.
    return [lettering.fit(text, (width, 100_000), size).height for text in texts]
