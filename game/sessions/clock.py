"""A clock that never runs back."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf


@dataclass
class SteadyClock:
    """Seconds since the epoch.  Where the machine's clock is set back, this one goes on from the ``latest`` time."""

    machine: Callable[[], float]
    latest: float = -inf
    _ahead: float = 0.0

    def __call__(self) -> float:
        told = self.machine()
        # Once ahead of the machine, always by as much: catching up would make the intervals between answers wrong.
        self._ahead = max(self._ahead, self.latest - told)
        self.latest = told + self._ahead
        return self.latest
