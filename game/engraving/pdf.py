"""The PDF painter: fonts embedded, text selectable, the same bytes for the same page."""

import unicodedata
from collections.abc import Iterable
from datetime import UTC, datetime
from itertools import groupby

from fpdf import FPDF
from fpdf.fonts import TTFFont

from game.engraving import EM, MUSIC_FONT, PLAIN_FONT, TEXT_FONT
from game.engraving.palette import BLACK, Palette, colour, rgb
from shared.notation.engraved import Layout
from shared.notation.marks import MARKS

MUSIC, TEXT = "Drumlin Marks", "Atkinson Hyperlegible Next"

POINTS = 72 / 25.4
"""Points in a millimetre."""

SPACE, MARGIN, GAP = 2.0, 12.0, 6.0
"""Millimetres: a staff space, the margin, and the way from one layout to the next."""

BOX_WIDE, BOX_HIGH = 0.72, 0.68
"""The box for a letter that the type lacks, in type sizes."""

MOST_TOLD = 8
"""How many such letters the foot of the page lists by their codes."""


class PdfPage(FPDF):
    """A PDF in millimetres with our fonts, which paints layouts."""

    def __init__(self, title: str, size: str | tuple[float, float] = "A4") -> None:
        super().__init__(unit="mm", format=size)
        self.set_auto_page_break(False)
        # A fixed date, so that the same page gives the same bytes.
        self.set_creation_date(datetime(2000, 1, 1, tzinfo=UTC))
        self.set_title(title)
        self.set_creator("Drumlin")
        self.set_lang("en-GB")
        # A dictionary in place of a set, to list letters in the order in which they come.
        self._lacking: dict[str, None] = {}
        self.add_font(MUSIC, "", MUSIC_FONT)
        self.add_font(TEXT, "", PLAIN_FONT)
        self.add_font(TEXT, "B", TEXT_FONT)

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:
        """Paint a layout with its left edge at ``left`` and its middle line at ``line``; all in millimetres."""
        for block in layout.blocks:
            self.set_fill_color(*rgb(colour(palette, block.tone)))
            self.rect(left + block.x * space, line + block.y * space, block.width * space, block.height * space, "F")
        self.set_font(MUSIC, "", EM * space * POINTS)
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
        self.set_type(size, bold)
        self.set_text_color(*rgb(ink))
        if middle:
            x -= self.wide(text) / 2
        for piece, known in self._pieces(text):
            if known:
                self.text(x, y, piece)
            else:
                self._box_letters(piece, x, y, size)
            x += self.wide(piece)

    def pen(self, ink: str, width: float) -> None:
        """Set the pen of the next lines and boxes; ``width`` in millimetres."""
        self.set_draw_color(*rgb(ink))
        self.set_line_width(width)

    def set_type(self, size: float, bold: bool = True) -> None:
        """Set the type of text that is measured or written next; ``size`` in millimetres."""
        self.set_font(TEXT, "B" if bold else "", size * POINTS)

    def wide(self, text: str) -> float:
        """How wide a line of text is in the type that is set, in millimetres."""
        box = BOX_WIDE * self.font_size
        return sum(self.get_string_width(piece) if known else box * len(piece) for piece, known in self._pieces(text))

    def _pieces(self, text: str) -> list[tuple[str, bool]]:
        """The text cut where its letters begin or cease to be in the type that is set, and whether they are."""
        font = self.current_font
        known = font.cmap if isinstance(font, TTFFont) else {}
        # Composed first: the type holds accented letters whole.
        letters = groupby(unicodedata.normalize("NFC", text), lambda letter: ord(letter) in known)
        return [("".join(piece), in_type) for in_type, piece in letters]

    def _box_letters(self, letters: str, x: float, y: float, size: float) -> None:
        """Draw a box for each letter that the type lacks; the foot of the page tells which they are."""
        wide, high = BOX_WIDE * size, BOX_HIGH * size
        self.pen("#000000", 0.06 * size)
        for place in range(len(letters)):
            self.rect(x + (place + 0.12) * wide, y - high, 0.76 * wide, high)
        self._lacking.update(dict.fromkeys(letters))

    def footer(self) -> None:
        """Tell of the letters on this page that the type lacks; fpdf2 asks for it at the end of each page."""
        if self._lacking:
            codes = [f"U+{ord(letter):04X}" for letter in self._lacking]
            more = f" and {len(codes) - MOST_TOLD} more" if len(codes) > MOST_TOLD else ""
            told = f"A box stands for a letter that this type does not have: {', '.join(codes[:MOST_TOLD])}{more}."
            self._lacking.clear()
            self.say(told, self.w / 2, self.h - 6.5, 3, bold=False, middle=True)

    def bytes(self) -> bytes:
        """The finished file; the fonts' own files are closed with it."""
        finished = bytes(self.output())
        # fpdf2 leaves them open, and Python would warn of each.
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()
        return finished


def pdf(layouts: Iterable[Layout], palette: Palette = BLACK) -> bytes:
    """Layouts one below the other on one page that fits them, as the bytes of a PDF file."""
    layouts = tuple(layouts)
    width = max(layout.width for layout in layouts) * SPACE
    height = sum(layout.height * SPACE + GAP for layout in layouts) - GAP
    page = PdfPage(" / ".join(layout.label for layout in layouts), (width + 2 * MARGIN, height + 2 * MARGIN))
    page.add_page()
    top = MARGIN
    for layout in layouts:
        page.paint(layout, MARGIN, top - layout.top * SPACE, SPACE, palette)
        top += layout.height * SPACE + GAP
    return page.bytes()
