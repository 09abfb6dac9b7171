"""The marks of music: SMuFL glyphs with their extents, and the thicknesses engraving goes by.

Lengths are staff spaces; x grows to the right and y **downward**, from the glyph's own origin.  Code
points and names: SMuFL 1.4 (W3C Music Notation Community Group).  Extents and defaults: the metadata
of the font Bravura 1.392, of which our music font is a subset.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

STEM = 0.12
BEAM = 0.5
BEAM_GAP = 0.25
STAFF_LINE = 0.13
BAR_LINE = 0.16
THICK_LINE = 0.5
LEDGER = 0.16
LEDGER_REACH = 0.4
BRACKET = 0.16
"""Bravura's defaults: the thickness of each line, the gap between beams, and a ledger line's reach beyond the head."""


@dataclass(frozen=True)
class GlyphBox:
    """One glyph: its code point and its box."""

    code: int
    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """How wide the ink is."""
        return self.right - self.left


MARKS = {
    "noteheadBlack": GlyphBox(0xE0A4, 0.0, -0.5, 1.18, 0.5),
    "noteheadXBlack": GlyphBox(0xE0A9, 0.0, -0.5, 1.16, 0.5),
    "noteheadCircleX": GlyphBox(0xE0B3, 0.0, -0.5, 0.996, 0.5),
    "noteheadParenthesis": GlyphBox(0xE0CE, -0.292, -0.728, 1.472, 0.72),
    "augmentationDot": GlyphBox(0xE1E7, 0.0, -0.2, 0.4, 0.2),
    "flag8thUp": GlyphBox(0xE240, 0.0, -0.036, 1.056, 3.241),
    "flag8thDown": GlyphBox(0xE241, 0.0, -3.233, 1.224, 0.058),
    "flag16thUp": GlyphBox(0xE242, 0.0, -0.008, 1.116, 3.252),
    "flag16thDown": GlyphBox(0xE243, 0.0, -3.248, 1.164, 0.036),
    "flag32ndUp": GlyphBox(0xE244, 0.0, -0.596, 1.044, 3.248),
    "flag32ndDown": GlyphBox(0xE245, 0.0, -3.248, 1.092, 0.688),
    "articAccentAbove": GlyphBox(0xE4A0, 0.0, -0.98, 1.356, -0.004),
    "restQuarter": GlyphBox(0xE4E5, 0.004, -1.492, 1.08, 1.5),
    "rest8th": GlyphBox(0xE4E6, 0.0, -0.696, 0.988, 1.004),
    "rest16th": GlyphBox(0xE4E7, 0.0, -0.716, 1.28, 2.0),
    "rest32nd": GlyphBox(0xE4E8, 0.0, -1.704, 1.452, 2.0),
    "tuplet3": GlyphBox(0xE883, 0.04, -1.5, 1.224, 0.032),
    "tuplet6": GlyphBox(0xE886, 0.041, -1.5, 1.256, 0.032),
    "timeSig1": GlyphBox(0xE081, 0.08, -1.004, 1.256, 1.0),
    "timeSig2": GlyphBox(0xE082, 0.08, -1.016, 1.704, 1.028),
    "timeSig3": GlyphBox(0xE083, 0.08, -0.996, 1.604, 1.004),
    "timeSig4": GlyphBox(0xE084, 0.08, -1.004, 1.8, 1.0),
    "timeSig6": GlyphBox(0xE086, 0.08, -1.004, 1.656, 0.996),
    "timeSig8": GlyphBox(0xE088, 0.08, -1.036, 1.664, 1.036),
    "timeSig9": GlyphBox(0xE089, 0.08, -1.004, 1.656, 0.996),
    "repeatDot": GlyphBox(0xE044, 0.0, -0.2, 0.4, 0.2),
    "repeat1Bar": GlyphBox(0xE500, 0.0, -1.116, 2.128, 1.0),
    "dynamicPiano": GlyphBox(0xE520, -0.356, -1.096, 1.464, 0.568),
    "dynamicMF": GlyphBox(0xE52D, -0.08, -1.724, 3.272, 0.66),
    "dynamicForte": GlyphBox(0xE522, -0.564, -1.776, 1.456, 0.608),
}
"""The glyphs the layouts use, by SMuFL name."""

CLEF_BARS = ((0.0, 0.64), (0.888, 0.64))
"""The two strokes of the percussion clef (left edge, width); they reach one space up and one down."""

RESTS = {"q": "restQuarter", "e": "rest8th", "s": "rest16th", "t": "rest32nd"}
"""The rest of each letter of a spelling code."""

FLAGS = {"e": "flag8th", "s": "flag16th", "t": "flag32nd"}
"""The flag of each letter, without its direction."""

FLAG_REACH = {
    "flag8thUp": -0.04,
    "flag8thDown": 0.132,
    "flag16thUp": -0.088,
    "flag16thDown": 0.128,
    "flag32ndUp": 0.376,
    "flag32ndDown": -0.448,
}
"""How far below the stem's end a flag's origin lies (the anchors stemUpNW and stemDownSW)."""

STEM_JOINT = {"noteheadBlack": 0.168, "noteheadXBlack": 0.444, "noteheadCircleX": 0.0}
"""How far from a head's middle its stem begins (the anchors stemUpSE and stemDownNW)."""

# Numbers and no font: a layout is worked out once for screen, SVG and PDF, and where none of them is loaded.
TEXT_WIDTHS = {
    **dict(zip("0123456789", (659, 440, 579, 600, 624, 607, 626, 537, 624, 571), strict=True)),
    **{"(": 335, ")": 335, "&": 725, "a": 552, "e": 563, "i": 300, "l": 318, "p": 596, "r": 376, "t": 376},
    **{"R": 650, "L": 552},
}
"""The advance of each sign of counts and stickings in the bold text font, in thousandths of its size."""

TEXT_KERNS = {"(a": -20, "(e": -40, "a)": -20, "et": -2, "la": 10, "le": -14, "li": -21, "p)": -20, "ri": 19}
"""Kerning: how far the font moves the second sign of a pair, in thousandths of its size."""

CAPITALS = 0.668
"""The height of capitals and figures in the text font, as a part of its size."""


@lru_cache(maxsize=1024)
def text_width(text: str, size: float) -> float:
    """How wide a line of bold text is at a type size; signs outside the table count as wide ones."""
    # Rather too wide than too narrow: words of a level's own then stand further apart instead of touching.
    signs = sum(TEXT_WIDTHS.get(sign, 650) for sign in text)
    return (signs + sum(kern(*pair) for pair in pairwise(text))) * size / 1000


def kern(first: str, second: str) -> int:
    """How far a sign moves towards the one before it (negative) or away, in thousandths of the type size."""
    return TEXT_KERNS.get(first + second, 0)
