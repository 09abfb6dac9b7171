"""Figures to choose from, engraved, in rows that scroll when they are more than the box holds."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import pygame
from pygame import Rect, Surface

from game.widgets.base import Act
from game.widgets.keycaps import key_name
from game.widgets.lists import Scrolled
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import centred, draw_layout, extent
from shared.notation.engraved import Layout

USUAL_SPACE, LARGEST_SPACE = 6.0, 12.0
"""The staff space of a cell, in units: where the rows scroll, and at most."""

READABLE, LEAST_SPACE = 6, 4
"""Staff spaces in pixels: the least with good counts, and the least that is still read where a box is narrow."""


@dataclass(frozen=True)
class Cells:
    """How figures lie in a grid: how many in a row, the least width and the height of a cell, the staff space."""

    across: int
    width: int
    height: int
    space: int


def cells_for(
    look: Look, box: Rect, layouts: Sequence[Layout], typical: Sequence[Layout] = (), usual: float = USUAL_SPACE
) -> Cells:
    """The largest cells in which all layouts are seen at once, or usual ones, whose rows scroll.

    With ``typical`` layouts these settle the size, and larger ones are drawn smaller than the others.  ``usual`` is
    the staff space of cells that scroll, in units; it gives way where not even two rows would be seen.
    """
    usual = max(READABLE, round(usual * look.scale))
    count, layouts = len(layouts), typical or layouts
    # From the largest down: the first that fits is the answer, and there are few to try.
    for space in range(look.u(LARGEST_SPACE), usual, -1):
        cells = _cells(look, box, layouts, space, count)
        if cells.height * -(-count // cells.across) <= box.h and cells.width <= box.w:
            return cells
    # At least two cells side by side: one below the other would scroll too long.
    narrow = int((box.w / 2 - look.u(10)) / max(layout.width for layout in layouts))
    low = int((box.h / 2 - look.u(14)) / max(layout.height for layout in layouts))
    return _cells(look, box, layouts, max(LEAST_SPACE, min(usual, narrow, max(low, READABLE))), count)


def _cells(look: Look, box: Rect, layouts: Sequence[Layout], space: int, count: int) -> Cells:
    widest, tallest = max(layout.width for layout in layouts), max(layout.height for layout in layouts)
    width = round(widest * space) + look.u(10)
    across = min(count, max(1, box.w // width))
    return Cells(across, width, round(tallest * space) + look.u(14), space)


@dataclass
class FigureGrid(Scrolled):
    """Arrows, home, end, page up and page down choose a figure; Enter or a second click acts on it.

    ``ticked`` are the places of figures that bear a tick.
    """

    layouts: Sequence[Layout]
    cells: Cells
    chosen: int
    change: Callable[[int], None]
    act: Act
    ticked: frozenset[int] = frozenset()
    focusable: bool = field(default=True, kw_only=True)

    @property
    def _visible(self) -> int:
        """How many rows are seen at once."""
        return max(1, self.rect.h // self.cells.height)

    @property
    def _rows(self) -> int:
        return -(-len(self.layouts) // self.cells.across)

    @property
    def _first(self) -> int:
        return self.first_line(self.chosen // self.cells.across, self._visible, self._rows)

    def shown(self) -> list[tuple[int, Rect]]:
        across, high = self.cells.across, self.cells.height
        start = self._first * across
        wide = self.rect.w // across
        return [
            (k, Rect(self.rect.x + k % across * wide, self.rect.y + (k - start) // across * high, wide, high))
            for k in range(start, min(len(self.layouts), start + self._visible * across))
        ]

    def ink(self) -> Rect | None:
        shown = self.shown()
        return shown[0][1].unionall([self.extent_of(k, cell) for k, cell in shown]) if shown else None

    def extent_of(self, k: int, cell: Rect) -> Rect:
        layout, space = self.layouts[k], self._space(k, cell)
        return extent(layout, *centred(layout, cell, space), space)

    def _space(self, k: int, cell: Rect) -> int:
        """The staff space of a figure: as of all, or less where it would leave its cell."""
        layout = self.layouts[k]
        return max(1, min(self.cells.space, int(cell.w / layout.width), int(cell.h / layout.height)))

    def paint(self, canvas: Surface, look: Look) -> None:
        for k, cell in self.shown():
            if k == self.chosen:
                look.box(canvas, cell, look.theme.wash, look.theme.accent, 2.5)
            self._draw(canvas, look, k, cell)
        self.paint_more(canvas, look, len(self.layouts))

    def _draw(self, canvas: Surface, look: Look, k: int, cell: Rect) -> None:
        layout, space = self.layouts[k], self._space(k, cell)
        draw_layout(canvas, look, layout, centred(layout, cell, space), space)
        if k in self.ticked:
            side = look.u(16)
            look.shape(canvas, "tick", Rect(cell.x + look.u(5), cell.y + look.u(5), side, side), look.theme.accent)

    def press(self) -> Next:
        return self.act()

    def take(self, event: pygame.Event) -> bool:
        return self.choose(self._target(key_name(event)), len(self.layouts))

    def _target(self, key: str) -> int | None:
        """Where a key leads; None, or a place there is not, leaves the key to the page."""
        across, last = self.cells.across, len(self.layouts) - 1
        # At the edges left and right are None, so that the arrow leads out of the grid and not to another row.
        column, page = self.chosen % across, self._visible * across
        steps = {
            "left": self.chosen - 1 if column else None,
            "right": self.chosen + 1 if column < across - 1 else None,
            "up": self.chosen - across,
            "down": self.chosen + across,
            "home": 0,
            "end": last,
            "page up": max(0, self.chosen - page),
            "page down": min(last, self.chosen + page),
        }
        return steps.get(key)

    def scroll(self, down: int) -> bool:
        return self.move(down * self.cells.across, len(self.layouts))
