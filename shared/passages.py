"""A passage: the strokes of one or more bars with their exact times, ready to be mixed or written."""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from shared.bars import Meter
from shared.errors import UserError
from shared.instruments import INSTRUMENTS

SLOWEST, FASTEST = 20, 400
"""The tempi, in beats a minute, that a passage may have."""

ACCENT_FROM = 0.9
"""The velocity from which a stroke counts as accented."""


class TempoError(UserError, ValueError):
    """A tempo out of range."""


@dataclass(frozen=True)
class Stroke:
    """One stroke on one instrument.

    ``bar`` counts from 0 with the count-in, ``beat`` from 1; ``at`` is the exact place in the beat
    (0 <= at < 1).  ``velocity`` runs from 0 to 1.  ``hand`` is ``R``, ``L`` or None for a foot or a
    machine.  ``figure`` is true where the stroke belongs to a figure.  ``moved`` is how many seconds
    a feel moves the stroke from its exact place.
    """

    bar: int
    beat: int
    at: Fraction
    instrument: str
    velocity: float
    hand: str | None = None
    figure: bool = False
    moved: float = field(default=0.0)

    @property
    def accent(self) -> bool:
        """Whether the stroke is an accent."""
        return self.velocity >= ACCENT_FROM


@dataclass(frozen=True)
class Passage:
    """Strokes in time order over ``bars`` bars of one meter at one tempo (beats a minute).

    ``figure_bar`` is the bar, from 0, that holds the figures.  ``gain`` in decibels is the fixed gain
    of its orchestration, to be applied by whoever mixes it.
    """

    meter: Meter
    tempo: float
    bars: int
    figure_bar: int
    strokes: tuple[Stroke, ...]
    gain: float = 0.0

    def __post_init__(self) -> None:
        check_tempo(self.tempo)
        # Strokes of one moment stand in the order of the table, so that equal passages compare equal however made.
        ordered = sorted(self.strokes, key=lambda s: (s.bar, s.beat, s.at, list(INSTRUMENTS).index(s.instrument)))
        object.__setattr__(self, "strokes", tuple(ordered))

    @property
    def beat_seconds(self) -> float:
        """How long a beat lasts."""
        return 60.0 / self.tempo

    @property
    def seconds(self) -> float:
        """How long the bars last, without the decay of their last strokes."""
        return self.bars * self.meter.beats * self.beat_seconds

    # Places stay fractions of a beat as long as they can: a third of a beat has no exact float.

    def position(self, stroke: Stroke) -> Fraction:
        """The exact time of a stroke in beats from the start of the passage, feel left out."""
        return stroke.bar * self.meter.beats + stroke.beat - 1 + stroke.at

    def time_of(self, stroke: Stroke) -> float:
        """The time of a stroke in seconds from the start of the passage; never before it."""
        # Exact up to the last step, so that rounding does not add up; feel may pull the first stroke before the start.
        return max(0.0, float(self.position(stroke) * 60 / Fraction(self.tempo)) + stroke.moved)

    @cached_property
    def timed(self) -> tuple[tuple[float, Stroke], ...]:
        """Every stroke with its time in seconds, in the order they sound."""
        return tuple(sorted(((self.time_of(s), s) for s in self.strokes), key=lambda pair: pair[0]))

    def time_of_beat(self, bar: int, beat: int) -> float:
        """The time, in seconds, at which a beat (from 1) of a bar (from 0) begins."""
        return (bar * self.meter.beats + beat - 1) * self.beat_seconds


def check_tempo(tempo: float) -> None:
    """Raise ``TempoError`` for a tempo outside 20 to 400 beats a minute."""
    if not SLOWEST <= tempo <= FASTEST:
        raise TempoError(f"tempo {tempo:g}: choose from {SLOWEST} to {FASTEST} beats a minute")
