"""One-beat rhythm figures, identified by what can be heard: their onsets inside the beat.

A figure is written as a drummer counts it: ``1 e a``, ``(1) & a``, ``1 trip let``.  Everything else
that is known of it (grid, count, spelling, sticking, syllables) is derived from its onsets.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

BETWEEN = "ta"
"""The word for a stroke that lies between two counted places."""


Onsets = tuple[Fraction, ...]
"""The places of strokes: ascending exact fractions of the beat, from 0 up to, not including, 1."""


@dataclass(frozen=True)
class Grid:
    """An even division of the beat and the words that count it.

    ``words`` has one entry for each division; the first is empty, for the beat's own number.
    """

    name: str
    words: tuple[str, ...]
    compound: bool = False

    @property
    def divisions(self) -> int:
        """How many equal places the beat has."""
        return len(self.words)

    @cached_property
    def places(self) -> tuple[Fraction, ...]:
        """The places of the grid in beats, from 0 up."""
        return tuple(Fraction(k, self.divisions) for k in range(self.divisions))

    def holds(self, onsets: tuple[Fraction, ...]) -> bool:
        """Say whether every onset lies on a place of this grid."""
        return all((onset * self.divisions).denominator == 1 for onset in onsets)


# The order matters: a figure that lies on several grids is counted by the first of them.
SIMPLE_GRIDS = (
    Grid("semiquaver", ("", "e", "&", "a")),
    Grid("triplet", ("", "trip", "let")),
    Grid("sextuplet", ("", BETWEEN, "trip", BETWEEN, "let", BETWEEN)),
    Grid("demisemiquaver", ("", BETWEEN, "e", BETWEEN, "&", BETWEEN, "a", BETWEEN)),
)
"""The grids of a crotchet beat, coarsest first."""

COMPOUND_GRIDS = (
    Grid("compound quaver", ("", "la", "li"), compound=True),
    Grid("compound semiquaver", ("", BETWEEN, "la", BETWEEN, "li", BETWEEN), compound=True),
)
"""The grids of a dotted-crotchet beat, coarsest first."""


class FigureError(ValueError):
    """Onsets that no grid of the beat can hold."""


@dataclass(frozen=True)
class Figure:
    """The set of onsets inside one beat.

    ``onsets`` are exact fractions of the beat, ascending, each at least 0 and below 1; none at all
    is the rest.  ``compound`` tells a dotted-crotchet beat from a crotchet beat: the two are counted
    and spelled differently, although the same onsets sound alike in both.
    """

    onsets: tuple[Fraction, ...]
    compound: bool = False

    def __post_init__(self) -> None:
        onsets = tuple(map(_place, self.onsets))
        # The class is frozen, which also forbids its own __post_init__ to set a field in the usual way.
        object.__setattr__(self, "onsets", onsets)
        if list(onsets) != sorted(set(onsets)):
            raise FigureError(f"onsets must ascend without repeats; found {_listed(onsets)}")
        if onsets and not (0 <= onsets[0] and onsets[-1] < 1):
            raise FigureError(f"onsets must lie from 0 up to, not including, 1; found {_listed(onsets)}")
        if not any(grid.holds(onsets) for grid in self._grids):
            beat = "dotted-crotchet" if self.compound else "crotchet"
            names = ", ".join(grid.name for grid in self._grids)
            raise FigureError(f"no grid of the {beat} beat ({names}) holds {_listed(onsets)}")

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Figure):
            return NotImplemented
        # Most figures that are compared differ, and their hashes tell it soonest.
        return self is other or (self._hash, self.compound, self.onsets) == (other._hash, other.compound, other.onsets)

    def __hash__(self) -> int:
        # Worked out once: figures are the keys of most tables and caches, and hashing fractions is slow.
        return self._hash

    def __str__(self) -> str:
        return self.count

    def __repr__(self) -> str:
        return f"<Figure {self.count} compound>" if self.compound else f"<Figure {self.count}>"

    @cached_property
    def _hash(self) -> int:
        return hash((self.onsets, self.compound))

    @property
    def _grids(self) -> tuple[Grid, ...]:
        return COMPOUND_GRIDS if self.compound else SIMPLE_GRIDS

    @cached_property
    def grid(self) -> Grid:
        """The coarsest grid that holds every onset."""
        return next(grid for grid in self._grids if grid.holds(self.onsets))

    @cached_property
    def slots(self) -> tuple[int, ...]:
        """The onsets as places of ``grid``, counted from 0."""
        return tuple(int(onset * self.grid.divisions) for onset in self.onsets)

    @cached_property
    def floats(self) -> tuple[float, ...]:
        """The onsets as floats."""
        return tuple(map(float, self.onsets))

    @cached_property
    def picture(self) -> str:
        """One sign for each place of ``grid``: ``x`` a stroke, ``.`` none, as in ``xx.x``."""
        return "".join("x" if k in self.slots else "." for k in range(self.grid.divisions))

    @property
    def is_rest(self) -> bool:
        """Whether nothing sounds in the beat."""
        return not self.onsets

    @cached_property
    def count(self) -> str:
        """The figure as it is counted on beat 1, such as ``1 e a``."""
        return self.count_on(1)

    def count_on(self, beat: int) -> str:
        """The figure as it is counted on the given beat (from 1)."""
        return " ".join(word for _, word in self.counted_places(beat))

    def counted_places(self, beat: int = 1) -> tuple[tuple[Fraction, str], ...]:
        """Each word of the count with its place in the beat.

        The number is always there, and whatever is counted without being played stands in
        brackets: the silent number, and the neighbours a ``ta`` needs to be found by.
        """
        words = self.grid.words
        shown = {0, *self.slots, *(k - 1 for k in self.slots if words[k] == BETWEEN)}
        if any(words[k] == BETWEEN for k in shown) and not any(words[k] not in ("", BETWEEN) for k in shown):
            # A ta right after the number lies elsewhere in a sextuplet than among demisemiquavers: the next word tells.
            shown.add(2)
        return tuple(
            (self.grid.places[k], self._word(k, beat) if k in self.slots else f"({self._word(k, beat)})")
            for k in sorted(shown)
        )

    def _word(self, slot: int, beat: int) -> str:
        return self.grid.words[slot] or str(beat)


@lru_cache(maxsize=256)
def _place(onset: Fraction) -> Fraction:
    """The one object for a place: Python compares equal fractions slowly, and one object with itself at once."""
    return Fraction(onset)


def _listed(onsets: tuple[Fraction, ...]) -> str:
    return "{" + ", ".join(str(onset) for onset in onsets) + "}"
