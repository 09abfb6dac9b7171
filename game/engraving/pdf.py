"""The PDF painter: fonts embedded, text selectable, the same bytes for the same page."""

import logging
import os
from collections.abc import Iterable
from datetime import UTC, datetime

from fpdf import FPDF
from fpdf.fonts import TTFFont

from game.engraving import MUSIC_FONT, PLAIN_FONT, TEXT_FONT
from game.engraving.palette import BLACK, Palette, colour, rgb
from shared.engraved import Layout
from shared.files import write_beside
from shared.marks import MARKS

MUSIC, TEXT = "Drumlin Marks", "Atkinson Hyperlegible Next"
logging.getLogger("fpdf").addHandler(logging.NullHandler())  # else it tells a player of each sign a font lacks

POINTS = 72 / 25.4
"""Points in a millimetre."""

SPACE, MARGIN, GAP = 2.0, 12.0, 6.0
"""Millimetres: a staff space, the margin, and the way from one layout to the next."""


class Page(FPDF):
    """A PDF in millimetres with our fonts, which paints layouts."""

    def __init__(self, title: str, size: str | tuple[float, float] = "A4") -> None:
        super().__init__(unit="mm", format=size)
        self.set_auto_page_break(False)
        self.set_creation_date(datetime(2000, 1, 1, tzinfo=UTC))
        self.set_title(title)
        self.set_creator("Drumlin")
        self.set_lang("en-GB")
        self.add_font(MUSIC, "", MUSIC_FONT)
        self.add_font(TEXT, "", PLAIN_FONT)
        self.add_font(TEXT, "B", TEXT_FONT)

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:
        """Paint a layout with its left edge at ``left`` and its middle line at ``line``; all in millimetres."""
        for block in layout.blocks:
            self.set_fill_color(*rgb(colour(palette, block.tone)))
            self.rect(left + block.x * space, line + block.y * space, block.width * space, block.height * space, "F")
        self.set_font(MUSIC, "", 4 * space * POINTS)
        for glyph in layout.glyphs:
            self.set_text_color(*rgb(colour(palette, glyph.tone)))
            self.text(left + glyph.x * space, line + glyph.y * space, chr(MARKS[glyph.name].code))
        for word in layout.words:
            x, y = left + word.x * space, line + word.y * space
            self.say(word.text, x, y, word.size * space, middle=True, ink=colour(palette, word.tone))

    def say(
        self,
        text: str,
        x: float,
        y: float,
        size: float,
        bold: bool = True,
        middle: bool = False,
        ink: str = "#000000",
    ) -> None:
        """One line of text with its baseline at ``y``: it begins at ``x``, or has its middle there."""
        self.set_font(TEXT, "B" if bold else "", size * POINTS)
        self.set_text_color(*rgb(ink))
        self.text(x - self.get_string_width(text) / 2 if middle else x, y, text)

    def bytes(self) -> bytes:
        """The finished file; the fonts' own files are closed with it."""
        finished = bytes(self.output())
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()
        return finished


def pdf(layouts: Iterable[Layout], palette: Palette = BLACK) -> bytes:
    """Layouts one below the other on one page that fits them, as the bytes of a PDF file."""
    layouts = tuple(layouts)
    width = max(layout.width for layout in layouts) * SPACE
    height = sum(layout.height * SPACE + GAP for layout in layouts) - GAP
    page = Page(" / ".join(layout.label for layout in layouts), (width + 2 * MARGIN, height + 2 * MARGIN))
    page.add_page()
    top = MARGIN
    for layout in layouts:
        page.paint(layout, MARGIN, top - layout.top * SPACE, SPACE, palette)
        top += layout.height * SPACE + GAP
    return page.bytes()


def write_pdf(path: str | os.PathLike[str], layout: Layout, palette: Palette = BLACK) -> None:
    """Write a layout as a PDF file.  Raises ``FileError`` where it cannot be written."""
    write_beside(path, pdf([layout], palette))
