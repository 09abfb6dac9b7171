"""Learns how much longer this player takes when in doubt, and how often a pick is then changed before it is handed in.

The model is a linear regression: log seconds = base + slope x doubt + normal noise, where doubt is the coach's own
1 - P(right).  It is fitted with exponential forgetting, so that it follows the player, and starts from a prior that
fades.  For a player whose times go with nothing the slope becomes 0, and times then tell the coach nothing.  That
response times are best taken in logarithms: R. D. Luce, "Response Times", 1986.
"""

from math import log, sqrt
from typing import NamedTuple

PRIOR_SLOPE, PRIOR_WEIGHT = 0.7, 4.0
"""The prior of the slope: log seconds that full doubt adds, and its weight as a sum of squares of doubt."""

PRIOR_VARIANCE, PRIOR_ANSWERS = 0.13, 6.0
"""The prior of the noise: the variance of log seconds around the line, and how many answers that is worth."""

KEPT = 0.995
"""The factor by which one more answer fades the older ones: after 140 answers half is left."""

PRIOR_CHANGES = (0.2, 2.0)
"""The prior of changed picks: so many changes in so many answers of full doubt."""

STEEPEST, LEAST_SPREAD = 1.2, 0.2
"""The steepest slope and the smallest standard deviation that are believed, so that a few answers that happen to lie
on a line don't make times look more telling than they are."""

FARTHEST = 2.5
"""How many standard deviations off the line a time may be; one farther off counts as if it was just there, for an
interruption should not outweigh the answer itself."""

QUICKEST, SLOWEST = 0.1, 60.0
"""Seconds that a time is clipped to: quicker is a slip of the finger, slower is a break."""


class Pause(NamedTuple):
    """A response time as evidence: log seconds above the player's surest answers, the slope, the noise (SD)."""

    late: float
    slope: float
    spread: float


UNTIMED = Pause(0.0, 0.0, 1.0)
"""A response time that tells nothing."""


class ResponseTimes:
    """Follows how a player's log seconds grow with doubt (0 sure, 1 lost)."""

    def __init__(self) -> None:
        # The fading sums that a least-squares line is worked out from; the answers themselves are not kept.
        self._count = self._doubt = self._doubt_squared = self._log = self._log_doubt = 0.0
        self._prior = PRIOR_WEIGHT
        self._changes, self._doubts = PRIOR_CHANGES
        self._residuals, self._residual = PRIOR_ANSWERS, PRIOR_ANSWERS * PRIOR_VARIANCE

    @property
    def changing(self) -> float:
        """The chance that a pick is changed in full doubt."""
        return min(0.9, self._changes / self._doubts)

    def read(self, seconds: float | None, shared_by: int) -> Pause:
        """Read a time as evidence; ``shared_by`` is the number of beats that one time was divided among."""
        # A first time has nothing to be compared with.
        if not seconds or not self._count:
            return UNTIMED
        base, slope = self._line()
        # The noise of one answer plus the uncertainty of the line itself, as in any regression forecast.
        scatter = self._residual / self._residuals + PRIOR_VARIANCE / self._count
        spread = max(LEAST_SPREAD, sqrt(scatter)) * sqrt(shared_by)
        late = _log_seconds(seconds) - base
        return Pause(min(FARTHEST * spread, max(-FARTHEST * spread, late)), slope, spread)

    def follow(self, seconds: float | None, changed: bool, doubt: float) -> None:
        """Take in an answer given in so many seconds, with or without a change, to a figure of so much doubt."""
        self._changes, self._doubts = KEPT * self._changes + changed, KEPT * self._doubts + doubt
        if not seconds:
            return
        value = _log_seconds(seconds)
        if self._count:
            base, slope = self._line()
            # Before the answer goes into the line: an error measured afterwards would look too small.
            error = value - base - slope * doubt
            self._residuals = KEPT * self._residuals + 1
            # Capped: one interruption must not make every later time look like noise.
            self._residual = KEPT * self._residual + min(1.0, error * error)
        self._prior *= KEPT
        self._count = KEPT * self._count + 1
        self._doubt = KEPT * self._doubt + doubt
        self._doubt_squared = KEPT * self._doubt_squared + doubt * doubt
        self._log = KEPT * self._log + value
        self._log_doubt = KEPT * self._log_doubt + value * doubt

    def _line(self) -> tuple[float, float]:
        """The fitted line: log seconds at no doubt, and the slope, each by least squares with the prior."""
        spread = max(0.0, self._doubt_squared - self._doubt**2 / self._count)
        together = self._log_doubt - self._log * self._doubt / self._count
        slope = (together + self._prior * PRIOR_SLOPE) / max(spread + self._prior, 1e-9)
        slope = min(STEEPEST, max(0.0, slope))
        return (self._log - slope * self._doubt) / self._count, slope


def _log_seconds(seconds: float) -> float:
    return log(min(SLOWEST, max(QUICKEST, seconds)))
