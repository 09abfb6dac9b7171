"""Translates rows of the log into the records that the estimates need: one a beat, figures as numbers of the level.

Rows of figures that the level does not have, and of reading and playing, are left out here, and nowhere else.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

from game.learning.evidence import Answer
from shared.bars import meters_like
from shared.levels import Level

TRY = attrgetter("at", "bar", "attempt")
"""The fields that the rows of one try at a bar have in common, and those of no other try."""

SKIPPED, ELSEWHERE = -1, -2
"""Said nothing; said a figure that the level does not hold."""

SLOWER_BY, FARTHEST = 0.5, 1.5
"""How far hearings slower than asked count as a slower tempo, and the farthest that a tempo may lie from the level's
middle one; both as shares of the level's range of tempi."""


class Beat(NamedTuple):
    """One asked beat in the level's terms: figures by their places in it, a class by shares.

    ``exam``: it was asked in an exam; ``unsure``: the player said "not sure"; ``rough``: of a class it is known only
    how many had it, by and large.  ``choices`` figures were on offer (0: all of the level's), and ``wrong`` is how
    likely a wrong guess is among them, against one among all; ``attempt`` is 2 for a second try.  ``tempo`` is in beats
    a minute, ``quick`` where it lies, from -0.5 at the level's slowest to 0.5 at its quickest.
    """

    at: float
    heard: int
    said: tuple[tuple[int, float], ...]
    seconds: float | None
    exam: bool = False
    choices: int = 0
    attempt: int = 1
    wrong: float = 1.0
    changes: int = 0
    unsure: bool = False
    rough: bool = False
    hearings: int = 2
    alone: int = 0
    tempo: float = 80.0
    quick: float = 0.0

    @property
    def right(self) -> float:
        """The share that named the figure."""
        return sum(share for said, share in self.said if said == self.heard)

    @property
    def most_said(self) -> int:
        """The figure that was said, of a class by most."""
        return max(self.said, key=lambda pair: pair[1])[0]

    @property
    def skipped(self) -> bool:
        """Whether nothing was said."""
        return self.said[0][0] == SKIPPED


AnsweredBar = tuple[list[Beat], list[int]]
"""The beats of one answered bar, and their places in it."""

Glance = tuple[int, bool, float]
"""A figure heard, whether it was named right, and when."""


class AnswerReader:
    """Turns answers into beats, leaving out figures that the level does not hold."""

    def __init__(self, level: Level) -> None:
        self._figures = len(level.figures)
        self._places = {figure.count: place for place, figure in enumerate(level.figures)}
        self._middle = (level.tempo.low + level.tempo.high) / 2
        # A level of one tempo has no width to be a share of.
        self._width = max(1.0, level.tempo.high - level.tempo.low)
        self._meters = meters_like(level.meter)

    def bars(self, answers: Iterable[Answer]) -> Iterator[AnsweredBar]:
        """The answered bars, in the order of the rows."""
        for _, rows in groupby(answers, key=TRY):
            yield self._beats(list(rows))

    def glance(self, answers: Iterable[Answer]) -> Iterator[list[Glance]]:
        """The first tries of old rows, read quickly: what each beat was, and whether most named it."""
        for (at, _, attempt), rows in groupby(answers, key=TRY):
            if attempt == 1:
                beats: dict[int, tuple[int, bool]] = {}
                for row in rows:
                    right = row.said == row.heard and row.share > 0.5
                    # A class has several rows for a beat: that most named it outweighs what the others said.
                    if right or row.beat not in beats:
                        beats[row.beat] = self._places[row.heard], right
                yield [(heard, right, at) for heard, right in beats.values()]

    def reads(self, row: Answer) -> bool:
        """Whether a row is of a figure of the level, by ear; the others are to be left out before."""
        # Reading and playing are abilities of their own: what is read right says little of what is heard.
        return row.heard in self._places and row.meter in self._meters and row.ability == "hearing"

    def _beats(self, rows: list[Answer]) -> AnsweredBar:
        beats, places = [], []
        for place, group in groupby(rows, key=attrgetter("beat")):
            votes = list(group)
            said = tuple((self._said(row), row.share) for row in votes)
            first = votes[0]
            beats.append(
                Beat(
                    at=first.at,
                    heard=self._places[first.heard],
                    said=said,
                    seconds=first.seconds,
                    exam=first.kind == "exam",
                    choices=len(first.choices),
                    attempt=first.attempt,
                    wrong=self._wrong_beside_all(len(first.choices)),
                    changes=first.changes,
                    unsure=first.unsure,
                    rough=any(row.untold for row in votes),
                    hearings=first.hearings,
                    alone=first.alone,
                    tempo=first.tempo,
                    quick=self._quick(first),
                )
            )
            places.append(place)
        return beats, places

    def _wrong_beside_all(self, choices: int) -> float:
        """How likely a wrong guess is among so many figures, against one among all of the level's."""
        return (1 - 1 / choices) / (1 - 1 / self._figures) if 1 < choices < self._figures else 1.0

    def _quick(self, row: Answer) -> float:
        quick = (row.tempo - self._middle) / self._width - SLOWER_BY * row.slower / max(1, row.hearings)
        return min(FARTHEST, max(-FARTHEST, quick))

    def _said(self, row: Answer) -> int:
        return SKIPPED if row.said is None else self._places.get(row.said, ELSEWHERE)
