"""How firmly a player holds the figures of a level, now and over the days to come.

A figure is firm when the coach expects it to be named right a day from now, it was heard often enough to say so, and
its next review is not due yet: days, weeks, then months after the one before, the longer the surer it was (spaced
practice).  It has sunk when it was firm as it was last answered and is not any more.  A level *holds* when all its
figures do.

A standing is worked out once from the log and says what becomes of it with the days, so that a page with many levels
need not replay them all.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log
from typing import Any, Self

from game.learning import Answer
from game.learning.beats import AnswerReader
from game.learning.coach import Coach
from game.learning.evidence import first_tries
from game.wording import DAY_SECONDS
from shared.levels import Level

HOLDS = 0.9
"""A figure holds from this chance of a right answer a day on."""

ENOUGH = 3
"""A figure that was heard less often than this does not hold yet, whatever the coach expects of it."""

HORIZONS = (0.0, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0)
"""Days ahead for which recall is kept; between them it is read off a line over the logarithm of the days."""


@dataclass(frozen=True)
class Standing:
    """A player's standing on a level, as of a time ``at`` (seconds since the epoch).

    ``figures`` are counts in the level's order; ``heard`` how often each was answered by ear at the first try;
    ``recall`` the chance of a right answer to each, ``HORIZONS`` days after ``at``; ``due`` when each is to be brought
    back, in epoch seconds, None where it was never heard (empty: none of them was); ``last`` when the level's figures
    were last answered, None where they never were.
    """

    level: str
    at: float
    last: float | None
    figures: tuple[str, ...]
    heard: tuple[int, ...]
    recall: tuple[tuple[float, ...], ...]
    due: tuple[float | None, ...] = ()

    def recall_at(self, when: float) -> list[float]:
        """The chance of a right answer to each figure at a time; before ``at`` it is as it was then."""
        days = max(0.0, (when - self.at) / DAY_SECONDS)
        return [_read_off(days, line) for line in zip(*self.recall, strict=True)]

    def firmness(self, now: float) -> list[float]:
        """How firm each figure is, from 0 to 1: recall a day on, times n / (n + 1) for a figure heard n times."""
        tomorrow = self.recall_at(now + DAY_SECONDS)
        # A figure that was heard once is half firm at most, whatever the coach expects: n / (n + 1) asks for proof.
        return [chance * times / (times + 1) for chance, times in zip(tomorrow, self.heard, strict=True)]

    def firm(self, now: float) -> list[bool]:
        """Whether each figure is firm: surely named right a day on, heard ``ENOUGH`` times, and not due."""
        reviews = self.due or (None,) * len(self.figures)
        rows = zip(self.recall_at(now + DAY_SECONDS), self.heard, reviews, strict=True)
        return [chance >= HOLDS and times >= ENOUGH and (due is None or now < due) for chance, times, due in rows]

    def holds(self, now: float) -> bool:
        """Whether all figures do."""
        return all(self.firm(now))

    def sunk(self, now: float) -> tuple[str, ...]:
        """The figures that were firm when they were last answered, and are not now."""
        # By the same measure as ``firm``, so that no figure is told to be both firm and sunk, nor neither as it falls.
        rows = zip(self.figures, self.firm(self.at), self.firm(now), strict=True)
        return tuple(figure for figure, before, today in rows if before and not today)

    def unmet(self) -> tuple[str, ...]:
        """The figures that were never answered."""
        return tuple(figure for figure, times in zip(self.figures, self.heard, strict=True) if not times)

    def weakest(self, now: float) -> tuple[str, ...]:
        """The figures that were heard and do not hold, the least firm first."""
        rows = zip(self.figures, self.heard, self.firm(now), self.firmness(now), strict=True)
        weak = [(firmness, figure) for figure, times, firm, firmness in rows if times and not firm]
        return tuple(figure for _, figure in sorted(weak))

    def kept(self) -> dict[str, Any]:
        """As JSON holds it, to be kept as derived data."""
        return {
            "at": self.at,
            "last": self.last,
            "figures": self.figures,
            "heard": self.heard,
            "recall": [[round(chance, 4) for chance in row] for row in self.recall],
            "due": self.due,
        }

    @classmethod
    def from_kept(cls, level: Level, value: Any) -> Self | None:
        """A standing from what ``kept`` gave; None where it belongs to other figures or can't be read."""
        try:
            figures, rows = tuple(value["figures"]), tuple(tuple(map(float, row)) for row in value["recall"])
            last = None if value["last"] is None else float(value["last"])
            heard = tuple(map(int, value["heard"]))
            due = tuple(None if at is None else float(at) for at in value["due"])
            found = cls(level.name, float(value["at"]), last, figures, heard, rows, due)
        except (TypeError, KeyError, ValueError):
            return None
        fits = len(rows) == len(HORIZONS) and all(len(row) == len(figures) for row in (heard, due or heard, *rows))
        return found if fits and figures == _counts(level) else None


def standing(level: Level, coach: Coach, heard: tuple[int, ...], last: float | None, now: float) -> Standing:
    """The standing that a coach makes known who lived through the answers to a level's figures.

    ``heard`` is how often each was answered, ``last`` when any of them was (None: never).
    """
    # As of the last answer, not of now: the same log then always gives the same standing, whenever it is worked out.
    at = now if last is None else last
    recall = tuple(tuple(coach.recall(at + days * DAY_SECONDS).tolist()) for days in HORIZONS)
    return Standing(level.name, at, last, _counts(level), heard, recall, coach.due_at())


def heard_times(level: Level, answers: Iterable[Answer]) -> tuple[int, ...]:
    """How often each figure of a level was answered by ear at the first try; a class counts by the bar."""
    times = dict.fromkeys(_counts(level), 0)
    seen: set[tuple[float, str, int]] = set()
    # A count alone does not tell the figure: "1" is one thing in 4/4 and another in 12/8.
    for row in filter(AnswerReader(level).reads, first_tries(answers)):
        # A class leaves a row for each figure that hands were raised for: all of them together are one hearing.
        # By the bar too, and not by its time alone: bars of a clock that was ahead have all the same one.
        if (row.at, row.bar, row.beat) not in seen:
            seen.add((row.at, row.bar, row.beat))
            times[row.heard] += 1
    return tuple(times.values())


def _counts(level: Level) -> tuple[str, ...]:
    return tuple(figure.count for figure in level.figures)


def _read_off(days: float, line: Sequence[float]) -> float:
    """The value of a line given at ``HORIZONS``, straight between them over log(1 + days)."""
    for k in range(1, len(HORIZONS)):
        if days <= HORIZONS[k]:
            # Recall falls fast at first and slowly later: over the logarithm of the days it is nearly a straight line.
            low, high = log(1 + HORIZONS[k - 1]), log(1 + HORIZONS[k])
            share = (log(1 + days) - low) / (high - low)
            return line[k - 1] + share * (line[k] - line[k - 1])
    return line[-1]
