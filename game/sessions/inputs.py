"""A player's input: what is played on, and each stroke with its time; made at the edge, alike from every source."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from shared.instruments import INSTRUMENTS
from shared.strokes import EVEN, TakeStroke

KEYS, PADS, MICROPHONE = SOURCES = ("keys", "pads", "microphone")
"""The sources of strokes: two computer keys; MIDI pads; a drum or practice pad heard by the microphone."""

DRUMS = {str(row.midi_key): row.name for row in reversed(INSTRUMENTS.values())}
"""The drum of each note of MIDI pads; of drums that share one, the first of the table has the last word."""


@dataclass(frozen=True)
class Input:
    """One stroke as it came in.

    ``source`` is one of ``SOURCES``; ``name`` which of its keys or notes; ``seconds`` when, on the clock of the sound
    that plays, from the start of that sound.  ``velocity`` runs from 0 to 1.
    """

    source: str
    name: str
    seconds: float
    velocity: float = EVEN


@dataclass(frozen=True)
class InputDevice:
    """A thing to play on: the ``source``, the ``name`` of the device, and the hand of each key or note."""

    source: str = KEYS
    name: str = ""
    # F and J: one under each index finger, marked to be found unseen, and so far apart that ordinary keyboards always
    # report both at once (from memory).
    hands: Mapping[str, str] = field(default_factory=lambda: {"f": "L", "j": "R"})

    def plays(self, one: Input) -> bool:
        """Whether an input is a stroke on this: of the keyboard only the two keys are."""
        return one.source == self.source and (self.source != KEYS or one.name in self.hands)

    def stroke(self, one: Input, begins: float) -> TakeStroke:
        """An input as a stroke of a take, in which the bar begins at 0."""
        # A key or a microphone has no drum to tell: that stays open, rather than a snare that was never struck.
        drum = DRUMS.get(one.name) if one.source == PADS else None
        return TakeStroke(one.seconds - begins, self.hands.get(one.name), drum, one.velocity)
