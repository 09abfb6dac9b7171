"""Beaming: groups the notes of a beat under beams, and says where each beam begins, ends and breaks."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from shared.spelling import Spelling, Value

Notes = tuple[Value, ...]

HALF = Fraction(1, 2)


@dataclass(frozen=True)
class Beam:
    """One stroke of a beam between two notes of a group, both counted from 0.

    ``level`` is 1 for the outermost beam.  ``hook`` is 0 for a beam between two notes; for a partial
    beam on one note it is 1 where it points forward and -1 where it points back.
    """

    level: int
    first: int
    last: int
    hook: int = 0


@dataclass(frozen=True)
class Group:
    """Notes that share a beam, outermost beam first; or one note, with a flag if it has no beam to share.

    ``extra`` is how many beams longer than usual the stems must be: for a third beam, and for a
    demisemiquaver rest, which stands taller than others, under the beams.
    """

    notes: Notes
    beams: tuple[Beam, ...] = ()
    extra: int = 0

    @property
    def flagged(self) -> bool:
        """Whether this is one note with a flag."""
        return len(self.notes) == 1 and self.notes[0].beams > 0


@lru_cache(maxsize=1024)
def groups(spelling: Spelling) -> tuple[Group, ...]:
    """The notes of a beat in groups, in order.

    A beam may reach over a rest inside the beat; a crotchet or its rest breaks it.  Where a beat is
    divided into demisemiquavers, all beams but the first break at the half-beat, except where a partial
    beam would then point over it.
    """
    found: list[list[Value]] = [[]]
    for value in spelling.values:
        if not value.beams:
            # Empty groups, dropped below, keep apart what must not be joined: a crotchet has no beam to share.
            found += [[] if value.rest else [value], []]
        elif not value.rest:
            found[-1].append(value)
    return tuple(_group(spelling, tuple(notes)) for notes in found if notes)


def _group(spelling: Spelling, notes: Notes) -> Group:
    under = (value for value in spelling.values if notes[0].at < value.at < notes[-1].at)
    tall = any(value.code == "-t" for value in under)
    return Group(notes, _beams(notes), max(0, max(note.beams for note in notes) - 2) + tall)


def _beams(notes: Notes) -> tuple[Beam, ...]:
    if len(notes) == 1:
        return ()
    # An eighth of the beat is the place of a demisemiquaver: three beams in a row would hide where the half-beat is.
    broken = any(place.denominator == 8 for note in notes for place in (note.at, note.end))
    levels = range(1, max(note.beams for note in notes) + 1)
    return tuple(_beam(notes, level, run, broken) for level in levels for run in _runs(notes, level, broken))


def _runs(notes: Notes, level: int, broken: bool) -> list[tuple[int, int]]:
    """The stretches of neighbouring notes that all have a beam at ``level``, as (first, last)."""
    runs: list[tuple[int, int]] = []
    for place, value in enumerate(notes):
        if value.beams < level:
            continue
        breaks = broken and level > 1 and _breaks_before(notes, place)
        if runs and runs[-1][1] == place - 1 and not breaks:
            runs[-1] = runs[-1][0], place
        else:
            runs.append((place, place))
    return runs


def _breaks_before(notes: Notes, place: int) -> bool:
    """Whether the beams break before a note: the half-beat lies there, and no partial beam would point across it."""
    before, after = notes[place - 1], notes[place]
    points_over = (place == 1 and before.end == HALF) or (place == len(notes) - 1 and after.at == HALF)
    return before.at < HALF <= after.at and not points_over


def _beam(notes: Notes, level: int, run: tuple[int, int], broken: bool) -> Beam:
    first, last = run
    return Beam(level, first, last, 0 if first < last else _direction(notes, level, first, broken))


def _direction(notes: Notes, level: int, place: int, broken: bool) -> int:
    """Where a partial beam points (1 forward, -1 back): to the note with which its note fills a half or a quarter."""
    first, last = next(run for run in _runs(notes, level - 1, broken) if run[0] <= place <= run[1])
    if first == last:
        # Alone at the next outer level too, the note has no neighbour there to point to: look further out.
        return _direction(notes, level - 1, place, broken)
    if place in (first, last):
        return 1 if place == first else -1
    # Inside a beam the note belongs to a unit of twice its undotted length: where it opens one it points on.
    value = notes[place]
    unit = value.length / (Fraction(3, 2) if value.dots else 1) * 2 ** (value.beams - level)
    return 1 if (value.at / (2 * unit)).denominator == 1 else -1
