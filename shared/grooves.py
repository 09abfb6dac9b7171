"""The drum grooves that come before the figures and under them: one table, a row a style, for every meter."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from shared.bars import Meter
from shared.passages import Stroke
from shared.sticking import OTHER

# An open hi-hat rings on into the beat: it is struck no harder than the quavers between the beats.
BACKBEAT, ON_THE_BEAT, OFF_THE_BEAT, OPENED = 0.75, 0.6, 0.51, 0.5
"""Velocities of bass drum and backbeat, of the cymbal on the beats and between them, and of the open hi-hat."""

UNASKED_GHOST = 0.1
"""The velocity of a ghost note in a groove: some 16 dB under the backbeat, as sampled drummers play them."""

Places = tuple[Fraction, ...]


def _places(*numerators: int, of: int) -> Places:
    return tuple(Fraction(numerator, of) for numerator in numerators)


@dataclass(frozen=True)
class Groove:
    """A plain style (common practice, no source).  Of each pair of places the second is for compound beats.

    ``pulse`` is where in each beat the ``cymbal`` is struck and ``kicks`` where the bass drum is on the beats that
    it marks; ``back`` plays the backbeat; ``ghosts`` are soft notes on the snare between; ``foot`` is a hi-hat
    closed with the foot on the backbeats; ``opens`` opens the hi-hat on the last place before the bar line.
    """

    name: str
    about: str
    cymbal: str = "closed-hat"
    pulse: tuple[Places, Places] = (_places(0, 1, of=2), _places(0, 1, 2, of=3))
    kicks: tuple[Places, Places] = (_places(0, of=1), _places(0, of=1))
    back: str = "snare"
    ghosts: tuple[Places, Places] = ((), ())
    foot: bool = False
    opens: bool = False

    def cymbals(self, meter: Meter, lead: str, beats: range) -> Iterator[Stroke]:
        """The strokes on the cymbal in these beats, and those of the foot."""
        for beat in beats:
            for at in self.pulse[meter.compound]:
                last = self.opens and (beat, at) == (meter.beats, self.pulse[meter.compound][-1])
                velocity = OPENED if last else OFF_THE_BEAT if at else ON_THE_BEAT
                yield Stroke(0, beat, at, "open-hat" if last else self.cymbal, velocity, lead)
            if self.foot and backbeat(meter, beat):
                yield Stroke(0, beat, Fraction(0), "foot-hat", ON_THE_BEAT)

    def drums(self, meter: Meter, lead: str, beats: range, velocity: float = BACKBEAT) -> Iterator[Stroke]:
        """The strokes on bass drum and snare in these beats."""
        for beat in beats:
            if backbeat(meter, beat):
                yield Stroke(0, beat, Fraction(0), self.back, velocity, OTHER[lead])
            # With three beats the bass drum has the 1 alone, as the backbeat has the 3 alone (common practice, no
            # source).
            elif beat == 1 or meter.beats != 3:
                for at in self.kicks[meter.compound]:
                    yield Stroke(0, beat, at, "kick", velocity)
            # Ghost notes lead to a backbeat: the beat that has one gets none.
            if not backbeat(meter, beat):
                for at in self.ghosts[meter.compound]:
                    yield Stroke(0, beat, at, "ghost", UNASKED_GHOST, OTHER[lead])

    def strokes(self, meter: Meter, lead: str, beats: range | None = None) -> Iterator[Stroke]:
        """The strokes of a bar, or of these beats of it, all with bar 0."""
        beats = beats if beats is not None else range(1, meter.beats + 1)
        yield from self.cymbals(meter, lead, beats)
        yield from self.drums(meter, lead, beats)


def backbeat(meter: Meter, beat: int) -> bool:
    """Whether the snare marks the beat (from 1): 2 and 4; with three beats, 3 alone."""
    return beat == 3 if meter.beats == 3 else beat % 2 == 0


GROOVES = {
    row.name: row
    for row in (
        Groove("straight", "hi-hat quavers, bass drum and backbeat"),
        Groove("opened", "the same, the hi-hat opened before the bar line", opens=True),
        Groove("verse", "the backbeat as a cross-stick", back="cross-stick"),
        Groove("ride", "quavers on the ride cymbal, the hi-hat with the foot on the backbeats", "ride", foot=True),
        Groove(
            "driving",
            "the bass drum between the beats too, the hi-hat opened before the bar line",
            kicks=(_places(0, 1, of=2), _places(0, 2, of=3)),
            opens=True,
        ),
        Groove("ghosted", "ghost notes before the backbeats", ghosts=(_places(1, 3, of=4), _places(1, 2, of=3))),
        Groove("broad", "the hi-hat on the beats alone", pulse=(_places(0, of=1), _places(0, of=1))),
    )
}
"""Every groove, by name."""
