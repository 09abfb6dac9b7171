"""A page as a picture file: large, in the light theme, whatever the window."""

import io

import pygame
from pygame import Surface

from game.screens.base import Screen
from game.widgets.look import Look
from game.widgets.theme import LIGHT

SIZE = (1920, 1080)


def page_as_png(screen: Screen) -> bytes:
    """The bytes of a PNG of the page; the window lays it out anew when it is painted next."""
    canvas, look = Surface(SIZE), Look(SIZE, LIGHT)
    screen.lay_out(look)
    screen.paint(canvas, look)
    screen.stale = True
    file = io.BytesIO()
    pygame.image.save(canvas, file, "page.png")
    return file.getvalue()
