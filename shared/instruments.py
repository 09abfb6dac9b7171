"""The instruments of the drum kit, one row each, with their MIDI keys and places on the staff.

General MIDI keys: MIDI Manufacturers Association, General MIDI 1 percussion map (channel 10); it has
no sticks and no click, so claves and a high wood block stand for them.
Staff positions: N. Weinberg, Guide to Standardized Drumset Notation, Percussive Arts Society, 1998.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Instrument:
    """One instrument of the kit.

    ``midi_key`` is the General MIDI percussion key.  ``line`` is the place on a five-line staff in
    half staff spaces above the bottom line (0 the bottom line, 5 the third space).  ``foot`` tells
    the voice with stems down; ``cross`` a cross-shaped note head.
    """

    name: str
    title: str
    midi_key: int
    line: int
    foot: bool = False
    cross: bool = False
    open: bool = False
    ghost: bool = False


INSTRUMENTS = {
    row.name: row
    for row in (
        Instrument("kick", "bass drum", 36, 1, foot=True),
        Instrument("snare", "snare drum", 38, 5),
        # A row of its own, since it is voiced and drawn otherwise than a soft stroke; General MIDI has no key for it.
        Instrument("ghost", "snare drum, ghost note", 38, 5, ghost=True),
        Instrument("cross-stick", "cross-stick on the snare drum", 37, 5, cross=True),
        Instrument("closed-hat", "hi-hat, closed", 42, 9, cross=True),
        Instrument("open-hat", "hi-hat, open", 46, 9, cross=True, open=True),
        Instrument("foot-hat", "hi-hat with the foot", 44, -1, foot=True, cross=True),
        Instrument("ride", "ride cymbal", 51, 8, cross=True),
        Instrument("crash", "crash cymbal", 49, 10, cross=True),
        # General MIDI has six toms, in this order from high to low: 50, 48, 47, 45, 43, 41.  Every second one keeps
        # ours apart.
        Instrument("high-tom", "high tom", 50, 7),
        Instrument("mid-tom", "mid tom", 47, 6),
        Instrument("floor-tom", "floor tom", 43, 3),
        Instrument("sticks", "sticks, for the count-in", 75, 12, cross=True),
        Instrument("click", "metronome click", 76, 12, cross=True),
    )
}
"""Every instrument, by name."""

CLICKS = frozenset({"sticks", "click"})
"""The instruments that count in or keep the beat for the player: exact in time, with an accent of their own sound."""
