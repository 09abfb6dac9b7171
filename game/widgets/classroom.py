"""Widgets to be read from the back row of a class: tiles with letters and hands, and the outcome of each beat.

Letters, and notes with their stems, are at least a twentieth of the picture's height; whatever else the room reads
has capitals and digits of 3.5 %: 20 minutes of arc at six picture heights (ISO 9241-303, preferred character height).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import ceil, floor

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.widgets import lettering
from game.widgets.base import Act, Lettered, Widget, write
from game.widgets.controls import Choice
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import EngravedTile, Tiling, centred, draw_layout, engraver, largest_tiling, line_in, palette
from game.widgets.stave import WIDEST_BEAT, Stave
from shared.figures import Figure
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, beat_to_fill
from shared.notation.marks import CAPITALS
from shared.notation.page import COUNT_SIZE, Dress, lay_out_bar

FLATTEST = 0.625
"""The height of the squarest projector picture, as a part of its width (16 : 10)."""

# The lower half of a head, and from its middle a stem of three and a half spaces.
NOTE_SPACES = 4.0
"""A note with its stem, in staff spaces."""

READABLE = 0.035
"""The least height of a capital or digit that the room reads, as a part of the picture's height."""

LARGEST_SPACE = 30.0
"""The largest staff space of a bar after the reveal, in units."""


# What the back row can read is a matter of angle, so everything here is a share of the picture's height: seen from six
# picture heights away 3.5 % of it are 20 minutes of arc, the size of capitals that ISO 9241-303 prefers.
def picture_height(look: Look) -> float:
    """The height of the picture that the back row sees, in pixels; of an upright window a landscape part."""
    return min(look.size[1], look.size[0] * FLATTEST)


def letter_size(look: Look) -> int:
    """The type size, in pixels, whose capitals are a twentieth of the picture's height."""
    return ceil(picture_height(look) / 20 / CAPITALS)


def count_size(look: Look) -> int:
    """The least type size, in pixels, of what the room reads: counts, numbers, names, sentences."""
    return ceil(picture_height(look) * READABLE / CAPITALS)


def least_space(look: Look, counted: bool) -> int:
    """The least staff space, in pixels, for notes that are read from the back row, with their count or without."""
    least = picture_height(look) / 20 / NOTE_SPACES
    return ceil(max(least, count_size(look) / COUNT_SIZE) if counted else least)


def sized(text: str, box: Rect, size: int, bold: bool = True) -> Lettered:
    """Text fitted to a box from a type size in pixels."""
    return Lettered(text, box, lettering.fit(text, (box.w, box.h), size, bold), bold)


def fitting(look: Look, width: int, *texts: str) -> str:
    """The first of some texts that can be read from the back row in one line of that width, else the last."""
    size = count_size(look)
    return next((text for text in texts if lettering.width(text, size, True) <= width), texts[-1])


@dataclass
class BigLabel(Widget):
    """A line for the back row, in a type size in pixels; larger type on its page must leave it ``readable``."""

    text: str
    size: int
    colour: str = "ink"
    align: str = "left"
    bold: bool = True
    readable: int = 0

    def is_whole(self, look: Look) -> bool:
        return self.size >= self.readable and super().is_whole(look)

    def lettering(self, look: Look) -> list[Lettered]:  # noqa: ARG002 - the size is given in pixels
        return [sized(self.text, self.rect, self.size, self.bold)]

    def paint(self, canvas: Surface, look: Look) -> None:
        write(canvas, self.lettering(look)[0], getattr(look.theme, self.colour), self.align)


@dataclass
class BigChoice(Choice):
    """One of a few, for the back row."""

    def lettering(self, look: Look) -> list[Lettered]:
        return [
            sized(words, cell, count_size(look)) for cell, (_, words) in zip(self._cells(), self.options, strict=True)
        ]


@dataclass
class VoteTile(EngravedTile):
    """A figure with its letter (``sign``).  Nothing on it tells of hands before the reveal."""

    sign: str = field(kw_only=True)
    left: int = field(kw_only=True)
    """Room for the letter, which the staff line must not run into."""

    def lettering(self, look: Look) -> list[Lettered]:
        inset = look.u(6)
        high = lettering.line_height(letter_size(look))
        top = Rect(self.rect.x + inset, self.rect.y + inset // 2, sign_width(look), min(high, self.rect.h))
        return [sized(self.sign, top, letter_size(look))]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        look.box(canvas, self.rect, theme.wash if self.hovered else theme.paper, theme.quiet, 1.5)
        write(canvas, self.lettering(look)[0], theme.accent)
        draw_layout(canvas, look, self.layout, self._at(), self.space)

    def _at(self) -> tuple[int, int]:
        wide = round(self.layout.width * self.space)
        side = self.rect.w - wide
        # Most of the free room lies left of the notation, where the letter stands, however wide that is.
        return self.rect.x + max(self.left, side * 3 // 4), self.rect.y + self.line


def sign_width(look: Look) -> int:
    """Room for the widest letter."""
    return lettering.width("W", letter_size(look), True) + look.u(4)


def vote_tiling(
    look: Look, box: Rect, counted: Sequence[Layout], bare: Sequence[Layout], gap: int
) -> tuple[Tiling, Sequence[Layout]]:
    """The largest tiles that fit, and what they show: ``counted`` if that is read from the back row, else ``bare``."""

    def largest(layouts: Sequence[Layout]) -> Tiling:
        edge = look.u(8)
        taken = sign_width(look) + edge, edge
        return largest_tiling(box.size, layouts, gap, taken, look.u(230), look.u(18), fewest=2)

    # A count that is too small for the back row is left out altogether: without it the notes become larger.
    with_counts = largest(counted)
    if with_counts.space >= least_space(look, True):
        return with_counts, counted
    return largest(bare), bare


def room_stave(
    look: Look, level: Level, figures: Sequence[Figure], tones: Sequence[str], box: Rect
) -> tuple[Stave, Layout]:
    """A bar as large as the box allows, drawn out to its width: with its count where that can be read, else without."""
    dress = Dress(spelled(level))
    layout = lay_out_bar(level.meter, figures, dress, tones)
    space = min(fit([layout], box.w, box.h), look.u(LARGEST_SPACE))
    if space < least_space(look, counted=True):
        dress = replace(dress, count=False)
        layout = lay_out_bar(level.meter, figures, dress, tones)
        space = min(fit([layout], box.w, box.h), look.u(LARGEST_SPACE))
    beat = beat_to_fill([layout], box.w / space, WIDEST_BEAT)
    layout = lay_out_bar(level.meter, figures, replace(dress, least_beat=beat), tones)
    left = box.x + (box.w - round(layout.width * space)) // 2
    return Stave(level, space, beat, left, box.y + line_in(box.h, [layout], space), box), layout


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
    """A beat before the reveal: its number, and at its right that hands were collected, but not which.

    ``number`` may be followed by the team that is asked.
    """

    number: str
    collected: str
    """How far hands were collected: "tick" for the whole room, or the teams asked so far of all, such as "1/2"."""
    state: str

    def lettering(self, look: Look) -> list[Lettered]:
        inside = self.rect.inflate(-look.u(24), -look.u(8))
        # A class has four teams at most, so nothing wider than this is ever told.
        told = lettering.width("4/4", count_size(look), True)
        left = Rect(inside.x, inside.y, inside.w - told, inside.h)
        found = [sized(self.number, left, count_size(look))]
        if self.collected != "tick":
            found.append(sized(self.collected, Rect(left.right, inside.y, told, inside.h), count_size(look)))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        fill, edge, weight = {
            "empty": (theme.panel, theme.quiet, 1.5),
            "filled": (theme.paper, theme.quiet, 1.5),
            "current": (theme.wash, theme.accent, 4),
            "groove": (theme.paper, theme.rule, 1),
        }[self.state]
        look.box(canvas, self.rect, fill, edge, weight)
        number, *told = self.lettering(look)
        write(canvas, number, theme.quiet if self.state == "groove" else theme.ink)
        for lettered in told:
            write(canvas, lettered, theme.accent, "right")
        if not told:
            side = count_size(look) * 3 // 4
            shape = Rect(self.rect.right - look.u(12) - side, self.rect.centery - side // 2, side, side)
            look.shape(canvas, "tick", shape, theme.accent)


@dataclass
class Outcome(Widget):
    """The outcome of a beat under its notes: its number where the notes have none, the right letter, and of how many
    that was right.

    ``right`` is whether most were, None where nothing was collected.  ``chosen`` marks the beat that is looked at.
    """

    number: str
    sign: str
    tally: str
    right: bool | None
    chosen: bool
    act: Act
    focusable: bool = field(default=True, kw_only=True)

    def press(self) -> Next:
        return self.act()

    def _inside(self, look: Look) -> tuple[Rect, Rect, Rect, Rect]:
        """The boxes of the number, the letter, the mark and the tally, from left to right."""
        box = self.rect.inflate(-look.u(10), -look.u(6))
        side = count_size(look)
        number = Rect(box.x, box.y, lettering.width(self.number, side, True), box.h)
        letter = Rect(number.right + look.u(5), box.y, lettering.width(self.sign, letter_size(look), True), box.h)
        mark = Rect(letter.right + look.u(6), box.centery - side * 3 // 8, side * 3 // 4, side * 3 // 4)
        left = mark.right + look.u(6) if self.right is not None else letter.right + look.u(4)
        return number, letter, mark, Rect(left, box.y, max(1, box.right - left), box.h)

    def lettering(self, look: Look) -> list[Lettered]:
        number, letter, _, tally = self._inside(look)
        size = count_size(look)
        found = [sized(self.sign, letter, letter_size(look)), sized(self.tally, tally, size)]
        return [*found, sized(self.number, number, size)] if self.number else found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        fill = theme.wash if self.chosen or self.hovered else theme.paper
        look.box(canvas, self.rect, fill, theme.accent if self.chosen else theme.rule, 4 if self.chosen else 1.5)
        sign, tally, *number = self.lettering(look)
        colour = theme.ink if self.right is None else theme.accent if self.right else theme.warn
        write(canvas, sign, theme.ink)
        for lettered in number:
            write(canvas, lettered, theme.quiet)
        if self.right is not None:
            look.shape(canvas, "tick" if self.right else "cross", self._inside(look)[2], colour)
        write(canvas, tally, colour)


@dataclass
class SaidTile(Widget):
    """A figure that was played or said: its letter, the figure, and who said it (``words``); framed while it sounds."""

    sign: str
    words: str
    layout: Layout
    space: int
    right: bool
    sounds: bool = False

    def _boxes(self, look: Look) -> tuple[Rect, Rect, Rect]:
        """The boxes of the letter, of the words under it, and of the figure right of both."""
        inset = look.u(8)
        box = self.rect.inflate(-2 * inset, -2 * inset)
        low = lettering.line_height(count_size(look))
        notes = round(self.layout.width * self.space)
        letter = Rect(box.x, box.y, sign_width(look), box.h - low)
        figure = Rect(box.right - max(notes, box.w - letter.w), box.y, max(notes, box.w - letter.w), box.h - low)
        return letter, Rect(box.x, box.bottom - low, box.w, low), figure

    def lettering(self, look: Look) -> list[Lettered]:
        letter, words, _ = self._boxes(look)
        return [sized(self.sign, letter, letter_size(look)), sized(self.words, words, count_size(look))]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        colour = theme.accent if self.right else theme.warn
        look.box(canvas, self.rect, theme.wash if self.right else theme.warn_wash, colour, 7 if self.sounds else 3)
        sign, words = self.lettering(look)
        write(canvas, sign, theme.ink)
        write(canvas, words, colour)
        box = self._boxes(look)[2]
        draw_layout(canvas, look, self.layout, centred(self.layout, box, self.space), self.space)
