"""The SVG painter: every glyph and letter is an outline, so it looks the same without our fonts."""

from functools import lru_cache
from itertools import accumulate, pairwise
from pathlib import Path
from xml.sax.saxutils import escape

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from game.engraving import EM, MUSIC_FONT, TEXT_FONT
from game.engraving.palette import BLACK, Palette, colour
from shared.notation.engraved import Block, Glyph, Layout, Word
from shared.notation.marks import MARKS, kern

MARGIN = 1.0
"""Staff spaces around the layout."""

PIXELS = 10
"""The size of a staff space where the picture is shown at its own size."""


def svg(layout: Layout, palette: Palette = BLACK) -> str:
    """A layout as an SVG document, labelled with its count; its units are staff spaces."""
    width, height = layout.width + 2 * MARGIN, layout.height + 2 * MARGIN
    box = f"{_n(-MARGIN)} {_n(layout.top - MARGIN)} {_n(width)} {_n(height)}"
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="{_n(width * PIXELS)}" '
            # With this role a screen reader says the title in place of a hundred paths.
            f'height="{_n(height * PIXELS)}" role="img">',
            f"<title>{escape(layout.label)}</title>",
            *(_block(block, palette) for block in layout.blocks),
            *(_glyph(glyph, palette) for glyph in layout.glyphs),
            *(_word(word, palette) for word in layout.words),
            "</svg>\n",
        )
    )


def _block(block: Block, palette: Palette) -> str:
    x, y, width, height = (_n(length) for length in block[:4])
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{colour(palette, block.tone)}"/>'


def _glyph(glyph: Glyph, palette: Palette) -> str:
    font = _font(MUSIC_FONT)
    return _path(font.path(chr(MARKS[glyph.name].code)), glyph.x, glyph.y, EM / font.em, colour(palette, glyph.tone))


def _word(word: Word, palette: Palette) -> str:
    font = _font(TEXT_FONT)
    moves = [kern(*pair) * font.em / 1000 for pair in pairwise(word.text)]
    steps = [font.advance(sign) + move for sign, move in zip(word.text, (*moves, 0.0), strict=True)]
    scale = word.size / font.em
    lefts = accumulate(steps, initial=word.x / scale - sum(steps) / 2)
    fill = colour(palette, word.tone)
    # One place more than letters: where the next letter would begin.
    letters = zip(word.text, lefts, strict=False)
    return "".join(_path(font.path(sign), left * scale, word.y, scale, fill) for sign, left in letters)


def _path(outline: str, x: float, y: float, scale: float, fill: str) -> str:
    # Six places: with three, as lengths have, type of 1.7 staff spaces would come out as large as type of 2.
    size = f"{scale:.6f}"
    # Fonts measure upward, pictures downward: hence the minus.
    return f'<path transform="translate({_n(x)} {_n(y)}) scale({size} -{size})" fill="{fill}" d="{outline}"/>'


def _n(number: float) -> str:
    # A thousandth of a staff space is less than a pixel at any size, and each path has dozens of numbers.
    return f"{number:.3f}".rstrip("0").rstrip(".")


class _Outlines:
    """The outlines and advances of a font, in its own units, y upward."""

    def __init__(self, path: Path) -> None:
        self.file = TTFont(path)
        self.glyphs = self.file.getGlyphSet()
        self.names: dict[int, str] = self.file.getBestCmap()
        self.em: int = self.file["head"].unitsPerEm

    def path(self, sign: str) -> str:
        """The outline of a character as SVG path data."""
        pen = SVGPathPen(self.glyphs)
        self.glyphs[self._name(sign)].draw(pen)
        return str(pen.getCommands())

    def advance(self, sign: str) -> float:
        """How far a character moves the next one on."""
        return float(self.glyphs[self._name(sign)].width)

    def _name(self, sign: str) -> str:
        # A box in place of a letter that the font lacks, as on the screen and in a PDF: a gap would hide it.
        return self.names.get(ord(sign), ".notdef")


@lru_cache(maxsize=2)
def _font(path: Path) -> _Outlines:
    return _Outlines(path)
