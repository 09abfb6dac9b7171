"""Notation among the widgets: tiles of figures, the bar on its staff, and the places to be filled."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache, partial

from pygame import Rect, Surface

from game.engraving.shelf import shelved
from game.engraving.surface import Engraver, fit
from game.widgets.base import Act, Lettered, Widget, letter, write
from game.widgets.boxes import grid
from game.widgets.keycaps import title
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.theme import Theme
from shared.figures import Figure
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, reach
from shared.notation.marks import STAFF_LINE
from shared.notation.page import lay_out_figure
from shared.spelling import Spelling

RIGHT, WRONG, GIVEN = "right", "wrong", "quiet"
"""The tones of beats."""


@cache
def engraver() -> Engraver:
    """The painter of the window; it keeps what it has drawn."""
    # One for the window: each keeps pictures of its own, up to some 50 MB.
    return Engraver()


def forget() -> None:
    """Drop the painter and all it has drawn, as must be done when pygame's fonts are shut down."""
    engraver.cache_clear()
    _tile.shelf.clear()


@cache
def palette(theme: Theme) -> dict[str, str]:
    """The colour of each tone."""
    return {"ink": theme.ink, RIGHT: theme.accent, WRONG: theme.warn, GIVEN: theme.quiet}


@lru_cache(maxsize=512)
def tile_layout(figure: Figure, spelling: Spelling, count: bool = True) -> Layout:
    """A figure on its own, with its count."""
    return lay_out_figure(figure, spelling, count=count)


def extent(layout: Layout, left: int, line: int, space: int) -> Rect:
    """The pixels a layout takes when its left edge and its middle line are there."""
    top, bottom = line + layout.top * space, line + layout.bottom * space
    return Rect(left, round(top), round(layout.width * space), round(bottom - top))


def centred(layout: Layout, box: Rect, space: int) -> tuple[int, int]:
    """Where a layout's left edge and middle line must be, to lie in the middle of a box."""
    left = box.x + (box.w - round(layout.width * space)) // 2
    return left, box.y + line_in(box.h, [layout], space)


def line_in(high: int, layouts: Sequence[Layout], space: int) -> int:
    """How far below the top of a box the line of layouts must lie, to have them all in the middle of it."""
    above, below = reach(layouts)
    return round((high - (above + below) * space) / 2 + above * space)


def draw_layout(canvas: Surface, look: Look, layout: Layout, at: tuple[int, int], space: int) -> None:
    """Paint a layout in the colours of the theme."""
    engraver().paint(canvas, layout, at, space, palette(look.theme))


@dataclass
class EngravedTile(Widget):
    """A figure to choose, engraved.  ``space`` is the staff space in pixels.

    ``line`` is how far below the tile's top the staff's line runs, so that tiles in a row share it.
    """

    layout: Layout
    space: int
    line: int
    act: Act
    chosen: bool = False

    def press(self) -> Next:
        return self.act()

    def ink(self) -> Rect:
        """The pixels of the notation."""
        return extent(self.layout, *self._at(), self.space)

    def _at(self) -> tuple[int, int]:
        """The left edge and the line of the notation."""
        raise NotImplementedError


@dataclass
class FigureTile(EngravedTile):
    """A figure to choose, with its key.  One that is ``out`` was said before and is not right.

    A click does not bring the focus here: Enter would say the figure to the next beat too.
    """

    focusable: bool = field(default=True, kw_only=True)
    out: bool = field(default=False, kw_only=True)
    focus_by_click = False

    def lettering(self, look: Look) -> list[Lettered]:
        return [letter(look, title(self.key), _key_box(look, self.rect), "small", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        # All that a tile looks by and nothing else: together with the size it is the key of the kept picture.
        shown = (self.layout, self.space, self.line, self.key, self.chosen, self.hovered, self.out)
        canvas.blit(_tile(look, self.rect.size, *shown), self.rect)

    def draw(self, canvas: Surface, look: Look) -> None:
        """Draw the tile, as it is then kept and copied."""
        theme = look.theme
        fill = theme.wash if self.chosen or self.hovered else None
        look.box(canvas, self.rect, fill, theme.accent if self.chosen else theme.rule, 3 if self.chosen else 1.5)
        write(canvas, self.lettering(look)[0], theme.accent)
        draw_layout(canvas, look, self.layout, self._at(), self.space)
        if self.out:
            side = look.u(20)
            look.shape(canvas, "cross", Rect(self.rect.right - side - look.u(6), self.rect.y + look.u(6), side, side),
                       theme.warn)  # fmt: skip

    def _at(self) -> tuple[int, int]:
        wide = round(self.layout.width * self.space)
        # The notation stands a little right of the middle, to leave room for the key at the left.
        key = min(self.rect.h, self.rect.w - wide) // 3
        return self.rect.x + key + (self.rect.w - key - wide) // 2, self.rect.y + self.line


@shelved(pixels=2_000_000)
def _tile(
    look: Look,
    size: tuple[int, int],
    layout: Layout,
    space: int,
    line: int,
    key: str,
    chosen: bool,
    hovered: bool,
    out: bool,
) -> Surface:
    """The picture of a tile: copying it is far quicker than drawing it."""
    sheet = look.sheet(size)
    tile = FigureTile("", Rect((0, 0), size), layout, space, line, _nothing, chosen, key=key, hovered=hovered, out=out)
    tile.draw(sheet, look)
    return sheet


def _nothing() -> Next:
    return None


def _key_box(look: Look, rect: Rect) -> Rect:
    return Rect(rect.x + look.u(9), rect.y + look.u(5), look.u(20 * look.type_factor), look.line("small"))


@dataclass(frozen=True)
class Tiling:
    """How tiles share a box: how many in a row, their height, the staff space at which all fit, and their line."""

    across: int
    high: int
    space: int
    line: int


def tiling(look: Look, box: Rect, layouts: Sequence[Layout], gap: int) -> Tiling:
    """The number of tiles in a row that lets their notation be largest."""
    edge = look.u(8)
    return _tiling(box.size, tuple(layouts), gap, (look.u(30) + edge, edge), look.u(190), look.u(14))


def figure_tiles(
    look: Look, box: Rect, figures: Iterable[tuple[Figure, Layout]], say: Callable[[Figure], Next], keys: Sequence[str]
) -> list[Widget]:
    """A tile for each figure, with its key, as large as the box allows; ``say`` is what pressing one does."""
    offered = list(figures)
    layouts = [layout for _, layout in offered]
    gap = look.u(8)
    plan = tiling(look, box, layouts, gap)
    cells = grid(box, len(layouts), plan.across, gap, tallest=plan.high)
    return [
        # There are keys for all the figures that a level may have, 24: a shorter row of figures leaves keys over.
        FigureTile(f"tile {figure.count}", cell, layout, plan.space, plan.line, partial(say, figure), key=key)
        for (figure, layout), cell, key in zip(offered, cells, keys, strict=False)
    ]


@lru_cache(maxsize=16)
def _tiling(
    size: tuple[int, int], layouts: tuple[Layout, ...], gap: int, taken: tuple[int, int], tallest: int, largest: int
) -> Tiling:
    return largest_tiling(size, layouts, gap, taken, tallest, largest, fewest=3)


def largest_tiling(
    size: tuple[int, int], layouts: Sequence[Layout], gap: int, taken: tuple[int, int], tallest: int, largest: int,
    fewest: int,
) -> Tiling:  # fmt: skip
    """The largest tiles that fit, from ``fewest`` to eight in a row.

    ``taken`` is the room beside and above the notation in each, ``tallest`` the most height of a tile, ``largest``
    the largest staff space; all in pixels.
    """
    most = len(layouts)
    plans = []
    # Every number of tiles in a row is tried: widths and heights both change with it, and there are eight at most.
    for across in range(min(fewest, most), min(8, most) + 1):
        down = -(-most // across)
        high = min((size[1] - gap * (down - 1)) // down, tallest)
        wide = (size[0] - gap * (across - 1)) // across
        space = min(fit(layouts, wide - taken[0], high - taken[1]), largest)
        plans.append(Tiling(across, high, space, line_in(high, layouts, space)))
    # Of plans that let notes be equally large, the one with fewer and so wider tiles in a row.
    return max(plans, key=lambda plan: (plan.space, -plan.across))


@dataclass
class Staff(Widget):
    """A bar on its staff, over the places of its beats.  ``left`` and ``line``: see ``Engraver.paint``."""

    layout: Layout
    space: int
    left: int
    line: int
    layered = True

    def ink(self) -> Rect:
        """The pixels of the notation."""
        return extent(self.layout, self.left, self.line, self.space)

    def paint(self, canvas: Surface, look: Look) -> None:
        draw_layout(canvas, look, self.layout, (self.left, self.line), self.space)


@dataclass
class BeatPlace(Widget):
    """A beat of the bar, to be filled or looked at.

    ``state`` is empty, filled, current, wrong or both; ``sign`` the text in it where no figure stands.
    """

    act: Act
    state: str = "empty"
    sign: str = ""
    focusable: bool = field(default=True, kw_only=True)

    def press(self) -> Next:
        return self.act()

    def click(self, at: tuple[int, int]) -> Next:  # noqa: ARG002 - a click only chooses the beat
        return None

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        fill, edge = {
            "empty": (theme.panel, theme.rule),
            "filled": (None, None),
            "current": (theme.wash, theme.accent),
            "wrong": (theme.warn_wash, None),
            "current wrong": (theme.warn_wash, theme.warn),
        }[self.state]
        if fill:
            look.box(canvas, self.rect, fill, edge, 2)
        for lettered in self.lettering(look):
            write(canvas, lettered, theme.ink, "centre")

    def lettering(self, look: Look) -> list[Lettered]:
        # Above the line of the staff, which runs through the middle.
        above = Rect(self.rect.x, self.rect.y + look.u(4), self.rect.w, min(self.rect.h // 2, look.line("title")))
        return [letter(look, self.sign, above, "title", True)] if self.sign else []


FEW = 8
"""The most figures that ``figure_line`` shows with their counts; with more of them the counts are left out."""


def figure_line(canvas: Surface, look: Look, box: Rect, level: Level, figures: Sequence[Figure] | None = None) -> None:
    """Draw figures of a level, all unless some are named, on lines across a box, as large as they fit."""
    shown = level.figures if figures is None else figures
    count = len(shown) <= FEW
    layouts = [tile_layout(figure, spelled(level)[figure], count=count) for figure in shown]
    space, across = _in_lines(box, layouts, sum(reach(layouts)) + 1)
    space = min(space, look.u(11))
    high = box.h // -(-len(layouts) // across)
    for start in range(0, len(layouts), across):
        line = box.y + start // across * high + line_in(high, layouts, space)
        _draw_line(canvas, look, Rect(box.x, line, box.w, 1), layouts[start : start + across], across, space)


READABLE = 5
"""The least staff space, in units, at which a figure in a row can be read."""

COUNTED = 40
"""The least height, in units, in which a figure can be read with its count."""


def draw_row(canvas: Surface, look: Look, box: Rect, layouts: Sequence[Layout]) -> None:
    """Draw a few figures side by side in equal cells; of more than can be read in the box the first, or none."""
    if not layouts:
        return
    cell = box.w // len(layouts)
    space = min(fit(layouts, cell - look.u(12), box.h), look.u(11))
    too_wide = max(one.width for one in layouts) * space > cell
    # One fewer and once more: fewer figures that can be read say more than all of them as specks.  A last one that
    # would run into what stands beside it is left out too.
    if too_wide or (len(layouts) > 1 and space < look.u(READABLE)):
        draw_row(canvas, look, box, layouts[:-1])
        return
    for k, layout in enumerate(layouts):
        left = box.x + k * cell + (cell - round(layout.width * space)) // 2
        draw_layout(canvas, look, layout, (left, box.y + line_in(box.h, layouts, space)), space)


def _in_lines(box: Rect, layouts: Sequence[Layout], height: float) -> tuple[int, int]:
    """The largest staff space at which the layouts fit in equal cells, and how many cells a line then has."""
    wide, count = max(layout.width for layout in layouts) + 1, len(layouts)
    found = []
    # With five lines even the 24 figures of the largest level stand five in a row.
    for lines in range(1, 6):
        across = -(-count // lines)
        found.append((min(box.w / across / wide, box.h / lines / height), across))
    space, across = max(found)
    return max(1, int(space)), across


def _draw_line(canvas: Surface, look: Look, line: Rect, layouts: Sequence[Layout], across: int, space: int) -> None:
    thick = max(1, round(STAFF_LINE * space))
    canvas.fill(look.theme.ink, (line.x, line.y, line.w, thick))
    cell = line.w // across
    for k, layout in enumerate(layouts):
        left = line.x + k * cell + (cell - round(layout.width * space)) // 2
        draw_layout(canvas, look, layout, (left, line.y), space)
