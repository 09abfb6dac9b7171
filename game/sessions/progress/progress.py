"""Makes the tables of the progress page, for charts and CSV: mix-ups, recall by week, days of practice, changes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

import numpy as np
from numpy.typing import NDArray

from game.learning import Answer
from game.learning.evidence import UNTOLD, first_tries, said_in
from game.sessions.progress.chance import difference
from game.wording import DAY_SECONDS, local_day, monday_of
from shared.figures import Figure
from shared.levels import Level
from shared.tables import csv_line

Floats = NDArray[np.float64]

# Thirty days and not a month of the calendar, so that both sides of a comparison are equally long.
MONTH = 30 * DAY_SECONDS
"""The length of each side of a comparison, in seconds."""

FEW = "too few answers"
"""The verdict on a change that rests on too few answers."""

FEWEST_ANSWERS = 8
"""Fewer answers than this, before or after, say nothing of a change."""

Row = Sequence[str | int | float]


@dataclass(frozen=True)
class ConfusionTable:
    """A table of what was said to each figure (a confusion matrix).

    ``counts`` (K, K): row f, column g: how often f was heard and g said, in the order of ``figures``;
    ``skipped`` (K,): how often nothing, or nothing of the level, was said; ``untold`` (K,): how often a class was
    wrong and it is not known what was said.  In a class these are rooms.
    """

    figures: tuple[Figure, ...]
    counts: Floats
    skipped: Floats
    untold: Floats

    @property
    def heard(self) -> Floats:
        """How often each figure was heard (K,)."""
        return np.asarray(self.counts.sum(axis=1) + self.skipped + self.untold)

    @property
    def shares(self) -> Floats:
        """Each count as a share of the times its figure was heard (K, K); 0 where it never was."""
        # A figure that was never heard has no counts either: its row becomes 0, not an error.
        return np.asarray(self.counts / np.maximum(self.heard, 1e-9)[:, None])

    def rows(self) -> list[Row]:
        """A header and a row for each pair that occurred: heard, said, times, share of the times heard.

        Said is empty for nothing, and "not known" for those of a class that were wrong.
        """
        shares = self.shares
        body: list[Row] = [
            [heard.count, said.count, round(float(self.counts[f, g]), 2), round(float(shares[f, g]), 4)]
            for f, heard in enumerate(self.figures)
            for g, said in enumerate(self.figures)
            if self.counts[f, g]
        ]
        nothing: list[Row] = [
            [heard.count, "", round(float(self.skipped[f]), 2), round(float(self.skipped[f] / self.heard[f]), 4)]
            for f, heard in enumerate(self.figures)
            if self.skipped[f]
        ]
        unknown: list[Row] = [
            [heard.count, "not known", round(float(self.untold[f]), 2), round(float(self.untold[f] / self.heard[f]), 4)]
            for f, heard in enumerate(self.figures)
            if self.untold[f]
        ]
        return [["heard", "said", "times", "share"], *body, *nothing, *unknown]


def confusion_table(
    level: Level, answers: Iterable[Answer], since: float = -np.inf, until: float = np.inf
) -> ConfusionTable:
    """Count what was said to each of the level's figures from ``since`` up to, not including, ``until``."""
    places = {figure.count: place for place, figure in enumerate(level.figures)}
    counts = np.zeros((len(places), len(places)))
    skipped, untold = np.zeros(len(places)), np.zeros(len(places))
    for (heard, said), times in said_in(row for row in answers if since <= row.at < until).items():
        if heard in places and said in places:
            counts[places[heard], places[said]] = times
        elif heard in places:
            # Added up: several figures outside the level may have been said.
            (untold if said == UNTOLD else skipped)[places[heard]] += times
    return ConfusionTable(level.figures, counts, skipped, untold)


@dataclass(frozen=True)
class Week:
    """A figure in one week, which begins on a Monday: how many of how many answers named it."""

    begins: date
    figure: Figure
    right: float
    answers: float

    @property
    def share(self) -> float:
        """The share that was right."""
        return self.right / self.answers


def recall_by_week(level: Level, answers: Iterable[Answer], zone: tzinfo | None = None) -> tuple[Week, ...]:
    """Each figure week by week, in the order of the level's figures; weeks without answers are left out."""
    right: dict[tuple[str, date], float] = defaultdict(float)
    total: dict[tuple[str, date], float] = defaultdict(float)
    for row in first_tries(answers):
        key = row.heard, monday_of(local_day(row.at, zone))
        total[key] += row.share
        right[key] += row.share * (row.said == row.heard)
    return tuple(
        Week(begins, figure, right[figure.count, begins], total[figure.count, begins])
        for figure in level.figures
        for begins in sorted(week for heard, week in total if heard == figure.count)
    )


@dataclass(frozen=True)
class PracticeDay:
    """A day with answers: bars and beats answered, and how many beats were right."""

    day: date
    bars: int
    beats: float
    right: float


def practice_days(answers: Iterable[Answer], zone: tzinfo | None = None) -> tuple[PracticeDay, ...]:
    """The days on which there were answers by ear, oldest first, by the calendar of ``zone`` (None: this machine's)."""
    by_day: dict[date, list[Answer]] = defaultdict(list)
    for row in first_tries(answers):
        by_day[local_day(row.at, zone)].append(row)
    return tuple(
        PracticeDay(
            day=day,
            # All beats of a bar are marked at one time, and no row tells its bar's number.
            bars=len({(row.at, row.bar) for row in rows}),
            beats=sum(row.share for row in rows),
            right=sum(row.share for row in rows if row.said == row.heard),
        )
        for day, rows in sorted(by_day.items())
    )


@dataclass(frozen=True)
class Change:
    """A figure in the last thirty days against the thirty before, each as (right, answers).

    ``verdict`` is "better", "worse", or "no clear change" where chance could have done it (95 % interval of
    the difference, Newcombe's method 10); "too few answers" below eight on either side.
    """

    figure: Figure
    before: tuple[float, float]
    after: tuple[float, float]
    verdict: str


def changes(level: Level, answers: Sequence[Answer], now: float) -> tuple[Change, ...]:
    """This month's change of each of the level's figures, in their order."""
    late = confusion_table(level, answers, now - MONTH, np.inf)
    early = confusion_table(level, answers, now - 2 * MONTH, now - MONTH)
    pairs = (
        (figure, (early.counts[k, k], early.heard[k]), (late.counts[k, k], late.heard[k]))
        for k, figure in enumerate(level.figures)
    )
    return tuple(
        Change(figure, _floats(before), _floats(after), _verdict(before, after)) for figure, before, after in pairs
    )


def _floats(pair: tuple[float, float]) -> tuple[float, float]:
    return float(pair[0]), float(pair[1])


def _verdict(before: tuple[float, float], after: tuple[float, float]) -> str:
    if min(before[1], after[1]) < FEWEST_ANSWERS:
        return FEW
    # Clear only where the whole interval lies on one side of no change.
    low, high = difference(after, before)
    return "better" if low > 0 else "worse" if high < 0 else "no clear change"


def week_rows(weeks: Iterable[Week]) -> list[Row]:
    """The weeks as a table with a header."""
    body: list[Row] = [
        [week.begins.isoformat(), week.figure.count, round(week.right, 2), round(week.answers, 2), round(week.share, 4)]
        for week in weeks
    ]
    return [["week from", "figure", "right", "answers", "share"], *body]


def day_rows(days: Iterable[PracticeDay]) -> list[Row]:
    """The days as a table with a header."""
    body: list[Row] = [[one.day.isoformat(), one.bars, round(one.beats, 2), round(one.right, 2)] for one in days]
    return [["day", "bars", "beats", "right"], *body]


def change_rows(rows: Iterable[Change]) -> list[Row]:
    """The changes as a table with a header."""
    body: list[Row] = [
        [one.figure.count, *map(_rounded, one.before), *map(_rounded, one.after), one.verdict] for one in rows
    ]
    header = ["figure", "right before", "answers before", "right this month", "answers this month", "change"]
    return [header, *body]


def csv_text(rows: Iterable[Row]) -> str:
    """A table as the text of a CSV file."""
    return "".join(map(csv_line, rows))


def _rounded(value: float) -> float:
    return round(value, 2)
