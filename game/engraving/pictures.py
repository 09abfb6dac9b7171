"""Pages as pictures: a sheet that goes into a PDF can be drawn here instead, to be looked at before it is printed."""

import pygame
from pygame import Surface

from game.engraving import A4_HEIGHT, A4_WIDTH, PLAIN_FONT, TEXT_FONT
from game.engraving.palette import BLACK, Palette, rgb
from game.engraving.surface import Engraver
from shared.notation.engraved import Layout

DRAWN_HIGH = 2400
"""A page is drawn at least so many pixels high and made smaller: notes come in whole pixels a staff space."""


class PicturePages:
    """Pages ``high`` pixels high, as the ground of a sheet; lengths in millimetres.

    Only the page numbered ``wanted``, from 0, is drawn; ``count`` tells how many there were.
    """

    def __init__(self, high: int, engraver: Engraver, wanted: int = 0) -> None:
        # A whole number of times finer, so that scaling down mixes the same pixels everywhere.
        finer = max(1, DRAWN_HIGH // high)
        self.scale = high * finer / A4_HEIGHT
        self.count = 0
        self._wanted = wanted
        self._engraver = engraver
        self._size = (round(high * A4_WIDTH / A4_HEIGHT), high)
        self._canvas = Surface((round(A4_WIDTH * self.scale), high * finer))
        self._canvas.fill("white")
        self._ink, self._width = rgb("#000000"), 1
        self._fonts: dict[tuple[int, bool], pygame.font.Font] = {}
        self.set_type(4.0)

    def picture(self) -> Surface:
        """The wanted page."""
        return pygame.transform.smoothscale(self._canvas, self._size)

    def add_page(self) -> None:
        """Begin a page."""
        self.count += 1

    @property
    def _drawn(self) -> bool:
        return self.count - 1 == self._wanted

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:
        """Paint a layout with its left edge at ``left`` and its middle line at ``line``."""
        if not self._drawn:
            return
        # Drawn at the next whole pixel, then brought to its true size.
        whole = max(4, round(space * self.scale))
        picture = self._engraver.picture(layout, whole, palette)
        share = space * self.scale / whole
        small = pygame.transform.smoothscale_by(picture.surface, share)
        at = round(left * self.scale - picture.left * share), round(line * self.scale - picture.line * share)
        self._canvas.blit(small, at)

    def say(
        self, text: str, x: float, y: float, size: float, bold: bool = True, middle: bool = False, ink: str = "#000000"
    ) -> None:
        """One line of text with its baseline at ``y``: it begins at ``x``, or has its middle there."""
        if not self._drawn:
            return
        font = self._font(round(size * self.scale), bold)
        words = font.render(text, True, rgb(ink))
        left = x * self.scale - (words.get_width() / 2 if middle else 0)
        self._canvas.blit(words, (round(left), round(y * self.scale) - font.get_ascent()))

    def _font(self, size: int, bold: bool) -> pygame.font.Font:
        if (size, bold) not in self._fonts:
            self._fonts[size, bold] = pygame.font.Font(str(TEXT_FONT if bold else PLAIN_FONT), max(1, size))
        return self._fonts[size, bold]

    def set_type(self, size: float, bold: bool = True) -> None:
        """Set the type of text that is measured next."""
        # On pages that are not drawn too: what is measured with it settles where the next page begins.
        self._type = self._font(round(size * self.scale), bold)

    def wide(self, text: str) -> float:
        """How wide a line of text is in the type that is set."""
        return self._type.size(text)[0] / self.scale

    def pen(self, ink: str, width: float) -> None:
        """Set the pen of the next lines and boxes."""
        self._ink, self._width = rgb(ink), max(1, round(width * self.scale))

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A line."""
        if self._drawn:
            start, end = ((round(x * self.scale), round(y * self.scale)) for x, y in ((x1, y1), (x2, y2)))
            pygame.draw.line(self._canvas, self._ink, start, end, self._width)

    def rect(self, x: float, y: float, w: float, h: float) -> None:
        """The outline of a rectangle."""
        if self._drawn:
            box = pygame.Rect(*(round(length * self.scale) for length in (x, y, w, h)))
            pygame.draw.rect(self._canvas, self._ink, box, self._width)
