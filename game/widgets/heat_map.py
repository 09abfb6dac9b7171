"""The confusion table as a map: notation and count on both axes, the number in every cell, a cell to be chosen.

Right and mixed up are two kinds of cells.  What was right stands on the diagonal, in round cells with a bar that fills
from left to right.  What was mixed up stands off it, in square cells: the larger its share, the further its colour is
from the paper's, in five steps, so that what matters most is seen first.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from math import ceil

import pygame
from pygame import Rect, Surface

from game.engraving.surface import SMALLEST_SPACE
from game.sessions.progress.progress import ConfusionTable
from game.widgets.base import Act, Lettered, Widget, letter, write
from game.widgets.boxes import columns, first_seen
from game.widgets.keycaps import key_name
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import tile_layout
from game.widgets.pairs import draw_figure
from game.widgets.theme import Theme, contrast
from shared.levels import Level, spelled

_ON_PAPER = ("#FDEFDE", "#F6BF87", "#D97A1E", "#873A04", "#441800")
# Steps and not a smooth scale: five shades can be told apart and named in a legend.  The number stands in every cell.
MIXED = {
    "light": _ON_PAPER,
    "dark": ("#3A2A12", "#7A4A10", "#B97A2A", "#EDB45E", "#FCE7C4"),
    "projector": _ON_PAPER,
}
"""The steps of what was mixed up, by the theme's name: the further from its paper, the more."""

BOUNDS = (0.05, 0.15, 0.3, 0.6)
"""Shares at which the next step begins."""

LEAST_CELL = 42
"""The least width of a cell, in units: a larger table is shown in part, around the chosen cell."""

LEAST_HEIGHT = 36
"""The least height of a cell, in units: a number over the bar of what was right."""


@dataclass(frozen=True)
class Least:
    """The least sizes of the map in pixels: a cell's width and height, and the room of the heads at left and top."""

    wide: int
    high: int
    left: int
    top: int


@lru_cache(maxsize=16)
def least_sizes(look: Look, level: Level) -> Least:
    """The smallest map of a level in which every head has its notation and its whole count."""
    layouts = [tile_layout(figure, spelled(level)[figure], count=False) for figure in level.figures]
    notes = ceil(max(layout.width for layout in layouts) * SMALLEST_SPACE) + look.u(6)
    counts = [level.as_shown(figure.count) for figure in level.figures]
    in_a_line = max(look.width(count, "small") for count in counts)
    wide = max(look.u(LEAST_CELL), notes, max(_in_two(look, count) for count in counts) + look.u(8))
    lines = 1 if in_a_line <= wide - look.u(6) else 2
    high = max(look.u(LEAST_HEIGHT), look.line("small") + look.u(12))
    left = max(notes, look.u(56)) + in_a_line + look.u(22)
    return Least(wide, high, left, look.u(46) + lines * look.line("small"))


def _in_two(look: Look, count: str) -> int:
    """How wide a count is in at most two lines."""
    words = count.split()
    parts = [(" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words))]
    # The break that leaves the wider of both lines narrowest; a count of one word has none.
    return min((max(look.width(part, "small") for part in two) for two in parts), default=look.width(count, "small"))


def step_of(share: float, theme: Theme) -> str:
    """The colour of a share above 0 that was mixed up."""
    return MIXED[theme.name][sum(share >= bound for bound in BOUNDS)]


def ink_on(colour: str) -> str:
    """Black or white, whichever is read better."""
    return max(("#000000", "#FFFFFF"), key=lambda ink: contrast(ink, colour))


def draw_right(canvas: Surface, look: Look, rect: Rect, share: float) -> None:
    """A round cell with a bar as long as the share that was right."""
    theme, high = look.theme, look.u(6)
    look.box(canvas, rect, theme.paper, theme.accent, 2, radius=11)
    track = Rect(rect.x + look.u(9), rect.bottom - high - look.u(5), rect.w - 2 * look.u(9), high)
    look.box(canvas, track, theme.rule, radius=3)
    if share:
        look.box(canvas, Rect(track.x, track.y, max(high, round(track.w * share)), high), theme.accent, radius=3)


@dataclass
class HeatMap(Widget):
    """Rows are what was heard, columns what was said.  Arrows choose a cell, Enter acts on it.

    ``least`` are the smallest sizes, from ``least_sizes``.
    """

    table: ConfusionTable
    level: Level
    least: Least
    cell: tuple[int, int]
    change: Callable[[tuple[int, int]], None]
    act: Act
    focusable: bool = field(default=True, kw_only=True)
    repeats = True

    def press(self) -> Next:
        return self.act()

    def click(self, at: tuple[int, int]) -> Next:
        chosen = next((place for place, rect in self.cells(self.sizes()) if rect.collidepoint(at)), None)
        if chosen is not None:
            self.change(chosen)
        return None

    def take(self, event: pygame.Event) -> bool:
        step = {"left": (0, -1), "right": (0, 1), "up": (-1, 0), "down": (1, 0)}.get(key_name(event))
        if step is None:
            return False
        row, column = self.cell[0] + step[0], self.cell[1] + step[1]
        last = len(self.level.figures) - 1
        if not (0 <= row <= last and 0 <= column <= last):
            return False
        self.change((row, column))
        return True

    def lettering(self, look: Look) -> list[Lettered]:
        sizes = self.sizes()
        return [*self._numbers(look, sizes), *self.heads(look, sizes)]

    def _numbers(self, look: Look, sizes: "_Sizes") -> list[Lettered]:
        """The numbers of the cells; over the bar where it is of what was right."""
        bar = look.u(10)
        boxes = (
            (place, Rect(rect.x, rect.y, rect.w, rect.h - bar * (place[0] == place[1])))
            for place, rect in self.cells(sizes)
        )
        return [letter(look, self._number(place), box, "small", True) for place, box in boxes]

    def heads(self, look: Look, sizes: "_Sizes") -> list[Lettered]:
        """The counts of the rows, then of the columns."""
        counts = [self.level.as_shown(figure.count) for figure in self.level.figures]
        notes = self.least.left - self._counts_wide(look)
        found = []
        for k in range(sizes.rows):
            top = sizes.top + k * sizes.high
            box = Rect(self.rect.x + notes, top, self._counts_wide(look) - look.u(8), sizes.high)
            found.append(letter(look, counts[sizes.first_row + k], box, "small"))
        for k in range(sizes.columns):
            box = Rect(sizes.left + k * sizes.wide, self.rect.y + look.u(42), sizes.wide, self.least.top - look.u(46))
            found.append(letter(look, counts[sizes.first_column + k], box.inflate(-look.u(4), 0), "small"))
        return found

    def _counts_wide(self, look: Look) -> int:
        return max(look.width(self.level.as_shown(figure.count), "small") for figure in self.level.figures) + look.u(14)

    def paint(self, canvas: Surface, look: Look) -> None:
        sizes = self.sizes()
        self._paint_axes(canvas, look, sizes)
        for (place, rect), lettered in zip(self.cells(sizes), self._numbers(look, sizes), strict=True):
            self._paint_cell(canvas, look, place, rect, lettered)
        self._paint_more(canvas, look, sizes)
        for place, rect in self.cells(sizes):
            if place == self.cell:
                # A light edge under the dark one: on every colour one of the two can be seen.
                look.box(canvas, rect.inflate(look.u(4), look.u(4)), edge=look.theme.paper, weight=6, radius=2)
                look.box(canvas, rect.inflate(look.u(4), look.u(4)), edge=look.theme.ink, weight=3, radius=2)

    def _paint_cell(self, canvas: Surface, look: Look, place: tuple[int, int], rect: Rect, number: Lettered) -> None:
        share = float(self.table.shares[place])
        inner = rect.inflate(-look.u(4), -look.u(4))
        if place[0] == place[1]:
            draw_right(canvas, look, inner, share)
            write(canvas, number, look.theme.ink, "centre")
        elif share:
            colour = step_of(share, look.theme)
            look.box(canvas, inner, colour, look.theme.quiet, radius=1)
            write(canvas, number, ink_on(colour), "centre")
        else:
            write(canvas, number, look.theme.quiet, "centre")

    def _paint_axes(self, canvas: Surface, look: Look, sizes: "_Sizes") -> None:
        figures, notes = self.level.figures, self.least.left - self._counts_wide(look) - look.u(8)
        for k in range(sizes.rows):
            box = Rect(self.rect.x, sizes.top + k * sizes.high, notes, sizes.high)
            draw_figure(canvas, look, box, self.level, figures[sizes.first_row + k])
        for k in range(sizes.columns):
            box = Rect(sizes.left + k * sizes.wide, self.rect.y, sizes.wide, look.u(42))
            draw_figure(canvas, look, box, self.level, figures[sizes.first_column + k])
        for head in self.heads(look, sizes)[: sizes.rows]:
            write(canvas, head, look.theme.ink)
        for head in self.heads(look, sizes)[sizes.rows :]:
            write(canvas, head, look.theme.ink, "centre")

    def _paint_more(self, canvas: Surface, look: Look, sizes: "_Sizes") -> None:
        """Signs that the table goes on beyond what is shown."""
        last, side = len(self.level.figures), look.u(16)
        low, right = sizes.top + sizes.rows * sizes.high, sizes.left + sizes.columns * sizes.wide
        signs = (
            ("up", sizes.first_row > 0, (sizes.left - side, sizes.top)),
            ("down", sizes.first_row + sizes.rows < last, (sizes.left - side, low - side)),
            ("left", sizes.first_column > 0, (sizes.left, sizes.top - side)),
            ("right", sizes.first_column + sizes.columns < last, (right - side, sizes.top - side)),
        )
        for kind, there, at in signs:
            if there:
                look.shape(canvas, kind, Rect(at, (side, side)), look.theme.accent)

    def _number(self, place: tuple[int, int]) -> str:
        """The share in per cent; a dash where the figure was never heard."""
        if not self.table.heard[place[0]]:
            return "–"
        return f"{self.table.shares[place] * 100:.0f}"

    def sizes(self) -> "_Sizes":
        least, count = self.least, len(self.level.figures)
        left, top = self.rect.x + least.left, self.rect.y + least.top
        # As many whole cells as there is room for; those then grow to fill it, up to a bound where few are left.
        columns = max(1, min(count, (self.rect.right - left) // least.wide))
        shown = max(1, min(count, (self.rect.bottom - top) // least.high))
        wide = min((self.rect.right - left) // columns, least.wide * 3)
        high = min((self.rect.bottom - top) // shown, least.high * 2)
        first = first_seen(self.cell[0], shown, count), first_seen(self.cell[1], columns, count)
        return _Sizes(left, top, wide, high, shown, columns, *first)

    def cells(self, sizes: "_Sizes") -> list[tuple[tuple[int, int], Rect]]:
        return [
            (
                (sizes.first_row + row, sizes.first_column + column),
                Rect(sizes.left + column * sizes.wide, sizes.top + row * sizes.high, sizes.wide, sizes.high),
            )
            for row in range(sizes.rows)
            for column in range(sizes.columns)
        ]


@dataclass
class Legend(Widget):
    """The legend of the map: the steps of colour with the per cent that each ends at, and the bar of what was right."""

    @staticmethod
    def height(look: Look) -> int:
        """How high it must be, in pixels."""
        return look.u(18) + 2 * look.line("small") + look.u(34)

    def _swatches(self, look: Look) -> list[Rect]:
        box = Rect(self.rect.x, self.rect.y + look.line("small"), self.rect.w, look.u(18))
        return columns(box, [None] * (len(BOUNDS) + 1), 4)

    def _sample(self, look: Look) -> Rect:
        return Rect(self.rect.x, self.rect.bottom - look.u(28), look.u(64), look.u(28))

    def lettering(self, look: Look) -> list[Lettered]:
        low = look.line("small")
        words = [*(f"to {bound * 100:.0f}" for bound in BOUNDS), "more"]
        boxes = [Rect(cell.x, cell.bottom, cell.w, low) for cell in self._swatches(look)]
        sample = self._sample(look)
        beside = Rect(sample.right + look.u(10), sample.y, self.rect.right - sample.right - look.u(10), sample.h)
        return [
            letter(look, "Mixed up, per cent of the row", Rect(self.rect.x, self.rect.y, self.rect.w, low), "small"),
            letter(look, "Right: as long as its share", beside, "small"),
            *(letter(look, word, box, "small") for word, box in zip(words, boxes, strict=True)),
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        title, right, *words = self.lettering(look)
        write(canvas, title, look.theme.ink)
        for colour, cell, lettered in zip(MIXED[look.theme.name], self._swatches(look), words, strict=True):
            look.box(canvas, cell, colour, look.theme.quiet, radius=1)
            write(canvas, lettered, look.theme.ink, "centre")
        draw_right(canvas, look, self._sample(look), 0.7)
        write(canvas, right, look.theme.ink)


@dataclass(frozen=True)
class _Sizes:
    """Where the cells begin, how large each is, and which part of the table is shown."""

    left: int
    top: int
    wide: int
    high: int
    rows: int
    columns: int
    first_row: int
    first_column: int
