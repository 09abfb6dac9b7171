"""Widgets to be read from the back row of a class: tiles with letters and hands, and the outcome of each beat.

Letters, and notes with their stems, are at least a twentieth of the picture's height; counts a thirtieth.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, floor

from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Lettered, Widget, write
from game.widgets.look import Look
from game.widgets.notation import EngravedTile, Tiling, draw_layout, engraver, largest_tiling, palette
from shared.notation.engraved import Layout

CAPITAL = 0.66
"""The height of a capital in type sizes (Atkinson Hyperlegible Next)."""

FLATTEST = 0.625
"""The height of the squarest projector picture, as a part of its width (16 : 10)."""

NOTE_SPACES = 4.0
"""A note with its stem, in staff spaces."""

COUNT_SIZE = 2.0
"""The type size of counts, in staff spaces."""


# What the back row can read is a matter of angle, so everything here is a share of the picture's height: seen from six
# picture heights away 3.5 % of it are 20 minutes of arc, the size of capitals that ISO 9241-303 prefers.
def picture_height(look: Look) -> float:
    """The height of the picture that the back row sees, in pixels; of an upright window a landscape part."""
    return min(look.size[1], look.size[0] * FLATTEST)


def letter_size(look: Look) -> int:
    """The type size, in pixels, whose capitals are a twentieth of the picture's height."""
    return ceil(picture_height(look) / 20 / CAPITAL)


def count_size(look: Look) -> int:
    """The least type size of counts and hands, in pixels."""
    return ceil(picture_height(look) / 30)


def least_space(look: Look, counted: bool) -> int:
    """The least staff space, in pixels, for notes that are read from the back row, with their count or without."""
    least = picture_height(look) / 20 / NOTE_SPACES
    return ceil(max(least, picture_height(look) / 30 / COUNT_SIZE) if counted else least)


def sized(text: str, box: Rect, size: int, bold: bool = True) -> Lettered:
    """Text fitted to a box from a type size in pixels."""
    return Lettered(text, box, lettering.fit(text, (box.w, box.h), size, bold), bold)


@dataclass
class BigLabel(Widget):
    """A line for the back row, in a type size in pixels."""

    text: str
    size: int
    colour: str = "ink"
    align: str = "left"
    bold: bool = True

    def lettering(self, look: Look) -> list[Lettered]:  # noqa: ARG002 - the size is given in pixels
        return [sized(self.text, self.rect, self.size, self.bold)]

    def paint(self, canvas: Surface, look: Look) -> None:
        write(canvas, self.lettering(look)[0], getattr(look.theme, self.colour), self.align)


@dataclass
class VoteTile(EngravedTile):
    """A figure with its letter (``sign``), and the hands typed for it."""

    sign: str = field(kw_only=True)
    hands: str = field(kw_only=True)

    def lettering(self, look: Look) -> list[Lettered]:
        side = _sign_width(look)
        inset = look.u(6)
        high = lettering.line_height(letter_size(look))
        top = Rect(self.rect.x + inset, self.rect.y + inset // 2, side, min(high, self.rect.h))
        found = [sized(self.sign, top, letter_size(look))]
        low = lettering.line_height(count_size(look))
        # A number of hands is shown only where it stays clear of the letter.
        if self.hands and self.rect.h >= high + low:
            box = Rect(top.x, self.rect.bottom - low - inset // 2, side, low)
            found.append(sized(self.hands, box, count_size(look)))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        fill = theme.wash if self.chosen or self.hovered else theme.paper
        look.box(canvas, self.rect, fill, theme.accent if self.chosen else theme.quiet, 4 if self.chosen else 1.5)
        sign, *hands = self.lettering(look)
        write(canvas, sign, theme.accent)
        for lettered in hands:
            write(canvas, lettered, theme.ink)
        draw_layout(canvas, look, self.layout, self._at(), self.space)

    def _at(self) -> tuple[int, int]:
        wide = round(self.layout.width * self.space)
        side = self.rect.w - wide
        # Three quarters of the free room lie left of the notation, where the letter stands.
        return self.rect.x + side * 3 // 4, self.rect.y + self.line


def _sign_width(look: Look) -> int:
    return round(letter_size(look) * 0.9)


def vote_tiling(
    look: Look, box: Rect, counted: Sequence[Layout], bare: Sequence[Layout], gap: int
) -> tuple[Tiling, Sequence[Layout]]:
    """The largest tiles that fit, and what they show: ``counted`` if that is read from the back row, else ``bare``."""

    def largest(layouts: Sequence[Layout]) -> Tiling:
        edge = look.u(14)
        taken = _sign_width(look) + edge, edge
        return largest_tiling(box.size, layouts, gap, taken, look.u(230), look.u(18), fewest=2)

    # A count that is too small for the back row is left out altogether: without it the notes become larger.
    with_counts = largest(counted)
    if with_counts.space >= least_space(look, True):
        return with_counts, counted
    return largest(bare), bare


@dataclass
class Halves(Widget):
    """A bar in two lines, for bars that are too dense to be read in one from the back row."""

    layout: Layout

    def _parts(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The two halves, in staff spaces from the layout's left edge."""
        middle = self.layout.beats[len(self.layout.beats) // 2].left
        return (0.0, middle), (middle, self.layout.width)

    @property
    def space(self) -> int:
        """The staff space, in pixels, at which both lines fit."""
        widest = max(right - left for left, right in self._parts())
        return max(4, floor(min(self.rect.w / widest, self.rect.h / 2 / self.layout.height)))

    def paint(self, canvas: Surface, look: Look) -> None:
        picture = engraver().picture(self.layout, self.space, palette(look.theme))
        high = picture.surface.get_height()
        for row, (left, right) in enumerate(self._parts()):
            # A picture begins a few pixels left of its layout: the first half takes these along.
            start = round(left * self.space) + (picture.left if row else 0)
            end = round(right * self.space) + picture.left + (picture.left if row else 0)
            top = self.rect.y + row * self.rect.h // 2
            canvas.blit(picture.surface, (self.rect.x, top), Rect(start, 0, end - start, high))


@dataclass
class BeatBox(Widget):
    """An asked beat before the reveal: its number, and the letter that was collected for it, if any."""

    number: str
    sign: str
    state: str

    def lettering(self, look: Look) -> list[Lettered]:
        inside = self.rect.inflate(-look.u(24), -look.u(8))
        half = inside.w // 2
        return [
            sized(self.number, Rect(inside.x, inside.y, half, inside.h), count_size(look)),
            sized(self.sign, Rect(inside.x + half, inside.y, inside.w - half, inside.h), letter_size(look)),
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        fill, edge, weight = {
            "empty": (theme.panel, theme.quiet, 1.5),
            "filled": (theme.paper, theme.quiet, 1.5),
            "current": (theme.wash, theme.accent, 4),
            "groove": (theme.paper, theme.rule, 1),
        }[self.state]
        look.box(canvas, self.rect, fill, edge, weight)
        number, sign = self.lettering(look)
        write(canvas, number, theme.quiet if self.state == "groove" else theme.ink)
        write(canvas, sign, theme.accent, "right")


@dataclass(frozen=True)
class Said:
    """The answer of a team, or the room, to a beat, and whether most were right; None where nothing was collected."""

    words: str
    right: bool | None


@dataclass
class Outcome(Widget):
    """The outcome of a beat, under its notes: the letter, and a line for each team or for the room."""

    sign: str
    lines: Sequence[Said]

    def _boxes(self, look: Look) -> tuple[Rect, list[Rect]]:
        high = lettering.line_height(letter_size(look))
        low = lettering.line_height(count_size(look))
        top = Rect(self.rect.x, self.rect.y, self.rect.w, high)
        return top, [Rect(top.x, top.bottom + k * low, top.w, low) for k in range(len(self.lines))]

    def lettering(self, look: Look) -> list[Lettered]:
        top, boxes = self._boxes(look)
        side = count_size(look)
        found = [sized(self.sign, top, letter_size(look))]
        for line, box in zip(self.lines, boxes, strict=True):
            found.append(sized(line.words, Rect(box.x + side, box.y, box.w - side, box.h), count_size(look)))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        sign, *words = self.lettering(look)
        write(canvas, sign, theme.ink)
        for line, box, lettered in zip(self.lines, self._boxes(look)[1], words, strict=True):
            colour = theme.ink if line.right is None else theme.accent if line.right else theme.warn
            side = count_size(look) * 3 // 4
            if line.right is not None:
                shape = Rect(box.x, box.centery - side // 2, side, side)
                look.shape(canvas, "tick" if line.right else "cross", shape, colour)
            write(canvas, lettered, colour)
