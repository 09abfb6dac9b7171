"""The strokes that a player plays, whether on keys, on pads, into a microphone or from a file."""

from dataclasses import dataclass
from math import isfinite

EARLY = 0.15
"""A stroke up to this share of a beat before a bar belongs to that bar."""

LONGEST_TAKE = 600.0
"""How long a take may last, in seconds."""

EVEN = 0.7
"""The velocity of a stroke whose source tells none, such as a computer key: neither an accent nor a ghost note."""


@dataclass(frozen=True)
class TakeStroke:
    """One stroke that was played.

    ``seconds`` is its time on the clock of the sound it was played to, from the start of that sound; it may be
    negative.  ``hand`` is ``R``, ``L`` or None where the source cannot tell; ``drum`` an instrument's name of
    ``shared.instruments``, or None.  ``velocity`` runs from 0 to 1.  Raises ``ValueError`` for anything else.
    """

    seconds: float
    hand: str | None = None
    drum: str | None = None
    velocity: float = EVEN

    def __post_init__(self) -> None:
        # Zero is no bound: who plays ahead of the beat may have struck the first 1 before the sound began.
        if not isfinite(self.seconds):
            raise ValueError(f"a stroke at {self.seconds} s: give a number of seconds")
        if self.hand not in ("R", "L", None):
            raise ValueError(f"a stroke's hand {self.hand!r}: give R, L or None")
        if not 0 <= self.velocity <= 1:
            raise ValueError(f"a stroke's velocity {self.velocity}: choose from 0 to 1")


Take = tuple[TakeStroke, ...]
"""The strokes of one take, in the order of time."""
