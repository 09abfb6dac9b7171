"""How much an answer tells: a bar answered at random tells nothing, doubt shows in the time it takes."""

from math import prod
from typing import NamedTuple

from game.learning.response import UNTIMED, Pause, ResponseTimes

SKIPPED, ELSEWHERE = -1, -2
"""Said nothing; said a figure that the level does not hold."""

RANDOM_BARS = 0.03
"""How often a bar is answered at random, before it is seen."""

SKIP_WEIGHT = 0.7
"""What a skipped beat tells of not knowing: less than a mistake, which may only be a slip the other way."""

FOLLOWED = 0.025
"""How quickly the usual accuracy follows each new answer."""


class Beat(NamedTuple):
    """One asked beat in the level's terms: figures by their places in it, a class by shares.

    ``exam``: it was asked in an exam, which is sat in earnest however it goes.  ``choices`` figures were on offer
    (0: all of the level's); ``attempt`` is 2 for a second try.  ``wrong`` is how likely a wrong guess was among
    the choices, against one among all of the level's figures.
    """

    at: float
    heard: int
    said: tuple[tuple[int, float], ...]
    seconds: float | None
    exam: bool = False
    choices: int = 0
    attempt: int = 1
    wrong: float = 1.0

    @property
    def right(self) -> float:
        """The share that named the figure."""
        return sum(share for said, share in self.said if said == self.heard)


class Weight(NamedTuple):
    """What a beat's answer tells: how far it counts, 0 to 1, and what its time says."""

    counts: float
    pause: Pause


class Trust:
    """Follows what is usual for the player, and weighs each bar against it."""

    def __init__(self, figures: int) -> None:
        self._figures = figures
        self._accuracy = 0.6
        self._times = ResponseTimes()

    def weigh(self, bar: list[Beat], doubts: list[float]) -> list[Weight]:
        """The weight of each beat's answer; ``doubts`` is P(wrong) of each as it was answered."""
        earnest = 1.0 if bar[0].exam else 1 - self._random(bar)
        shared = len(bar) if len({beat.seconds for beat in bar}) == 1 else 1
        weights = [Weight(earnest * _skip_weight(beat), self._pause(beat, shared)) for beat in bar]
        for beat, doubt in zip(bar, doubts, strict=True):
            self._follow(beat, doubt, earnest)
        return weights

    def _random(self, bar: list[Beat]) -> float:
        """The probability that the bar was answered at random."""
        answered = [beat.right > 0.5 for beat in bar if beat.said[0][0] != SKIPPED]
        guess = 1 / (bar[0].choices or self._figures)
        wild = prod(guess if right else 1 - guess for right in answered)
        usual = prod(self._accuracy if right else 1 - self._accuracy for right in answered)
        return RANDOM_BARS * wild / (RANDOM_BARS * wild + (1 - RANDOM_BARS) * usual)

    def _pause(self, beat: Beat, shared: int) -> Pause:
        return self._times.read(beat.seconds, shared) if beat.seconds else UNTIMED

    def _follow(self, beat: Beat, doubt: float, earnest: float) -> None:
        if beat.seconds:
            self._times.follow(beat.seconds, doubt)
        accuracy = self._accuracy + FOLLOWED * earnest * (beat.right - self._accuracy)
        self._accuracy = min(0.98, max(0.1, accuracy))


def _skip_weight(beat: Beat) -> float:
    return SKIP_WEIGHT if beat.said[0][0] == SKIPPED else 1.0
