"""The row of keys at the foot of a page: what each does, and a click does the same."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

from pygame import Rect, Surface

from game.engraving.shelf import shelved
from game.widgets import lettering
from game.widgets.base import Lettered, Widget, write
from game.widgets.look import Look
from game.widgets.moves import Next

FOOT = 50
"""The usual height of the foot, in units."""

SMALLEST = 8
"""The least type size of a key, in pixels."""


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
        # Large type may leave less than that at the foot, and a key without its upper and lower edge is none.
        height = min(lettering.line_height(self.size) + look.u(4), self.rect.h - look.u(2))
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
    """Lay keys, as (cap, what it does, act), in a row from the left, or in two where one would make them small."""
    # All in one size: keys of different sizes would look as if some mattered less.
    usual = max(SMALLEST, look.type_size("small"))
    readable = ceil(lettering.READABLE * usual)
    # First a single line, down to what is still read well; then whichever is larger, one line or two.
    lower = [
        (rows, size)
        for size in range(usual, SMALLEST, -1)
        for rows in (1, 2)
        if lettering.line_height(size) * rows <= box.h
    ]
    plans = [(1, size) for size in range(usual, readable - 1, -1)] + lower
    for rows, size in plans:
        widths = [_width(look, cap, says, size) for cap, says, _ in keys]
        lines = _lines(widths, look.u(26) * size // usual, box.w)
        if len(lines) <= rows:
            break
    hints, high = [], box.h // max(1, len(lines))
    for number, line in enumerate(lines):
        for place, x in line:
            cap, says, act = keys[place]
            area = Rect(box.x + x, box.y + number * high, widths[place], high)
            hints.append(Hint(f"key {cap}", area, cap, says, act, size))
    return hints


def hint_height(look: Look, width: int, keys: Sequence[tuple[str, str, Callable[[], Next]]]) -> int:
    """The height that a row of keys needs, in pixels, to be read well in so wide a foot: that of one line or of two."""
    readable = ceil(lettering.READABLE * look.type_size("small"))
    widths = [_width(look, cap, says, readable) for cap, says, _ in keys]
    one = len(_lines(widths, look.u(26) * readable // look.type_size("small"), width)) <= 1
    return look.u(FOOT) if one else max(look.u(FOOT), 2 * (lettering.line_height(readable) + look.u(6)))


def _lines(widths: Sequence[int], gap: int, room: int) -> list[list[tuple[int, int]]]:
    """Boxes of such widths in as many lines as they need: the place of each in the row, and how far right it begins."""
    lines: list[list[tuple[int, int]]] = []
    x = room
    for place, width in enumerate(widths):
        if not lines or x + width > room:
            lines.append([])
            x = 0
        lines[-1].append((place, x))
        x += width + gap
    return lines


def _width(look: Look, cap: str, says: str, size: int) -> int:
    return lettering.width(cap, size, True) + lettering.width(says, size) + 3 * look.u(7) + 1
