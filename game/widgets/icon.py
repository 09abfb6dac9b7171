"""The program's own sign, drawn by code: a low hill with the four strokes of a beat above it."""

from collections.abc import Iterator
from math import cos, pi

import pygame
from pygame import Rect, Surface

from game.widgets.theme import LIGHT, Theme

CORNER, FOOT, TOP = 0.2, 0.85, 0.62
"""The rounding of the corners, and where the hill begins and ends: shares of the side, from above."""

STROKES = (0.2, 0.4, 0.6, 0.8)
"""Where the strokes stand, from the left; the first is the accent."""

THICK, ACCENT, PLAIN = 0.085, 0.34, 0.22
"""How thick a stroke is and how long, an accent and the others."""

CLEAR = 0.07
"""The air between a stroke and the hill."""

FINER = 4
"""The sign is painted so many times too large and then scaled down, for smooth edges at every size."""


def hill(steps: int = 48) -> list[tuple[float, float]]:
    """The outline of the hill, in shares of the side, from its left foot round to it again."""
    places = [step / steps for step in range(steps + 1)]
    return [(0.0, 1.0), *((x, _ground(x)) for x in places), (1.0, 1.0)]


def _ground(x: float) -> float:
    return FOOT - (FOOT - TOP) * (1 - cos(2 * pi * x)) / 2


def strokes() -> Iterator[tuple[float, float, float, float]]:
    """Each stroke as left, top, width and height in shares of the side."""
    for x in STROKES:
        length = ACCENT if x == STROKES[0] else PLAIN
        yield x - THICK / 2, _ground(x) - CLEAR - length, THICK, length


def icon(size: int, theme: Theme = LIGHT) -> Surface:
    """The sign as a square picture with transparent corners, ``size`` pixels wide."""
    side = FINER * size
    picture, mask = (Surface((side, side), pygame.SRCALPHA) for _ in range(2))
    picture.fill(theme.accent)
    pygame.draw.polygon(picture, theme.wash, [(x * side, y * side) for x, y in hill()])
    for shares in strokes():
        box = Rect([round(share * side) for share in shares])
        pygame.draw.rect(picture, theme.on_accent, box, border_radius=box.w // 2)
    pygame.draw.rect(mask, "#FFFFFF", mask.get_rect(), border_radius=round(CORNER * side))
    # The lesser of both: white leaves the colours as they are, clear corners make the picture clear.
    picture.blit(mask, (0, 0), special_flags=pygame.BLEND_RGBA_MIN)
    return pygame.transform.smoothscale(picture, (size, size))


def icon_svg(theme: Theme = LIGHT) -> str:
    """The sign as an SVG picture (SVG 1.1), 100 units wide."""
    outline = " ".join(f"{100 * x:.2f},{100 * y:.2f}" for x, y in hill())
    bars = "\n".join(
        f'  <rect x="{100 * left:.2f}" y="{100 * top:.2f}" width="{100 * width:.2f}" height="{100 * high:.2f}" '
        f'rx="{50 * width:.2f}" fill="{theme.on_accent}"/>'
        for left, top, width, high in strokes()
    )
    return f"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
  <clipPath id="square"><rect width="100" height="100" rx="{100 * CORNER:g}"/></clipPath>
  <rect width="100" height="100" rx="{100 * CORNER:g}" fill="{theme.accent}"/>
  <polygon points="{outline}" fill="{theme.wash}" clip-path="url(#square)"/>
{bars}
</svg>
"""
