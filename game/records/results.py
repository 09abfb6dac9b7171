"""Results: finished rounds of practice, and mock exams from their first question on."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from game.records.database import Database, Row, from_json
from game.records.players import Player

State = Literal["running", "finished", "interrupted"]


@dataclass(frozen=True)
class Round:
    """One finished round of practice.  Times are in seconds since the epoch; ``right`` counts beats.

    ``right`` takes first tries alone; ``tries`` is how many the round allowed at each beat.  ``rule`` is the number
    of the rule by which the ``score`` came about: scores of different rules can't be compared.
    """

    level: str
    started: float
    finished: float
    beats: int
    right: int
    hearings: int
    score: int
    bars: int = 10
    tries: int = 1
    rule: int = 1


@dataclass(frozen=True)
class Exam:
    """One mock exam.  ``mark`` is a fraction from 0 to 1, None while it is running.

    ``rules`` (the level's rules on that day), ``detail`` (beat by beat) and ``forecast`` (as it stood on that day)
    hold what JSON can hold.
    """

    uuid: str
    level: str
    started: float
    finished: float | None = None
    state: State = "running"
    mark: float | None = None
    rules: Mapping[str, Any] = field(default_factory=dict)
    detail: Any = None
    forecast: Any = None


_ROUND = "level, started, finished, beats, right, hearings, score, bars, tries, rule"
_EXAM = "uuid, level, started, finished, state, mark, rules, detail, forecast"


def _exam(row: Row) -> Exam:
    uuid, level, started, finished, state, mark, *texts = row
    rules, detail, forecast = map(from_json, texts)
    return Exam(uuid, level, started, finished, state, mark, rules, detail, forecast)


class Results:
    """The rounds and exams of one records file."""

    database: Database
    _new_uuid: Callable[[], str]

    def save_round(self, player: Player, finished: Round, uuid: str | None = None) -> None:
        """Keep a finished round; one that is already kept under this UUID stays as it is."""
        self.database.execute(
            f"INSERT INTO round (player, uuid, {_ROUND}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (player, uuid) DO NOTHING",
            (player.id, uuid or self._new_uuid(), finished.level, float(finished.started), float(finished.finished),
             finished.beats, finished.right, finished.hearings, finished.score, finished.bars, finished.tries,
             finished.rule),
        )  # fmt: skip

    def best(self, player: Player, level: str, like: Round | None = None) -> Round | None:
        """The personal best of a level: the highest score, the first time it was reached.

        ``like``: only rounds under the same rule that asked as many beats and allowed as many tries as this one can
        be compared with it.
        """
        among = "AND rule = ? AND beats = ? AND tries = ?" if like else ""
        values = (like.rule, like.beats, like.tries) if like else ()
        row = self.database.row(
            f"SELECT {_ROUND} FROM round WHERE player = ? AND level = ? {among} ORDER BY score DESC, finished LIMIT 1",
            (player.id, level, *values),
        )
        return Round(*row) if row else None

    def rounds(self, player: Player, level: str | None = None, last: int | None = None) -> list[Round]:
        """A player's rounds, oldest first: of one level, or only the ``last`` so many."""
        return [finished for _, finished in self.round_rows(player, level, last)]

    def round_rows(self, player: Player, level: str | None = None, last: int | None = None) -> list[tuple[str, Round]]:
        """As ``rounds``, each with its UUID."""
        rows = self.database.rows(
            f"SELECT uuid, {_ROUND} FROM round WHERE player = ? AND (? IS NULL OR level = ?) "
            # By UUID as well: rounds of one moment must not change places from call to call.
            "ORDER BY finished DESC, uuid DESC LIMIT ?",
            # SQLite takes a negative limit for none.
            (player.id, level, level, -1 if last is None else last),
        )
        # The last so many can only be found newest first.
        return [(row[0], Round(*row[1:])) for row in reversed(rows)]

    def start_exam(self, player: Player, level: str, rules: Mapping[str, Any], now: float) -> Exam:
        """Begin a mock exam: it is in the records from now on, whatever happens."""
        exam = Exam(self._new_uuid(), level, now, rules=dict(rules))
        self.save_exam(player, exam)
        return exam

    def save_exam(self, player: Player, exam: Exam) -> None:
        """Keep an exam as it stands now.  One that was finished stays as it is."""
        self.database.execute(
            f"INSERT INTO exam (player, {_EXAM}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (player, uuid) "
            # Not a finished one (the end of the statement): its mark can't be changed by an import or a second window.
            "DO UPDATE SET finished = excluded.finished, state = excluded.state, mark = excluded.mark, "
            "detail = excluded.detail, forecast = excluded.forecast WHERE state <> 'finished'",
            (player.id, exam.uuid, exam.level, float(exam.started), exam.finished, exam.state, exam.mark,
             json.dumps(exam.rules), json.dumps(exam.detail), json.dumps(exam.forecast)),
        )  # fmt: skip

    def finish_exam(
        self, player: Player, exam: Exam, mark: float, detail: Any, now: float, forecast: Any = None
    ) -> Exam:
        """Keep an exam as finished, with its mark (0 to 1) and what was forecast of it on that day."""
        done = replace(exam, finished=now, state="finished", mark=mark, detail=detail, forecast=forecast)
        self.save_exam(player, done)
        return done

    def interrupt_exam(self, player: Player, exam: Exam, now: float) -> Exam:
        """Keep an exam as broken off."""
        broken = replace(exam, finished=now, state="interrupted")
        self.save_exam(player, broken)
        return broken

    def exams(self, player: Player, level: str | None = None) -> list[Exam]:
        """A player's mock exams, oldest first: all, or those of one level."""
        rows = self.database.rows(
            f"SELECT {_EXAM} FROM exam WHERE player = ? AND (? IS NULL OR level = ?) ORDER BY started, uuid",
            (player.id, level, level),
        )
        return [_exam(row) for row in rows]

    def interrupt_left_exams(self) -> None:
        """Exams that were running when the program died count as interrupted."""
        # Looked for first: an UPDATE would take the lock for writing at every start, and mostly change nothing.
        if self.database.row("SELECT 1 FROM exam WHERE state = 'running'"):
            self.database.execute("UPDATE exam SET state = 'interrupted' WHERE state = 'running'")
