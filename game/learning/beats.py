"""The log's rows in the level's own terms."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import attrgetter

from game.learning.evidence import Answer
from game.learning.trust import ELSEWHERE, SKIPPED, Beat
from shared.bars import METERS, SINGLE_BEATS
from shared.levels import Level

AnsweredBar = tuple[list[Beat], list[int]]
"""The beats of one answered bar, and their places in it."""

Glance = tuple[int, bool, float]
"""A figure heard, whether it was named right, and when."""


class Reader:
    """Turns answers into beats, leaving out figures that the level does not hold."""

    def __init__(self, level: Level) -> None:
        self._figures = len(level.figures)
        self._places = {figure.count: place for place, figure in enumerate(level.figures)}
        self._meters = {
            name for name, meter in (METERS | SINGLE_BEATS).items() if meter.compound == level.meter.compound
        }

    def bars(self, answers: Iterable[Answer]) -> Iterator[AnsweredBar]:
        """The answered bars, in the order of the rows."""
        for _, rows in groupby(answers, key=attrgetter("at", "bar", "attempt")):
            ours = [row for row in rows if self._is_ours(row)]
            if ours:
                yield self._beats(ours)

    def glance(self, answers: Iterable[Answer]) -> Iterator[list[Glance]]:
        """The same for old rows, read quickly: what each bar's beats were, as said by most."""
        for _, rows in groupby(answers, key=attrgetter("at")):
            bar = [
                (self._places[row.heard], row.said == row.heard, row.at)
                for row in rows
                if row.share > 0.5 and row.attempt == 1 and self._is_ours(row)
            ]
            if bar:
                yield bar

    def _is_ours(self, row: Answer) -> bool:
        # Reading and playing are abilities of their own: what is read right says little of what is heard.
        return row.heard in self._places and row.meter in self._meters and row.ability == "hearing"

    def _beats(self, rows: list[Answer]) -> AnsweredBar:
        beats, places = [], []
        for place, group in groupby(rows, key=attrgetter("beat")):
            votes = list(group)
            said = tuple((self._said(row), row.share) for row in votes)
            first = votes[0]
            heard, exam = self._places[first.heard], first.kind == "exam"
            wrong = self._wrong_beside_all(len(first.choices))
            beats.append(Beat(first.at, heard, said, first.seconds, exam, len(first.choices), first.attempt, wrong))
            places.append(place)
        return beats, places

    def _wrong_beside_all(self, choices: int) -> float:
        """How likely a wrong guess is among so many figures, against one among all of the level's."""
        return (1 - 1 / choices) / (1 - 1 / self._figures) if 1 < choices < self._figures else 1.0

    def _said(self, row: Answer) -> int:
        return SKIPPED if row.said is None else self._places.get(row.said, ELSEWHERE)
