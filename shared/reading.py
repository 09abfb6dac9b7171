"""The result of reading a take: for each beat the figure played, its probability, and how early or late strokes came.

These are the values; ``audio.reading`` works them out.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import hypot

from shared.figures import Figure
from shared.strokes import TakeStroke

NOTHING, SLOWER, UNCLEAR = "nothing came in", "play it slower", "no figures can be made out"
"""Why a take is not judged, or not well: no stroke; strokes too uneven to tell figures apart; a sound that is none."""

WANDER = 0.006
"""How far the offset of one player on one device goes from take to take, in seconds (standard deviation)."""

CHANGE = 0.15
"""How far a player's spread goes from take to take (standard deviation of its natural logarithm)."""


@dataclass(frozen=True)
class Habits:
    """A player's habits on a device, as earlier takes or a calibration tell them.

    ``offset`` is how late all strokes of a take come, in seconds: delay of the sound and habit together; ``sd`` how
    far it may lie from there.  ``spread`` is the standard deviation of strokes about their places, in seconds, and
    ``spread_sd`` the standard deviation of its natural logarithm.  Without anything known, the offset may be as
    far off as sound devices are, and the spread what players between the steady and the uneven have.
    """

    offset: float = 0.0
    sd: float = 0.04
    spread: float = 0.03
    spread_sd: float = 0.45

    def after(self, reading: "Reading") -> "Habits":
        """The habits by what is known after one more take, whose reading must have been made with this device."""
        if not reading.strokes:
            return self
        return replace(
            self,
            offset=reading.offset,
            # Independent errors add by their squares: what this take left open, and what may change before the next.
            sd=hypot(reading.offset_sd, WANDER),
            spread=reading.spread,
            # One take more never makes the spread less certain, even a take that tells little.
            spread_sd=min(self.spread_sd, hypot(reading.spread_sd, CHANGE)),
        )


@dataclass(frozen=True)
class Placed:
    """A stroke and where it belongs.

    ``at`` is its place in the beat and ``late`` how many seconds after that place it came, the take's offset taken
    off; both are None for a stroke that belongs to no place, or in a beat that is not sure.
    """

    stroke: TakeStroke
    at: Fraction | None = None
    late: float | None = None

    @property
    def extra(self) -> bool:
        """Whether the stroke has no place."""
        return self.at is None


@dataclass(frozen=True)
class ReadBeat:
    """One beat of a take.

    ``figure`` is what was played, None where that is not sure.  ``likeliest`` is the most probable figure and
    ``rival`` the next, None where there is no other; ``certainty`` and ``rival_certainty`` are their probabilities.
    ``missed`` are the places of ``figure`` without a stroke.
    """

    figure: Figure | None
    likeliest: Figure
    certainty: float
    rival: Figure | None
    rival_certainty: float
    strokes: tuple[Placed, ...]
    missed: tuple[Fraction, ...] = ()

    @property
    def extra(self) -> int:
        """How many strokes have no place; in a beat that is not sure, all of them."""
        return sum(placed.extra for placed in self.strokes)

    @property
    def unfitting(self) -> int:
        """How many strokes are more or fewer than the figure has."""
        return self.extra + len(self.missed)

    @property
    def clear(self) -> bool:
        """Whether the figure is sure, and has just these strokes."""
        return self.figure is not None and not self.unfitting


@dataclass(frozen=True)
class Reading:
    """A whole take.

    ``tempo`` is in beats a minute, at the end of the take where it was followed.  ``offset`` and ``spread`` are as
    in ``Habits``, with the standard deviation of the offset and that of the spread's natural logarithm.  ``evidence``
    is how much better figures explain the strokes than strokes at any time would: the natural logarithm of the ratio
    of probabilities.  ``verdict`` is empty, ``NOTHING``, ``SLOWER`` or ``UNCLEAR``.
    """

    beats: tuple[ReadBeat, ...]
    tempo: float
    offset: float
    offset_sd: float
    spread: float
    spread_sd: float
    evidence: float
    verdict: str = ""

    @property
    def strokes(self) -> tuple[Placed, ...]:
        """Every stroke of the beats, in order."""
        return tuple(placed for beat in self.beats for placed in beat.strokes)

    @property
    def hardly_read(self) -> bool:
        """Whether there are strokes, and more than half of the beats are not sure."""
        return self.verdict != NOTHING and 2 * sum(beat.figure is None for beat in self.beats) > len(self.beats)

    @property
    def figures(self) -> tuple[Figure | None, ...]:
        """The figures that were played, beat by beat; None where that is not sure."""
        return tuple(beat.figure for beat in self.beats)

    def bars(self, beats: int) -> Iterator[tuple[ReadBeat, ...]]:
        """The beats, so many to a bar."""
        for first in range(0, len(self.beats), beats):
            yield self.beats[first : first + beats]
