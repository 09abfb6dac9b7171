"""How much an answer tells: a bar answered at random tells nothing, a slow right answer little."""

from math import exp, log, prod
from typing import NamedTuple

SKIPPED, ELSEWHERE = -1, -2
"""Said nothing; said a figure that the level does not hold."""

RANDOM_BARS = 0.03
"""How often a bar is answered at random, before it is seen."""

SKIP_WEIGHT = 0.7
SLOW_WEIGHT = 0.6
"""What a skipped beat tells of not knowing, and the least that a slow right answer tells of knowing."""

SLOW_FROM, SLOW_TO = 1.5, 3.0
"""Times the player's usual time at which a right answer begins to tell less, and tells least."""

FOLLOWED = 0.05
"""How quickly the usual accuracy and time follow the player, for each new bar."""


class Beat(NamedTuple):
    """One asked beat in the level's terms: figures by their places in it, a class by shares."""

    at: float
    heard: int
    said: tuple[tuple[int, float], ...]
    seconds: float | None

    @property
    def right(self) -> float:
        """The share that named the figure."""
        return sum(share for said, share in self.said if said == self.heard)


class Trust:
    """Follows what is usual for the player, and weighs each bar against it."""

    def __init__(self, figures: int) -> None:
        self._guess = 1 / figures
        self._accuracy = 0.6
        self._log_seconds: float | None = None

    def weigh(self, bar: list[Beat]) -> list[float]:
        """The weight of each beat's answer, 0 to 1."""
        earnest = 1 - self._random(bar)
        weights = [earnest * self._beat_weight(beat) for beat in bar]
        self._follow(bar, earnest)
        return weights

    def _random(self, bar: list[Beat]) -> float:
        """The probability that the bar was answered at random."""
        answered = [beat for beat in bar if beat.said[0][0] != SKIPPED]
        wild = prod(self._guess if beat.right > 0.5 else 1 - self._guess for beat in answered)
        usual = prod(self._accuracy if beat.right > 0.5 else 1 - self._accuracy for beat in answered)
        return RANDOM_BARS * wild / (RANDOM_BARS * wild + (1 - RANDOM_BARS) * usual)

    def _beat_weight(self, beat: Beat) -> float:
        if beat.said[0][0] == SKIPPED:
            return SKIP_WEIGHT
        if beat.right <= 0.5 or not beat.seconds or self._log_seconds is None:
            return 1.0
        slowness = beat.seconds / exp(self._log_seconds)
        late = min(1.0, max(0.0, (slowness - SLOW_FROM) / (SLOW_TO - SLOW_FROM)))
        return 1 - (1 - SLOW_WEIGHT) * late

    def _follow(self, bar: list[Beat], earnest: float) -> None:
        share = sum(beat.right for beat in bar) / len(bar)
        step = FOLLOWED * earnest
        self._accuracy = min(0.98, max(0.1, self._accuracy + step * (share - self._accuracy)))
        for seconds in (beat.seconds for beat in bar if beat.seconds):
            usual = log(seconds) if self._log_seconds is None else self._log_seconds
            self._log_seconds = usual + step * (log(seconds) - usual)
