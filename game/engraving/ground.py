"""The ground of a printed sheet: the few ways of drawing that a PDF file and the picture shown before it share."""

from typing import Protocol

from game.engraving.palette import BLACK, Palette
from shared.notation.engraved import Layout


class Pages(Protocol):
    """Pages, in millimetres: those of a PDF (``game.engraving.pdf.PdfPage``), or pictures of them."""

    def add_page(self) -> None:
        """Begin a page."""

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:
        """Paint a layout."""

    def say(
        self, text: str, x: float, y: float, size: float, bold: bool = True, middle: bool = False, ink: str = "#000000"
    ) -> None:
        """Write a line of text."""

    def pen(self, ink: str, width: float) -> None:
        """Set the pen."""

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """Draw a line."""

    def rect(self, x: float, y: float, w: float, h: float) -> None:
        """Draw the outline of a rectangle."""

    def set_type(self, size: float, bold: bool = True) -> None:
        """Set the type of text that is measured next."""

    def wide(self, text: str) -> float:
        """How wide a line of text is in the type that is set."""
