"""Slows bars that hold two figures which stay mixed up, whatever the staircase says, and then quickens them in steps.

A click on each beat goes along while it is slower than the level's own tempos.

Hearing a difference exaggerated first and then as it is teaches it (D. G. Jamieson & D. E. Morosan 1986; H. Pashler &
M. C. Mozer 2013).  At the slowest the strokes in which the two differ are accented, too; no stroke is ever moved.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations
from math import inf

from game.learning.recent import RecentAnswers
from shared.levels import Level
from shared.orchestration import Setting

STAYS = 4
"""From so many mix-ups among the last ten answers to it, a pair counts as staying mixed up."""

SLOW, SLOWEST = 0.7, 30.0
"""The tempo that such a pair is heard at, as a share of the level's slowest, and the least in beats a minute."""

CLIMB = 6.0
"""Beats a minute by which it may be quicker in the next bar on the way back."""

Pair = tuple[int, int]


class SlowedPairs:
    """The tempo at which each pair that was once slowed was heard last."""

    def __init__(self, level: Level) -> None:
        self._figures = level.figures
        self._low = level.tempo.low
        self._slow = max(SLOWEST, float(round(SLOW * level.tempo.low)))
        self._heard_at: dict[Pair, float] = {}

    def note(self, figures: Iterable[int], tempo: float, recent: RecentAnswers) -> None:
        """Take in a bar at a tempo, before its answers are counted as ``recent``."""
        for pair in _pairs(figures):
            # Once slowed, for good: the limit climbs with each bar and soon lies above any tempo of the level.
            if pair in self._heard_at or self._stays(pair, recent):
                self._heard_at[pair] = tempo

    def setting(self, usual: Setting, figures: Iterable[int], recent: RecentAnswers) -> Setting:
        """How to play a bar of these figures that would be played so: no quicker than its slowed pairs may be."""
        pairs = list(_pairs(figures))
        staying = [pair for pair in pairs if self._stays(pair, recent)]
        limits = [self._slow if pair in staying else self._heard_at.get(pair, inf) + CLIMB for pair in pairs]
        tempo = min(limits, default=inf)
        if staying:
            # Of several such pairs one alone: accents on half of the strokes would bring nothing out.
            usual = replace(usual, contrast=tuple(self._figures[figure] for figure in staying[0]))
        # Below the level's own tempos the beat is hard to keep in mind, and a click is a help; at them it is none.
        return usual if tempo >= usual.tempo else replace(usual, tempo=tempo, click=usual.click or tempo < self._low)

    @staticmethod
    def _stays(pair: Pair, recent: RecentAnswers) -> bool:
        return recent.mixed_up(*pair, STAYS)


def _pairs(figures: Iterable[int]) -> Iterator[Pair]:
    return combinations(sorted(set(figures)), 2)
