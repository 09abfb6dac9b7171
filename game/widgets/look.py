"""The look of a window at its size: theme, unit of length, type sizes, and how boxes, rings and signs are drawn."""

from functools import lru_cache

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.theme import Theme

USUAL = (1280, 720)
"""The window size, in pixels, at which one unit is one pixel."""

SIZES = {"small": 18, "body": 21, "lead": 26, "title": 34, "huge": 56}
"""Type sizes in units, by their role."""


class Look:
    """Theme, scale and type of a window of ``size`` pixels.

    ``type_factor`` is the player's own wish for larger type.  Lengths are given in units: one unit
    is one pixel in a window of 1280 x 720 and grows with the window.
    """

    def __init__(self, size: tuple[int, int], theme: Theme, type_factor: float = 1.0, reduced_motion: bool = False):
        self.size = size
        self.theme = theme
        # By the side that is tighter, so that what fits at the usual size fits at every other.
        self.scale = min(size[0] / USUAL[0], size[1] / USUAL[1])
        self.type_factor = type_factor * theme.type_factor
        self.reduced_motion = reduced_motion

    def __eq__(self, other: object) -> bool:
        # By value: a look is made anew at each painting, and is the key of what was drawn and kept.
        return isinstance(other, Look) and self._value == other._value

    def __hash__(self) -> int:
        return hash(self._value)

    @property
    def _value(self) -> tuple[object, ...]:
        return self.size, self.theme.name, self.type_factor, self.reduced_motion

    def u(self, units: float) -> int:
        """Units to pixels; never less than one pixel."""
        # Never 0: a line that vanishes in a small window would take a border or the focus with it.
        return max(1, round(units * self.scale))

    def type_size(self, role: str) -> int:
        """The type size of a role (a key of ``SIZES``), in pixels."""
        return round(SIZES[role] * self.scale * self.type_factor)

    def line(self, role: str = "body") -> int:
        """The height of one line of text of a role, in pixels."""
        return lettering.line_height(self.type_size(role))

    def width(self, text: str, role: str = "body", bold: bool = False) -> int:
        """How wide a line of text of a role is, in pixels."""
        return lettering.width(text, self.type_size(role), bold)

    def height(self, text: str, width: int, role: str = "body", bold: bool = False) -> int:
        """How high text of a role becomes when it is wrapped into ``width`` pixels."""
        # So high that it always fits without shrinking.
        return lettering.fit(text, (width, 100_000), self.type_size(role), bold).height

    def box(
        self, canvas: Surface, rect: Rect, fill: str | None = None, edge: str | None = None, weight: float = 1.0,
        radius: float = 6.0,
    ) -> None:  # fmt: skip
        """Draw a rectangle with smooth round corners: ``weight`` and ``radius`` in units."""
        # Bands and four corner pictures: drawing with round corners anew each time is slow, and not smooth.
        corner = min(self.u(radius), rect.w // 2, rect.h // 2)
        thick = self.u(weight) if edge else 0
        if fill:
            canvas.fill(fill, rect.inflate(-2 * corner, 0))
            canvas.fill(fill, (rect.x, rect.y + corner, corner, rect.h - 2 * corner))
            canvas.fill(fill, (rect.right - corner, rect.y + corner, corner, rect.h - 2 * corner))
        if edge:
            across, down = rect.inflate(-2 * corner, 0), rect.inflate(0, -2 * corner)
            canvas.fill(edge, (across.x, rect.top, across.w, thick))
            canvas.fill(edge, (across.x, rect.bottom - thick, across.w, thick))
            canvas.fill(edge, (rect.left, down.y, thick, down.h))
            canvas.fill(edge, (rect.right - thick, down.y, thick, down.h))
        for k, place in enumerate(
            (rect.topleft, (rect.right - corner, rect.top), (rect.left, rect.bottom - corner),
             (rect.right - corner, rect.bottom - corner))
        ):  # fmt: skip
            canvas.blit(_corner(corner, thick, fill, edge)[k], place)

    def sheet(self, size: tuple[int, int]) -> Surface:
        """Paper of a size in pixels, for what is drawn once and then only copied."""
        paper = Surface(size)
        paper.fill(self.theme.paper)
        return paper

    def ring(self, canvas: Surface, rect: Rect) -> None:
        """Draw the sign of the focus around a widget."""
        self.box(canvas, rect.inflate(self.u(8), self.u(8)), edge=self.theme.accent, weight=3, radius=9)

    def dot(self, canvas: Surface, centre: tuple[int, int], radius: int, colour: str) -> None:
        """Draw a smooth filled circle, its radius in pixels."""
        pygame.draw.aacircle(canvas, colour, centre, radius)

    def shape(self, canvas: Surface, kind: str, rect: Rect, colour: str) -> None:
        """Draw a small sign (a key of ``SHAPES``) as large as fits in the rectangle."""
        side = min(rect.w, rect.h)
        sign = _shape(kind, side, colour)
        canvas.blit(sign, sign.get_rect(center=rect.center))


SHAPES: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "tick": (((0.14, 0.52), (0.40, 0.78), (0.88, 0.22)),),
    "cross": (((0.2, 0.2), (0.8, 0.8)), ((0.8, 0.2), (0.2, 0.8))),
    "query": (
        ((0.25, 0.34), (0.36, 0.17), (0.64, 0.17), (0.75, 0.34), (0.5, 0.54), (0.5, 0.66)),
        ((0.5, 0.84), (0.5, 0.86)),
    ),
    "left": (((0.62, 0.2), (0.34, 0.5), (0.62, 0.8)),),
    "right": (((0.38, 0.2), (0.66, 0.5), (0.38, 0.8)),),
    "up": (((0.2, 0.62), (0.5, 0.34), (0.8, 0.62)),),
    "down": (((0.2, 0.38), (0.5, 0.66), (0.8, 0.38)),),
}
"""Small signs that the text font lacks, as strokes in a unit square."""

_FINE = 4
"""How many times too large curves are drawn before they are smoothed down."""


@lru_cache(maxsize=512)
def _shape(kind: str, side: int, colour: str) -> Surface:
    large = Surface((side * _FINE, side * _FINE), pygame.SRCALPHA)
    # Clear, but of the sign's colour: scaling down mixes edge pixels with what lies under them, and black would show.
    large.fill(_clear(colour))
    thick = max(2, round(side * _FINE * 0.17))
    for stroke in SHAPES[kind]:
        points = [(x * side * _FINE, y * side * _FINE) for x, y in stroke]
        pygame.draw.lines(large, colour, False, points, thick)
        for point in points:
            pygame.draw.circle(large, colour, point, thick / 2)
    return pygame.transform.smoothscale(large, (side, side))


@lru_cache(maxsize=512)
def _corner(radius: int, thick: int, fill: str | None, edge: str | None) -> tuple[Surface, ...]:
    """The four corners of a rounded rectangle: top left, top right, bottom left, bottom right."""
    size = max(1, radius)
    large = Surface((size * _FINE, size * _FINE), pygame.SRCALPHA)
    large.fill(_clear(edge or fill or "#000000"))
    centre = (size * _FINE, size * _FINE)
    if edge:
        pygame.draw.circle(large, edge, centre, radius * _FINE)
    inner = max(0, radius - thick) * _FINE
    if inner and (fill or edge):
        pygame.draw.circle(large, fill or _clear(edge or "#000000"), centre, inner)
    corner = pygame.transform.smoothscale(large, (size, size))
    flip = pygame.transform.flip
    return corner, flip(corner, True, False), flip(corner, False, True), flip(corner, True, True)


def _clear(colour: str) -> pygame.Color:
    shade = pygame.Color(colour)
    shade.a = 0
    return shade
