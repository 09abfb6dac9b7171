"""A player's input, one stroke with its time: made at the edge from keys, and alike from pads and other sources."""

from dataclasses import dataclass

from shared.strokes import EVEN


@dataclass(frozen=True)
class Input:
    """One stroke as it came in.

    ``source`` is what it came from, such as ``key``; ``name`` which of its keys or pads; ``seconds`` when, on the
    clock of the sound that plays, from the start of that sound.  ``velocity`` runs from 0 to 1.
    """

    source: str
    name: str
    seconds: float
    velocity: float = EVEN
