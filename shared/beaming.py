"""Which notes of a beat share a beam, and where each beam begins, ends and breaks."""

from dataclasses import dataclass
from fractions import Fraction

from shared.spelling import Spelling, Value

Group = tuple[Value, ...]


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


def groups(spelling: Spelling) -> tuple[Group, ...]:
    """The notes of a beat in the groups that share a beam; a group of one takes a flag or stands alone.

    A beam may reach over a rest inside the beat; a crotchet or its rest breaks it.
    """
    found: list[list[Value]] = [[]]
    for value in spelling.values:
        if not value.beams:
            found.append([] if value.rest else [value])
            found.append([])
        elif not value.rest:
            found[-1].append(value)
    return tuple(tuple(group) for group in found if group)


def beams(group: Group) -> tuple[Beam, ...]:
    """The beams of a group of two or more notes, outermost first.

    Where a beat is divided into demisemiquavers, all beams but the first break at the half-beat.
    """
    broken = any(place.denominator == 8 for value in group for place in (value.at, value.end))
    levels = range(1, max(value.beams for value in group) + 1)
    return tuple(_beam(group, level, *run) for level in levels for run in _runs(group, level, broken))


def _runs(group: Group, level: int, broken: bool) -> list[tuple[int, int]]:
    """The stretches of neighbouring notes that all have a beam at ``level``, as (first, last)."""
    runs: list[tuple[int, int]] = []
    for place, value in enumerate(group):
        if value.beams < level:
            continue
        joined = runs and runs[-1][1] == place - 1 and not (broken and level > 1 and _half_between(group, place))
        runs[-1:] = [(runs[-1][0], place)] if joined else [*runs[-1:], (place, place)]
    return runs


def _half_between(group: Group, place: int) -> bool:
    return group[place - 1].at < Fraction(1, 2) <= group[place].at


def _beam(group: Group, level: int, first: int, last: int) -> Beam:
    if first < last:
        return Beam(level, first, last)
    return Beam(level, first, last, _direction(group, level, first))


def _direction(group: Group, level: int, place: int) -> int:
    """A partial beam points into the beat, and towards the note it makes up a division with."""
    if place in (0, len(group) - 1):
        return 1 if place == 0 else -1
    value = group[place]
    unit = value.length / (Fraction(3, 2) if value.dots else 1) * 2 ** (value.beams - level)
    return 1 if (value.at / (2 * unit)).denominator == 1 else -1
