"""Spells a figure in notes: every row of note values, dots, rests and tuplets that sounds the same.

Spelling codes: ``q`` crotchet, ``e`` quaver, ``s`` semiquaver, ``t`` demisemiquaver, ``.`` dotted, a
leading ``-`` a rest; so ``s e s`` or ``-s s e``.

The rules of the beat: a note lasts one place of the grid, or any single value up to the next stroke;
a note that crosses a half or a third of the beat begins and ends on the next coarser places; rests
never cross the beat's own divisions, except the rest that opens a beat (E. Gould, Behind Bars, 2011)."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import pairwise, product

from shared.errors import UserError
from shared.figures import Figure

CROTCHETS = {"q": Fraction(1), "e": Fraction(1, 2), "s": Fraction(1, 4), "t": Fraction(1, 8)}
"""The written length of each letter of a spelling code, in crotchets."""

TUPLETS = {"triplet": (3, 2), "sextuplet": (6, 4)}
"""The grids that need a tuplet: so many notes in the time of so many."""


class SpellingError(UserError, ValueError):
    """A spelling code that does not write the figure."""


@dataclass(frozen=True)
class Value:
    """One written note or rest.

    ``letter`` is a key of ``CROTCHETS``; ``at`` and ``length`` are its place and its sounding length
    in beats.
    """

    letter: str
    dots: int
    rest: bool
    at: Fraction
    length: Fraction

    @property
    def code(self) -> str:
        """The value as a word of a spelling code, such as ``-e.``"""
        return "-" * self.rest + self.letter + "." * self.dots

    @cached_property
    def start(self) -> float:
        """The place in the beat as a float, for drawing."""
        return float(self.at)

    @property
    def end(self) -> Fraction:
        """Where the value ends, in beats."""
        return self.at + self.length

    @property
    def crotchets(self) -> Fraction:
        """The written length in crotchets, dots included, any tuplet left out."""
        return CROTCHETS[self.letter] * (Fraction(3, 2) if self.dots else 1)

    @property
    def beams(self) -> int:
        """How many beams or flags the value has: none for a crotchet, three for a demisemiquaver."""
        # Each letter is half as long as the one before it and has a beam more.
        return "qest".index(self.letter)


@dataclass(frozen=True)
class Spelling:
    """One way to write a figure: its values in order, and the tuplet they stand in, if any.

    ``said`` are the words of the count that are shown otherwise under it, each with what is shown.
    """

    figure: Figure
    values: tuple[Value, ...]
    tuplet: tuple[int, int] | None = None
    said: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        return self.code

    def __hash__(self) -> int:
        # The generated hash would go through every fraction of every value each time that a cache is asked.
        return hash(self.code)

    @cached_property
    def code(self) -> str:
        """The spelling as a code, such as ``s e s``."""
        return " ".join(value.code for value in self.values)

    @property
    def notes(self) -> tuple[Value, ...]:
        """The values that sound, one for each onset."""
        return tuple(value for value in self.values if not value.rest)


@lru_cache(maxsize=1024)
def spellings(figure: Figure) -> tuple[Spelling, ...]:
    """Every legal spelling of a figure inside its beat: the usual one first, then from few values to many."""
    beat = _Beat(figure)
    usual = _spelling(figure, beat.opening() + sum((beat.usual(*gap) for gap in beat.gaps()), ()))
    others = {
        _spelling(figure, sum(parts, beat.opening())) for parts in product(*(beat.choices(*gap) for gap in beat.gaps()))
    }
    return (usual, *sorted(others - {usual}, key=lambda spelling: (len(spelling.values), spelling.code)))


def spelling_from_code(code: str, figure: Figure) -> Spelling:
    """The spelling of ``figure`` that ``code`` writes.  Raises ``SpellingError`` where there is none."""
    wanted = " ".join(code.split())
    legal = spellings(figure)
    for spelling in legal:
        if spelling.code == wanted:
            return spelling
    raise SpellingError(f"{code!r} does not write {figure.count!r}; choose from {', '.join(s.code for s in legal)}")


def _spelling(figure: Figure, values: tuple[Value, ...]) -> Spelling:
    return Spelling(figure, values, TUPLETS.get(figure.grid.name))


class _Beat:
    """The beat of one figure: its grid, its divisions and the values that fit them."""

    def __init__(self, figure: Figure) -> None:
        self.onsets = figure.onsets
        self.slot = Fraction(1, figure.grid.divisions)
        self.ternary = figure.grid.divisions % 3 == 0
        self.division = Fraction(1, 3 if self.ternary else 2)
        # A third of the beat is written as a quaver, half a crotchet, in a triplet as in a dotted-crotchet beat.
        self.shrink = Fraction(2, 3) if self.ternary else Fraction(1)

    def gaps(self) -> Iterator[tuple[Fraction, Fraction]]:
        """Each stroke's place and the place of the next stroke, or the beat's end."""
        return pairwise((*self.onsets, Fraction(1)))

    def opening(self) -> tuple[Value, ...]:
        """The rests before the first stroke, joined into one where they can be."""
        end = self.onsets[0] if self.onsets else Fraction(1)
        # The one rest that may reach over a division: two thirds of the beat, or a dotted quaver.
        joined = Fraction(2, 3) if self.ternary else Fraction(3, 4)
        if end == 1:
            return self._rest(Fraction(0), end)
        if end == joined or (self.ternary and end > joined):
            return (*self._rest(Fraction(0), joined), *self.rests(joined, end))
        return self.rests(Fraction(0), end)

    def _rest(self, start: Fraction, end: Fraction) -> tuple[Value, ...]:
        value = self._value(start, end, rest=True)
        return (value,) if value else ()

    def usual(self, start: Fraction, end: Fraction) -> tuple[Value, ...]:
        """The stroke at ``start`` as long as one value can be, then rests.

        A note that must stop short does not reach over a division only to leave a whole one silent.
        """
        longest = [notes for notes in self.choices(start, end) if not self._reaches_in_vain(notes[0], end)]
        return max(longest, key=lambda notes: notes[0].length)

    def _reaches_in_vain(self, note: Value, end: Fraction) -> bool:
        return self._crossed(note.at, note.end) > 0 and end - note.end >= self.division

    def choices(self, start: Fraction, end: Fraction) -> tuple[tuple[Value, ...], ...]:
        """Every note of one value at ``start`` with the rests that follow it up to ``end``."""
        steps = range(1, int((end - start) / self.slot) + 1)
        notes = [note for step in steps if (note := self._note(start, start + step * self.slot))]
        return tuple((note, *self.rests(note.end, end)) for note in notes)

    def rests(self, start: Fraction, end: Fraction) -> tuple[Value, ...]:
        """The fewest undotted rests from ``start`` to ``end`` that keep to the beat's divisions."""
        found: list[Value] = []
        while start < end:
            # Try the longest rest first: it must begin on a multiple of its own length and end in time.
            length = self.division
            while (start / length).denominator > 1 or start + length > end:
                length /= 2
            found += self._rest(start, start + length)
            start += length
        return tuple(found)

    def _note(self, start: Fraction, end: Fraction) -> Value | None:
        value = self._value(start, end, rest=False)
        return value if value and self._legal(start, end) else None

    def _legal(self, start: Fraction, end: Fraction) -> bool:
        if self.ternary:
            # Over one third-of-the-beat mark a note is still read at once; over both only where it begins the beat.
            return self._crossed(start, end) < 2 or start == 0
        # ``s e s`` is read at once; a syncope in demisemiquavers would hide where the half-beat lies.
        coarse = Fraction(1, 4)
        return not self._crossed(start, end) or all((place / coarse).denominator == 1 for place in (start, end))

    def _crossed(self, start: Fraction, end: Fraction) -> int:
        """How many divisions of the beat lie strictly between two places."""
        marks = (self.division * k for k in range(1, int(1 / self.division)))
        return sum(start < mark < end for mark in marks)

    def _value(self, start: Fraction, end: Fraction, rest: bool) -> Value | None:
        written = (end - start) / self.shrink
        for letter, crotchets in CROTCHETS.items():
            for dots, length in ((0, crotchets), (1, crotchets * Fraction(3, 2))):
                if length == written:
                    return Value(letter, dots, rest, start, end - start)
        return None
