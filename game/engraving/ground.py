"""The drawing operations of a printed sheet, which a PDF file and its picture on the screen share."""

from typing import Protocol

from game.engraving.palette import BLACK, Palette
from shared.notation.engraved import Layout


class Pages(Protocol):
    """Pages, in millimetres: those of a PDF (``game.engraving.pdf.PdfPage``), or pictures of them."""

    def add_page(self) -> None:
        """Begin a page."""

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:
        """Paint a layout: ``left`` is its left edge, ``line`` its middle line, ``space`` a staff space."""

    def say(
        self, text: str, x: float, y: float, size: float, bold: bool = True, middle: bool = False, ink: str = "#000000"
    ) -> None:
        """Write a line of text ``size`` high, its baseline at ``y``; it begins at ``x``, or has its middle there."""

    def pen(self, ink: str, width: float) -> None:
        """Set colour and width of the next lines and rectangles."""

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw a line."""

    def rect(self, x: float, y: float, w: float, h: float) -> None:
        """Draw the outline of a rectangle."""

    def set_type(self, size: float, bold: bool = True) -> None:
        """Set the type of text that is measured next."""

    def wide(self, text: str) -> float:
        """How wide a line of text is in the type that is set."""
