"""Meters and bars: one figure on each beat."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from shared.figures import Figure


@dataclass(frozen=True)
class Meter:
    """A time signature and the beats it is felt in: crotchets, or dotted crotchets when compound."""

    name: str
    beats: int
    compound: bool = False

    def __str__(self) -> str:
        return self.name

    @property
    def beat_name(self) -> str:
        """The written length of one beat, in UK terms."""
        return "dotted crotchet" if self.compound else "crotchet"

    @property
    def crotchets_in_beat(self) -> Fraction:
        """The written length of one beat, in crotchets."""
        return Fraction(3, 2) if self.compound else Fraction(1)


METERS = {
    meter.name: meter
    for meter in (
        Meter("2/4", 2),
        Meter("3/4", 3),
        Meter("4/4", 4),
        Meter("6/8", 2, compound=True),
        Meter("9/8", 3, compound=True),
        Meter("12/8", 4, compound=True),
    )
}
"""The meters of levels and questions, by name."""

SINGLE_BEATS = {meter.name: meter for meter in (Meter("1/4", 1), Meter("3/8", 1, compound=True))}
"""The bars that hold a figure on its own."""


def meters_like(meter: Meter) -> frozenset[str]:
    """The names of all meters whose beats are of the same kind: "1" is one figure in twos and another in threes."""
    return frozenset(name for name, one in (METERS | SINGLE_BEATS).items() if one.compound == meter.compound)


class BarError(ValueError):
    """Figures that do not make a bar of the meter."""


def meter_for(beats: int, compound: bool) -> Meter:
    """The meter with so many beats of that kind.  Raises ``BarError`` where there is none."""
    # A handful of meters: to look through them is simpler than a table the other way round.
    for meter in (*METERS.values(), *SINGLE_BEATS.values()):
        if (meter.beats, meter.compound) == (beats, compound):
            return meter
    raise BarError(f"no meter has {beats} beats: a bar has 2, 3 or 4, and a figure on its own 1")


@dataclass(frozen=True)
class Bar:
    """A bar: its meter and one figure for each beat."""

    meter: Meter
    figures: tuple[Figure, ...]

    def __post_init__(self) -> None:
        # A list would make the bar unhashable, and bars are the keys of caches; frozen, so set past the class.
        object.__setattr__(self, "figures", tuple(self.figures))
        if len(self.figures) != self.meter.beats:
            raise BarError(f"a bar of {self.meter} has {self.meter.beats} beats; found {len(self.figures)} figures")
        for place, figure in enumerate(self.figures):
            if figure.compound != self.meter.compound:
                raise BarError(
                    f"figure {place + 1}, {figure.count!r}, belongs to the other kind of beat; "
                    f"{self.meter} is felt in {self.meter.beat_name}s"
                )

    def __str__(self) -> str:
        return self.count

    @property
    def count(self) -> str:
        """The bar as it is counted, such as ``1 e a 2 & 3 e a 4 & a``."""
        return " ".join(figure.count_on(beat) for beat, figure in enumerate(self.figures, 1))

    def onsets(self) -> Iterator[tuple[int, Fraction]]:
        """Every stroke as (beat from 0, exact place in the beat), in time order."""
        for beat, figure in enumerate(self.figures):
            for onset in figure.onsets:
                yield beat, onset

    def with_figures(self, changes: dict[int, Figure]) -> "Bar":
        """The same bar with other figures on the given beats (from 0)."""
        return Bar(self.meter, tuple(changes.get(beat, figure) for beat, figure in enumerate(self.figures)))
