"""The skyline: a low hill for each figure of a level, the higher the firmer the figure; paler hills are other levels.

A figure that is firm has a solid hill, any other an outline.

A drumlin is a long low hill, steep where the ice came from and tapering where it went; so are these.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import pygame
from pygame import Color, Rect, Surface

from game.sessions.progress.standing import Standing
from game.widgets.base import Widget
from game.widgets.look import Look
from game.widgets.notation import draw_layout, line_in
from shared.levels import Level
from shared.notation.engraved import Layout, reach

FINE = 4
"""How many times too large hills are drawn before they are smoothed down."""

STEEP, TAPER = 1.15, 1.9
"""Powers of the outline x^STEEP (1 - x)^TAPER: its top lies at STEEP / (STEEP + TAPER) of the hill's length."""

OVERLAP = 1.35
"""How long a hill is, in widths of its place: neighbours share their feet."""

LEAST = 0.04
"""The height of what was met and is not firm at all, as a share of the highest hill, so that it can be seen."""

LOW = 0.6
"""The highest a hill may be, in its own lengths: they are low hills, not peaks, however narrow their places."""

BEHIND = 0.62
"""How high the levels behind stand at most, as a share of the picture."""

POINTS = 48
"""The points of an outline: enough that no corner shows in a window of 3840 pixels with two hills."""

LEGEND = "Solid: firm, likely right tomorrow. Outline: not firm. Dotted: where it stood before."
"""What the hills say, for whoever sees them."""

LEAST_HEIGHT = 72
"""The least height of hills and their figures, in units: words beside them give way first, then larger type."""

LARGEST_SPACE = 10
"""The largest staff space of the figures under the hills, in units."""


@dataclass(frozen=True)
class Hill:
    """A figure's hill: its height now, how high it was when it was last heard, from 0 to 1, and whether it is firm."""

    now: float
    before: float
    firm: bool


def hills_of(level: Level, standing: Standing | None, now: float) -> list[Hill]:
    """The hills of a level's figures, as a player holds them at a time; flat land without a standing."""
    if standing is None:
        return [Hill(0.0, 0.0, firm=False)] * len(level.figures)
    rows = zip(standing.firmness(now), standing.firmness(standing.at), standing.firm(now), strict=True)
    return [Hill(*row) for row in rows]


@dataclass
class Skyline(Widget):
    """Hills of the level at hand, each over its figure where ``layouts`` are given; ``behind`` other levels' means.

    The same is told in words beside it: a picture alone says nothing to those who can't see it.
    """

    hills: Sequence[Hill]
    layouts: Sequence[Layout] = ()
    behind: Sequence[float] = ()

    def is_whole(self, look: Look) -> bool:
        return self.rect.h >= look.u(LEAST_HEIGHT) and super().is_whole(look)

    def paint(self, canvas: Surface, look: Look) -> None:
        theme, feet = look.theme, self.feet(look)
        ground = Rect(self.rect.x, self.rect.y, self.rect.w, self.rect.h - feet)
        colours = (theme.paper, theme.rule, theme.accent)
        picture = _drawn(ground.size, tuple(self.hills), tuple(self.behind), colours, look.u(2))
        canvas.blit(picture, ground)
        canvas.fill(theme.ink, (ground.x, ground.bottom, ground.w, look.u(2)))
        if feet:
            self._draw_figures(canvas, look, Rect(ground.x, ground.bottom + look.u(8), ground.w, feet - look.u(8)))

    def ink(self) -> Rect | None:
        return None

    def _space(self, look: Look) -> int:
        """The staff space of the figures at the hills' feet, in pixels; 0 where they are too many to be read."""
        if not self.layouts:
            return 0
        cell = self.rect.w / len(self.hills)
        wide = max(layout.width for layout in self.layouts) + 1.5
        space = int(min(cell / wide, self.rect.h * 0.45 / sum(reach(self.layouts)), look.u(LARGEST_SPACE)))
        return space if space >= look.u(4) else 0

    def feet(self, look: Look) -> int:
        space = self._space(look)
        return round((sum(reach(self.layouts)) + 1) * space) + look.u(8) if space else 0

    def _draw_figures(self, canvas: Surface, look: Look, box: Rect) -> None:
        space, count = self._space(look), len(self.layouts)
        line = box.y + line_in(box.h, self.layouts, space)
        for k, layout in enumerate(self.layouts):
            middle = box.x + round((k + 0.5) * box.w / count)
            draw_layout(canvas, look, layout, (middle - round(layout.width * space / 2), line), space)


@lru_cache(maxsize=8)
def _drawn(
    size: tuple[int, int], hills: tuple[Hill, ...], behind: tuple[float, ...], colours: tuple[str, str, str], line: int
) -> Surface:
    """The hills on paper: behind, then where hills have been, then the hills."""
    wide, high = size[0] * FINE, size[1] * FINE
    paper, rule, accent = map(Color, colours)
    sheet = Surface((wide, high))
    sheet.fill(paper)
    for k, mean in enumerate(behind):
        place = wide / len(behind)
        # Every other hill is darker, so that overlapping ones can be told apart.
        shade = paper.lerp(rule, 0.35 + 0.3 * (k % 2))
        _hill(sheet, shade, (k + 0.5) * place, place * 2.2, (0.12 + BEHIND * mean) * high)
    place = wide / max(1, len(hills))
    shade, edge = paper.lerp(accent, 0.5), accent
    # A little air at the top, and never steeper than low hills are.
    full = min(high * 0.94, place * OVERLAP * LOW)
    for k, hill in enumerate(hills):
        centre, length = (k + 0.5) * place, place * OVERLAP
        # A trace that would run into the hill's own outline says nothing and looks like a fault.
        if hill.before > hill.now + LEAST:
            _trace(sheet, edge, centre, length, hill.before * full, line * FINE)
        # Nothing for a figure that was never met, not even the least hill.
        if hill.now:
            # Told apart by ink or paper inside: the height alone can't, as heard often and firm are two things.
            inside = shade if hill.firm else paper
            _hill(sheet, inside, centre, length, max(LEAST, hill.now) * full, edge, line * FINE)
    return pygame.transform.smoothscale(sheet, size)


def _outline(centre: float, length: float, height: float, floor: int) -> list[tuple[float, float]]:
    """The outline of a hill from its steep foot to its long one, in pixels."""
    top = STEEP / (STEEP + TAPER)
    peak = top**STEEP * (1 - top) ** TAPER
    left = centre - top * length
    steps = [k / POINTS for k in range(POINTS + 1)]
    return [(left + x * length, floor - height * x**STEEP * (1 - x) ** TAPER / peak) for x in steps]


def _hill(
    sheet: Surface, shade: Color, centre: float, length: float, height: float, edge: Color | None = None, line: int = 0
) -> None:
    outline = _outline(centre, length, height, sheet.get_height())
    pygame.draw.polygon(sheet, shade, outline)
    if edge:
        pygame.draw.lines(sheet, edge, False, outline, line)


def _trace(sheet: Surface, edge: Color, centre: float, length: float, height: float, line: int) -> None:
    """A dotted outline: where a hill stood before it sank."""
    # Without the feet, where dots would run into the ground line.
    for x, y in _outline(centre, length, height, sheet.get_height())[2:-2:2]:
        pygame.draw.circle(sheet, edge, (x, y), line * 0.8)
