"""The PNG painter: the screen's own painter on a white ground, with no display."""

import io

import pygame

from game.engraving.palette import BLACK, Palette
from game.engraving.surface import Engraver
from shared.notation.engraved import Layout

SPACE = 20
"""Pixels a staff space: sharp in print at 10 cm a bar."""

MARGIN = 1
"""Staff spaces around the layout."""


def png(layout: Layout, palette: Palette = BLACK, space: int = SPACE) -> bytes:
    """A layout as the bytes of a PNG file; ``space`` is the pixels between two staff lines."""
    picture = Engraver().picture(layout, space, palette).surface
    page = pygame.Surface([length + 2 * MARGIN * space for length in picture.get_size()])
    # A white ground, not a clear one: black notes would be lost in a dark reader.
    page.fill("#ffffff")
    page.blit(picture, (MARGIN * space, MARGIN * space))
    file = io.BytesIO()
    # The name only tells the format.
    pygame.image.save(page, file, "picture.png")
    return file.getvalue()
