"""The confusion table as a heat map: notation on both axes, the number in every cell, a cell to be chosen.

Five steps of the cividis colour map (J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps
with consideration for color vision deficiency", PLOS ONE 13, 2018).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import ceil

import pygame
from pygame import Rect, Surface

from game.engraving.surface import SMALLEST_SPACE
from game.sessions.progress.progress import ConfusionTable
from game.widgets.base import Act, Lettered, Widget, letter, write
from game.widgets.boxes import columns
from game.widgets.keycaps import key_name
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import tile_layout
from game.widgets.pairs import draw_figure
from game.widgets.theme import contrast
from shared.levels import Level, spelled

STEPS = ("#00224E", "#4A536C", "#7D7C78", "#BCAE6C", "#FEE838")
"""Cividis at 0, 0.28, 0.5, 0.75 and 1: the second step is a little lighter than even steps would have it,
so that it keeps its distance from the first for red-green colour blind eyes."""

BOUNDS = (0.05, 0.15, 0.3, 0.6)
"""Shares at which the next step begins."""

LEAST_CELL = 42
"""The least width of a cell, in units: a larger table is shown in part, around the chosen cell."""

FLAT = 0.8
"""The least height of a cell, as a part of its least width."""

COUNTED = 64
"""How high a row must be, in units, to have counts on the axes."""

TEXT_CONTRAST = 7.0


def least_cell(look: Look, level: Level) -> int:
    """The least width and height of a cell in pixels: the smallest notation of a figure fits."""
    widest = max(tile_layout(figure, spelled(level)[figure], count=False).width for figure in level.figures)
    return max(look.u(LEAST_CELL), ceil(widest * SMALLEST_SPACE) + look.u(6))


def step_of(share: float) -> str:
    """The colour of a share above 0."""
    return STEPS[sum(share >= bound for bound in BOUNDS)]


def ink_on(colour: str) -> str:
    """Black or white, whichever is read better."""
    return max(("#000000", "#FFFFFF"), key=lambda ink: contrast(ink, colour))


@dataclass
class HeatMap(Widget):
    """Rows are what was heard, columns what was said.  Arrows choose a cell, Enter acts on it.

    ``unit`` is the least width and height of a cell, in pixels, from ``least_cell``.
    """

    table: ConfusionTable
    level: Level
    unit: int
    cell: tuple[int, int]
    change: Callable[[tuple[int, int]], None]
    act: Act
    focusable: bool = field(default=True, kw_only=True)
    repeats = True

    def press(self) -> Next:
        return self.act()

    def click(self, at: tuple[int, int]) -> Next:
        chosen = next((place for place, rect in self._cells(self._sizes()) if rect.collidepoint(at)), None)
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
        return [letter(look, self._number(place), rect, "small", True) for place, rect in self._cells(self._sizes())]

    def paint(self, canvas: Surface, look: Look) -> None:
        sizes = self._sizes()
        self._paint_axes(canvas, look, sizes)
        for (place, rect), lettered in zip(self._cells(sizes), self.lettering(look), strict=True):
            self._paint_cell(canvas, look, place, rect, lettered)
        self._paint_more(canvas, look, sizes)
        for place, rect in self._cells(sizes):
            if place == self.cell:
                look.box(canvas, rect.inflate(look.u(4), look.u(4)), edge=look.theme.paper, weight=6, radius=2)
                look.box(canvas, rect.inflate(look.u(4), look.u(4)), edge=look.theme.ink, weight=3, radius=2)

    def _paint_cell(self, canvas: Surface, look: Look, place: tuple[int, int], rect: Rect, number: Lettered) -> None:
        share = self.table.shares[place]
        inner = rect.inflate(-look.u(2), -look.u(2))
        if not share:
            look.box(canvas, inner, look.theme.paper, look.theme.rule, radius=2)
            write(canvas, number, look.theme.quiet, "centre")
            return
        colour = step_of(share)
        look.box(canvas, inner, colour, look.theme.quiet, radius=2)
        ink = ink_on(colour)
        if contrast(ink, colour) < TEXT_CONTRAST:
            plate = Rect(0, 0, number.fitted.width + look.u(10), number.fitted.height)
            plate.center = rect.center
            look.box(canvas, plate.clip(inner), "#FFFFFF", radius=3)
            ink = "#000000"
        write(canvas, number, ink, "centre")

    def _paint_axes(self, canvas: Surface, look: Look, sizes: "_Sizes") -> None:
        figures = self.level.figures
        counted = sizes.high >= look.u(COUNTED)
        for k in range(sizes.rows):
            box = Rect(self.rect.x, sizes.top + k * sizes.high, sizes.left - self.rect.x - look.u(6), sizes.high)
            draw_figure(canvas, look, box, self.level, figures[sizes.first_row + k], counted)
        for k in range(sizes.columns):
            box = Rect(sizes.left + k * sizes.wide, self.rect.y, sizes.wide, sizes.top - self.rect.y - look.u(4))
            draw_figure(canvas, look, box, self.level, figures[sizes.first_column + k], counted)

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

    def _sizes(self) -> "_Sizes":
        unit, count = self.unit, len(self.level.figures)
        left, top = self.rect.x + round(unit * 2.4), self.rect.y + round(unit * 1.5)
        columns = max(1, min(count, (self.rect.right - left) // unit))
        shown = max(1, min(count, int((self.rect.bottom - top) / (unit * FLAT))))
        wide = min((self.rect.right - left) // columns, unit * 3)
        high = min((self.rect.bottom - top) // shown, unit * 2)
        first = _first(self.cell[0], shown, count), _first(self.cell[1], columns, count)
        return _Sizes(left, top, wide, high, shown, columns, *first)

    def _cells(self, sizes: "_Sizes") -> list[tuple[tuple[int, int], Rect]]:
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
    """The five steps and the shares, in per cent, that each ends at."""

    def _swatches(self) -> list[Rect]:
        return columns(self.rect, [None] * len(STEPS), 4)

    def lettering(self, look: Look) -> list[Lettered]:
        words = [*(f"to {bound * 100:.0f}" for bound in BOUNDS), "more"]
        low = look.line("small")
        boxes = [Rect(cell.x, cell.bottom - low, cell.w, low) for cell in self._swatches()]
        return [letter(look, word, box, "small") for word, box in zip(words, boxes, strict=True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        for colour, cell, lettered in zip(STEPS, self._swatches(), self.lettering(look), strict=True):
            swatch = Rect(cell.x, cell.y, cell.w, lettered.box.y - cell.y)
            look.box(canvas, swatch, colour, look.theme.quiet, radius=2)
            write(canvas, lettered, look.theme.ink, "centre")


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


def _first(chosen: int, shown: int, count: int) -> int:
    return min(max(0, chosen - shown // 2), count - shown)
