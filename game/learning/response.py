"""What a player's response times and changed picks are like: doubt is slow and changes its mind.

Log seconds are a straight line of doubt with normal scatter.  Line and scatter follow the player, starting
from a guess that fades; the line of a player whose times tell nothing becomes flat.
"""

from math import log, sqrt
from typing import NamedTuple

PRIOR_SLOPE, PRIOR_WEIGHT = 0.7, 4.0
"""What full doubt adds to log seconds before any answer, and the summed squares of doubt that this guess is worth."""

PRIOR_VARIANCE, PRIOR_ANSWERS = 0.13, 6.0
"""The scatter of log seconds around the line before any answer, and how many answers that is worth."""

KEPT = 0.995
"""The weight that is left of what was seen after one more answer."""

PRIOR_CHANGES = (0.2, 2.0)
"""Changed picks, and answers in full doubt, before any answer."""

STEEPEST, LEAST_SPREAD = 1.2, 0.2
FARTHEST = 2.5
"""The steepest line, the least scatter that is believed, and the farthest time, in spreads, that counts as such."""

QUICKEST, SLOWEST = 0.1, 60.0
"""Seconds beyond which a time is no thought but an accident or a break."""


class Pause(NamedTuple):
    """A response time for what it tells: log seconds above the player's surest, the line's slope, its scatter."""

    late: float
    slope: float
    spread: float


UNTIMED = Pause(0.0, 0.0, 1.0)
"""A response time that tells nothing."""


class ResponseTimes:
    """Follows how a player's log seconds grow with doubt (0 sure, 1 lost)."""

    def __init__(self) -> None:
        self._count = self._doubt = self._doubt_squared = self._log = self._log_doubt = 0.0
        self._prior = PRIOR_WEIGHT
        self._changes, self._doubts = PRIOR_CHANGES
        self._residuals, self._residual = PRIOR_ANSWERS, PRIOR_ANSWERS * PRIOR_VARIANCE

    @property
    def changing(self) -> float:
        """The chance that a pick is changed in full doubt."""
        return min(0.9, self._changes / self._doubts)

    def read(self, seconds: float | None, shared_by: int) -> Pause:
        """What a time tells; ``shared_by`` the number of beats that it was shared out among."""
        if not seconds or not self._count:
            return UNTIMED
        base, slope = self._line()
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
            error = value - base - slope * doubt
            self._residuals = KEPT * self._residuals + 1
            self._residual = KEPT * self._residual + min(1.0, error * error)
        self._prior *= KEPT
        self._count = KEPT * self._count + 1
        self._doubt = KEPT * self._doubt + doubt
        self._doubt_squared = KEPT * self._doubt_squared + doubt * doubt
        self._log = KEPT * self._log + value
        self._log_doubt = KEPT * self._log_doubt + value * doubt

    def _line(self) -> tuple[float, float]:
        """Log seconds of the surest answers, and how much more doubt adds."""
        spread = max(0.0, self._doubt_squared - self._doubt**2 / self._count)
        together = self._log_doubt - self._log * self._doubt / self._count
        slope = (together + self._prior * PRIOR_SLOPE) / max(spread + self._prior, 1e-9)
        slope = min(STEEPEST, max(0.0, slope))
        return (self._log - slope * self._doubt) / self._count, slope


def _log_seconds(seconds: float) -> float:
    return log(min(SLOWEST, max(QUICKEST, seconds)))
