"""What response times tell: doubt is slow, by as much as this player shows.

Log seconds are a straight line of doubt with normal scatter.  Line and scatter follow the player, starting
from a weak guess; a player whose times tell nothing gets a flat line, and so do the times.
"""

from math import log, sqrt
from typing import NamedTuple

PRIOR_ANSWERS = 4.0
PRIOR_SLOPE, PRIOR_DOUBT, PRIOR_DOUBT_VARIANCE, PRIOR_VARIANCE = 0.3, 0.4, 0.05, 0.15
"""The guess that a new player starts from, and how many answers it is worth."""

KEPT = 0.995
"""The weight that is left of what was seen after one more answer."""

STEEPEST, LEAST_SPREAD = 1.0, 0.2
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
        self._count, self._doubt = PRIOR_ANSWERS, PRIOR_ANSWERS * PRIOR_DOUBT
        self._doubt_squared = PRIOR_ANSWERS * (PRIOR_DOUBT**2 + PRIOR_DOUBT_VARIANCE)
        self._residual = PRIOR_ANSWERS * PRIOR_VARIANCE
        self._log = self._log_doubt = 0.0
        self._started = False

    def read(self, seconds: float, shared_by: int) -> Pause:
        """What a time tells; ``shared_by`` the number of beats that it was shared out among."""
        base, slope = self._line()
        spread = max(LEAST_SPREAD, sqrt(self._residual / self._count)) * sqrt(shared_by)
        late = _log_seconds(seconds) - base if self._started else 0.0
        return Pause(min(FARTHEST * spread, max(-FARTHEST * spread, late)), slope if self._started else 0.0, spread)

    def follow(self, seconds: float, doubt: float) -> None:
        """Take in an answer given in so many seconds, to a figure of so much doubt."""
        value = _log_seconds(seconds)
        if not self._started:
            self._begin(value - PRIOR_SLOPE * doubt)
        base, slope = self._line()
        error = value - base - slope * doubt
        self._count = KEPT * self._count + 1
        self._doubt = KEPT * self._doubt + doubt
        self._doubt_squared = KEPT * self._doubt_squared + doubt * doubt
        self._log = KEPT * self._log + value
        self._log_doubt = KEPT * self._log_doubt + value * doubt
        self._residual = KEPT * self._residual + min(1.0, error * error)

    def _begin(self, base: float) -> None:
        self._log = PRIOR_ANSWERS * base + PRIOR_SLOPE * self._doubt
        self._log_doubt = base * self._doubt + PRIOR_SLOPE * self._doubt_squared
        self._started = True

    def _line(self) -> tuple[float, float]:
        """Log seconds of the surest answers, and how much more doubt adds."""
        scatter = self._count * self._doubt_squared - self._doubt**2
        slope = (self._count * self._log_doubt - self._doubt * self._log) / max(scatter, 1e-9)
        slope = min(STEEPEST, max(0.0, slope))
        return (self._log - slope * self._doubt) / self._count, slope


def _log_seconds(seconds: float) -> float:
    return log(min(SLOWEST, max(QUICKEST, seconds)))
