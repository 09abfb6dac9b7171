"""Feel: moves strokes off the grid a little, and varies their velocity, as a drummer's limbs do."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from math import exp, sqrt
from random import Random

from shared.instruments import CLICKS
from shared.passages import ACCENT_FROM, Stroke
from shared.sticking import OTHER

# Twice 5 ms or 0.8 % of a beat: with a jitter of that standard deviation an ideal listener, in our own simulation, told
# every one of 21 figures up to 120 beats a minute.
MOST_SECONDS, MOST_BEATS = 0.010, 0.016
"""How far the loosest feel moves a stroke, in seconds and in beats, the smaller of both.

Less than half of 1/24 beat, the least that tells two figures apart, so that no figure turns into another.
"""

LIMB, DRIFT, OWN = 0.5, 0.35, 0.15
"""The shares of that movement that come from the limb, from a drift common to all limbs and from each stroke alone."""

MEMORY_BEATS = 2.0
"""After so many beats 37 % of the drift is left: slow, correlated drift is what listeners like best.

H. Hennig and others, The nature and perception of fluctuations in human musical rhythms, PLoS ONE 6, e26457, 2011.
"""

CYMBALS = frozenset({"closed-hat", "open-hat", "foot-hat", "ride", "crash"})
"""The instruments that sound behind bass drum and snare: by some 10 ms at 120 beats a minute and under, in skilled
hands.

S. Fujii and others, Synchronization error of drum kit playing with a metronome, Music Perception 28, 2011 (abstract).
"""

SPREAD, WEAKER = 0.03, 0.07
"""The standard deviation of velocities, and how much weaker the hand that does not lead plays, at the loosest feel."""


def limit(tempo: float, feel: float) -> float:
    """The most, in seconds, that a feel (0 to 1) moves a stroke at a tempo in beats a minute."""
    return feel * min(MOST_SECONDS, MOST_BEATS * 60.0 / tempo)


def felt(
    strokes: Iterable[Stroke], beats: int, tempo: float, feel: float, lead: str, random: Random
) -> Iterator[Stroke]:
    """The strokes of bars of so many beats, moved and weighted as a drummer's limbs do it, earliest first.

    Without feel they stay as they are; sticks and click always do: they are the clock.
    """
    most, drift, last = limit(tempo, feel), 0.0, Fraction(0)
    # In the order of time, since the drift goes on from stroke to stroke.
    for stroke in sorted(strokes, key=lambda one: (one.bar, one.beat, one.at)):
        if not feel or stroke.instrument in CLICKS:
            yield stroke
            continue
        place = beats * stroke.bar + stroke.beat + stroke.at
        kept = exp(-float(place - last) / MEMORY_BEATS)
        # An autoregressive process of first order: this weight keeps the variance the same however far apart strokes
        # are.  A standard deviation of half the range lets ``_within`` cut only one draw in twenty.
        drift, last = kept * drift + sqrt(1 - kept * kept) * random.gauss(0, 0.5), place
        own = random.gauss(0, 0.5)
        # Only how far limbs lie apart is heard: so drums go ahead as far as cymbals fall behind, and the tempo stays.
        side = 1 if stroke.instrument in CYMBALS else -1
        moved = most * (LIMB * side + DRIFT * _within(drift) + OWN * _within(own))
        yield replace(stroke, moved=stroke.moved + moved, velocity=_breathed(stroke, feel, lead, random))


def _breathed(stroke: Stroke, feel: float, lead: str, random: Random) -> float:
    """The velocity as it comes out; an accent stays one, and what is none becomes none."""
    change = feel * SPREAD * 2 * _within(random.gauss(0, 0.5))
    if stroke.hand == OTHER[lead] and stroke.instrument != "ghost":
        change -= feel * WEAKER
    # Kept on its side of the border: a figure in accents is heard by them, and must not change by the feel.
    if stroke.accent:
        return max(ACCENT_FROM, min(1.0, stroke.velocity + change))
    # Never down to silence: a groove's ghost notes are at 0.1, from which the spread may take 0.06.
    return max(0.05, min(ACCENT_FROM - 0.01, stroke.velocity + change))


def _within(value: float) -> float:
    return min(1.0, max(-1.0, value))
