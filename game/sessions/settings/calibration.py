"""Calibration of the sound's delay: a player taps to a click, and each tap is compared with its click.

The measured delay includes the player's own habit of tapping early or late.  That is wanted: with it, a moving mark
is drawn where this player hears the sound.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, stdev

CLICKS = 16
"""How many clicks there are to tap to."""

# The first taps of a row are not in step yet: it takes some clicks to take a tempo up (common practice, no source).
DROPPED = 4
"""How many clicks at the start only give the tempo."""

NEEDED = 8
"""How many of the other clicks must have a tap."""

WIDEST = 0.025
"""The standard deviation of the taps, in seconds, over which they are not trusted."""


@dataclass(frozen=True)
class Measured:
    """The outcome: the ``taps`` that counted, their median ``delay`` after the clicks and their ``spread``, in seconds.

    The spread is a standard deviation; both are 0 where too few taps counted.
    """

    taps: int
    delay: float = 0.0
    spread: float = 0.0

    @property
    def enough(self) -> bool:
        """Whether there are taps enough to tell anything."""
        return self.taps >= NEEDED

    @property
    def steady(self) -> bool:
        """Whether the taps can be trusted."""
        return self.enough and self.spread <= WIDEST

    @property
    def milliseconds(self) -> int:
        """The delay in whole milliseconds."""
        return round(1000 * self.delay)


def measured(clicks: Sequence[float], taps: Sequence[float]) -> Measured:
    """Hold taps against clicks, both in seconds on one clock: each click from the fifth on has its nearest tap.

    A tap belongs to the click that is nearest to it, so a delay can be told up to half the time between clicks.
    """
    nearest = [min(range(len(clicks)), key=lambda k: abs(clicks[k] - tap)) for tap in taps]
    offsets = []
    for k in range(DROPPED, len(clicks)):
        # A double tap leaves the better one: the other is a bounce of the key.
        own = [tap - clicks[k] for tap, click in zip(taps, nearest, strict=True) if click == k]
        if own:
            offsets.append(min(own, key=abs))
    if len(offsets) < NEEDED:
        return Measured(len(offsets))
    # The median: one tap that went astray must not move the delay.
    return Measured(len(offsets), median(offsets), stdev(offsets))
