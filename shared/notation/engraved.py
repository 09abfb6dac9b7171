"""The elements of a layout: glyphs, blocks and words on a plane measured in staff spaces.

x grows to the right from the layout's left edge; y grows **downward** from the middle line of the
staff, which on a one-line staff is the line.  Every element carries a tone, a name that a painter
turns into a colour: ``ink``, or whatever the caller gave a beat.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import inf
from typing import NamedTuple

INK = "ink"

# Half of the width that ``noteheadBlack`` has in the font.
NOTE_MIDDLE = 0.59
"""From the left edge of a note head to its middle."""


class Glyph(NamedTuple):
    """One music glyph with its origin at (x, y); ``name`` is a key of ``shared.notation.marks.MARKS``."""

    x: float
    y: float
    name: str
    tone: str = INK


class Block(NamedTuple):
    """An upright rectangle: a staff line, stem, beam, bar line, part of a bracket or of the clef."""

    x: float
    y: float
    width: float
    height: float
    tone: str = INK


class Word(NamedTuple):
    """A line of bold text with its middle at ``x`` and its baseline at ``y``; ``size`` in staff spaces."""

    x: float
    y: float
    text: str
    size: float
    tone: str = INK


class Span(NamedTuple):
    """The part of the staff that belongs to one beat, from ``left`` to ``right``."""

    left: float
    right: float


Element = Glyph | Block | Word


@dataclass(frozen=True)
class Layout:
    """A laid-out bar or figure: everything to paint, and where its beats are.

    The ink lies between ``top`` (negative) and ``bottom``, and between 0 and ``width``.  ``origin``
    is the left edge of a note on the first beat, ``beat_width`` the distance between beats.
    """

    width: float
    top: float
    bottom: float
    origin: float
    beat_width: float
    lines: tuple[float, ...]
    glyphs: tuple[Glyph, ...]
    blocks: tuple[Block, ...]
    words: tuple[Word, ...]
    beats: tuple[Span, ...]
    columns: tuple[float, ...]
    label: str

    @property
    def height(self) -> float:
        """The height of the ink, in staff spaces."""
        return self.bottom - self.top

    def column(self, beat: int, at: Fraction | float = 0) -> float:
        """The middle of a note at a place (0 to 1) in a beat (from 0): where a playhead stands."""
        return self.origin + NOTE_MIDDLE + (beat + float(at)) * self.beat_width

    def __hash__(self) -> int:
        # Worked out once: painters look up finished pictures by their layouts.
        return self._hash

    @cached_property
    def _hash(self) -> int:
        # Of the ink alone, which differs for nearly all layouts; where it does not, the comparison decides.
        return hash((self.glyphs, self.blocks, self.words))


def beat_to_fill(layouts: Sequence[Layout], width: float, widest: float = inf) -> float:
    """The width of the beat at which layouts of equally many beats are as wide as ``width``, all in staff spaces.

    At most ``widest``, and never less than their notes need.
    """
    # Clef, signs and margins keep their width: only the beats are drawn out.
    ends = max(layout.width - len(layout.beats) * layout.beat_width for layout in layouts)
    needed = max(layout.beat_width for layout in layouts)
    return max(needed, min(widest, (width - ends) / len(layouts[0].beats)))


def reach(layouts: Iterable[Layout]) -> tuple[float, float]:
    """How far the ink of layouts on one common line reaches above and below that line, in staff spaces."""
    layouts = tuple(layouts)
    return max(-layout.top for layout in layouts), max(layout.bottom for layout in layouts)
