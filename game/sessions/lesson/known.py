"""Which figures a class has met, and when it meets the next one."""

from collections.abc import Callable, Iterable

from game.learning.coach import Coach
from shared.figures import Figure
from shared.levels import Level

FEWEST = 2
"""Figures that can be told apart: as many are met before the first bar."""

BARS_BETWEEN = 2
"""Bars from one new figure to the next, at least."""

GOES_WELL = 0.6
"""The part of the room that must have been right in the last bar before something new comes."""


class Known:
    """The figures of a level that a class knows; the others come in the level's order of being met.

    ``make`` gives the class's coach for some of the level's figures, as of a time.
    """

    def __init__(
        self, level: Level, known: Iterable[Figure], make: Callable[[tuple[Figure, ...], float], Coach]
    ) -> None:
        given = set(known)
        self._level = level
        self._known = [figure for figure in level.figures if figure in given]
        self._make = make
        # As if that many bars had gone by: the first new figure of a lesson need not wait.
        self._rested = BARS_BETWEEN

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures known by now, in the level's order."""
        return tuple(figure for figure in self._level.figures if figure in self._known)

    @property
    def unmet(self) -> list[Figure]:
        """The others, in the order in which they are met."""
        order = [*self._level.order, *(figure for figure in self._level.figures if figure not in self._level.order)]
        return [figure for figure in order if figure not in self._known]

    def coach(self, now: float) -> Coach:
        """The coach that asks just the figures known by now."""
        return self._make(self.figures, now)

    def next(self, share: float | None) -> tuple[Figure, ...]:
        """The figures to be met before the next bar, of which a ``share`` was right in the last one; they then count
        as known."""
        lacking = FEWEST - len(self._known)
        new = tuple(self.unmet[:lacking]) if lacking > 0 else ()
        self._rested += 1
        if not new and self._rested > BARS_BETWEEN and (share is None or share >= GOES_WELL):
            new = tuple(self.unmet[:1])
        if new:
            self._known += new
            self._rested = 0
        return new
