"""Works out the least width of a beat: time is drawn to scale, and no ink may touch its neighbour."""

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise

from shared.notation.beaming import groups
from shared.notation.engraved import NOTE_MIDDLE
from shared.notation.marks import FLAGS, MARKS, RESTS, STEM, text_width
from shared.spelling import Spelling, Value

NARROWEST_BEAT = 10.0
"""The least width of a beat in staff spaces: sparse beats get it too, so that equal times look equal in every bar."""

CLEAR = 0.35
"""The least space between the ink of neighbouring columns."""

WORD_CLEAR = 0.12
"""The least space on each side of a word beyond that, as a part of its size."""

DOT_GAP = 0.3
"""From a note or rest to its dot."""

HEAD = MARKS["noteheadBlack"].width
BRACKETS = MARKS["noteheadParenthesis"]

STEM_UP = HEAD - STEM
"""From the left edge of a note head to the left edge of its stem, stem up."""

Ink = tuple[float, float, float]
"""A column of ink: its time in beats, and its edges about its column."""


def dot_place(value: Value, flag_up: bool = False, ghost: bool = False) -> float:
    """The left edge of a value's dot, from the left edge of its column: clear of an upward flag and of brackets."""
    if value.rest:
        return rest_place(value) + MARKS[RESTS[value.letter]].right + DOT_GAP
    if flag_up:
        return flag_right(value, up=True) + DOT_GAP / 2
    return (BRACKETS.right + DOT_GAP / 2) if ghost else HEAD + DOT_GAP


def rest_place(value: Value) -> float:
    """The origin of a rest that stands in the middle of a note's column."""
    mark = MARKS[RESTS[value.letter]]
    return NOTE_MIDDLE - (mark.left + mark.right) / 2


@lru_cache(maxsize=1024)
def ink(spelling: Spelling, up: bool = True, ghosts: bool = False) -> tuple[Ink, ...]:
    """The columns of a spelling, timed from the start of its beat; ``ghosts`` leaves room for brackets."""
    flagged = {group.notes[0] for group in groups(spelling) if group.flagged}
    return tuple((value.start, *_edges(value, value in flagged, up, ghosts)) for value in spelling.values)


def _edges(value: Value, flag: bool, up: bool, ghost: bool) -> tuple[float, float]:
    left, right = (BRACKETS.left, BRACKETS.right) if ghost else (0.0, HEAD)
    if value.rest:
        left = rest_place(value)
        right = left + MARKS[RESTS[value.letter]].right
    elif flag:
        right = max(right, flag_right(value, up))
    if value.dots:
        right = dot_place(value, flag and up, ghost) + MARKS["augmentationDot"].right
    return left, right


def flag_right(value: Value, up: bool) -> float:
    """The right edge of a value's flag, from the left edge of its column."""
    return MARKS[FLAGS[value.letter] + ("Up" if up else "Down")].right + (STEM_UP if up else 0.0)


def lettering(words: Iterable[tuple[float, str]], size: float) -> list[Ink]:
    """The columns of a row of words, each in the middle of its note."""
    return [(at, NOTE_MIDDLE - half, NOTE_MIDDLE + half) for at, half in _halves(words, size)]


def _halves(words: Iterable[tuple[float, str]], size: float) -> Iterable[tuple[float, float]]:
    return ((at, text_width(text, size) / 2 + WORD_CLEAR * size) for at, text in words)


def beat_width(rows: Iterable[Iterable[Ink]]) -> float:
    """The least width of a beat that keeps the columns of every row apart, in staff spaces."""
    return max((_needed(sorted(row)) for row in rows), default=0.0)


def _needed(row: list[Ink]) -> float:
    # Each pair of neighbours asks for a width of the beat at which they clear each other; the widest is needed.
    gaps = (
        (right - left + CLEAR) / (later - earlier)
        for (earlier, _, right), (later, left, _) in pairwise(row)
        # Columns at the same time lie on each other on purpose, and no width could part them.
        if later > earlier
    )
    return max(gaps, default=0.0)
