"""The row of keys at the foot of a page: what each does, and a click does the same."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pygame import Rect, Surface

from game.engraving.shelf import shelved
from game.widgets import lettering
from game.widgets.base import Lettered, Widget, write
from game.widgets.look import Look
from game.widgets.moves import Next

SMALLEST = 8
"""The smallest type of a key, in pixels."""


@dataclass
class Hint(Widget):
    """A key cap and what the key does."""

    cap: str
    says: str
    act: Callable[[], Next]
    size: int

    def press(self) -> Next:
        return self.act()

    def lettering(self, look: Look) -> list[Lettered]:
        inset = look.u(7)
        cap_wide = lettering.width(self.cap, self.size, True)
        cap = Rect(self.rect.x + inset, self.rect.y, cap_wide, self.rect.h)
        words = Rect(cap.right + 2 * inset, self.rect.y, self.rect.right - cap.right - 2 * inset, self.rect.h)
        return [
            Lettered(text, box, lettering.fit(text, box.size, self.size, bold), bold)
            for text, box, bold in ((self.cap, cap, True), (self.says, words, False))
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        canvas.blit(_hint(look, self.rect.size, self.cap, self.says, self.size, self.hovered), self.rect)

    def draw(self, canvas: Surface, look: Look) -> None:
        """Draw the hint, as it is then kept and copied."""
        cap, words = self.lettering(look)
        height = lettering.line_height(self.size) + look.u(4)
        edge = Rect(0, 0, cap.box.w + 2 * look.u(7), height)
        edge.center = cap.box.center
        look.box(canvas, edge, look.theme.wash if self.hovered else look.theme.panel, look.theme.quiet, 1, 4)
        write(canvas, cap, look.theme.ink)
        write(canvas, words, look.theme.quiet)


@shelved(pixels=500_000)
def _hint(look: Look, extent: tuple[int, int], cap: str, says: str, size: int, hovered: bool) -> Surface:
    """The picture of a hint: copying it is far quicker than drawing it."""
    sheet = look.sheet(extent)
    Hint("", Rect((0, 0), extent), cap, says, lambda: None, size, hovered=hovered).draw(sheet, look)
    return sheet


def hint_row(look: Look, box: Rect, keys: Sequence[tuple[str, str, Callable[[], Next]]]) -> list[Hint]:
    """Lay keys, as (cap, what it does, act), in a row from the left; the type shrinks until all have room."""
    # All in one size: keys of different sizes would look as if some mattered less.
    usual = max(SMALLEST, look.type_size("small"))
    for size in range(usual, SMALLEST - 1, -1):
        widths = [_width(look, cap, says, size) for cap, says, _ in keys]
        gap = look.u(26) * size // usual
        if sum(widths) + gap * (len(widths) - 1) <= box.w:
            break
    hints, x = [], box.x
    for (cap, says, act), width in zip(keys, widths if keys else [], strict=True):
        hints.append(Hint(f"key {cap}", Rect(x, box.y, width, box.h), cap, says, act, size))
        x += width + gap
    return hints


def _width(look: Look, cap: str, says: str, size: int) -> int:
    return lettering.width(cap, size, True) + lettering.width(says, size) + 3 * look.u(7) + 1
