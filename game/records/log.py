"""The append-only log of answers, from which everything that the coach believes is replayed."""

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields
from functools import lru_cache
from math import inf
from typing import Any, NamedTuple
from uuid import UUID

from game.learning.evidence import Answer, as_of
from game.records.checks import TIME
from game.records.database import Database, Row, from_json
from game.records.errors import RecordsError
from game.records.players import Player

_QUESTION = "attempt, at, level, meter, bar, orchestration, tempo, hearings, slower, kind, ability, choices, met"
_ANSWER = "beat, heard, said, seconds, share, unsure, changes, alone, reason, probability"
_KEEP_QUESTION = (
    f"INSERT INTO question (player, uuid, {_QUESTION}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (player, uuid, attempt) DO NOTHING"
)
_FIND_QUESTION = "SELECT id FROM question WHERE player = ? AND uuid = ? AND attempt = ?"
_KEEP_ANSWER = (
    f"INSERT INTO answer (question, place, {_ANSWER}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (question, place) DO NOTHING"
)

# Their keys are values of one query, of which an old SQLite takes 999.
PART = 200
"""Questions of which the answers are read at once where a page must not wait for them."""

_BATCH = 1000
"""Answers that go into the file at once where there are many."""

_USUAL = {one.name: one.default for one in fields(Answer) if one.default is not MISSING}


class Logged(NamedTuple):
    """An answer with its name for ever: the asked bar's UUID, and its place among the answers of that try, from 0."""

    question: str
    place: int
    answer: Answer


@dataclass(frozen=True)
class Wanted:
    """Which of a player's answers: of one level, from a time on (seconds since the epoch), to some figures.

    ``heard`` holds the figures as counts, all where it is empty; ``ability`` is one of ``ABILITIES``; of those that
    are left, only the ``last`` so many.
    """

    level: str | None = None
    since: float | None = None
    heard: Sequence[str] = ()
    last: int | None = None
    ability: str | None = None


ALL = Wanted()


def _question_values(answer: Answer) -> tuple[object, ...]:
    return (
        # Python's own numbers: a whole number of numpy's would be handed over as bytes.
        int(answer.attempt), float(answer.at), answer.level, answer.meter, answer.bar,
        answer.orchestration, float(answer.tempo), int(answer.hearings), int(answer.slower), answer.kind,
        answer.ability, _text(answer.choices), _text(answer.met),
    )  # fmt: skip


def _answer_values(answer: Answer) -> tuple[object, ...]:
    seconds = None if answer.seconds is None else float(answer.seconds)
    probability = None if answer.probability is None else float(answer.probability)
    return (
        int(answer.beat), answer.heard, answer.said, seconds, float(answer.share),
        int(answer.unsure), int(answer.changes), int(answer.alone), answer.reason, probability,
    )  # fmt: skip


@lru_cache(maxsize=1000)
def _text(counts: tuple[str, ...]) -> str:
    return json.dumps(counts)


@lru_cache(maxsize=1000)
def _counts(text: str) -> tuple[str, ...]:
    # A level's own figures are on offer again and again: a long log holds few different texts.
    return tuple(from_json(text))


class Log:
    """The answers of one records file."""

    database: Database

    def append(self, player: Player, question: str, answers: Sequence[Answer]) -> int:
        """Keep the answers to one asked bar.  When this returns they are on disk.

        ``question`` is ``Question.id``: the same question appended again (after an error, or from another machine)
        adds nothing; a second try is kept beside the first.  Returns how many answers were added.

        Raises ``ValueError`` where the answers do not belong to one try at one bar.
        """
        # In its one usual spelling: the same name in capitals would be kept as another question.
        question = str(UUID(question))
        if len({_question_values(answer) for answer in answers}) > 1:
            raise ValueError("the answers belong to more than one question; append each question by itself")
        return self.append_all(player, (Logged(question, *numbered) for numbered in enumerate(answers)))

    def append_all(self, player: Player, logged: Iterable[Logged]) -> int:
        """Keep many answers, all or none of them.  Returns how many were new."""
        with self.database.transaction() as connection:
            before, questions = connection.total_changes, 0
            name, key, rows = None, 0, []
            for one in logged:
                # The answers to a bar come together, so its row is looked for once.
                if name != (one.question, one.answer.attempt):
                    name = one.question, one.answer.attempt
                    questions += _keep_question(connection, player, one)
                    (key,) = connection.execute(_FIND_QUESTION, (player.id, *name)).fetchone()
                rows.append((key, one.place, *_answer_values(one.answer)))
                if len(rows) == _BATCH:
                    connection.executemany(_KEEP_ANSWER, rows)
                    rows.clear()
            connection.executemany(_KEEP_ANSWER, rows)
            # What was there already changes nothing, so that only new rows are counted.
            return connection.total_changes - before - questions

    def answers(self, player: Player, wanted: Wanted = ALL) -> list[Answer]:
        """A player's answers, all or those that are wanted, oldest first."""
        rows, questions = self._log(player, wanted)
        return [_answer(questions[row[0]], row) for row in reversed(rows)]

    def known(self, player: Player, heard: Sequence[str], now: float) -> Iterator[list[Answer]]:
        """The answers a coach lives through: a player's, by ear, to some figures (counts), whatever the level.

        The oldest come first, in parts of which each is read in a few milliseconds, as they count at ``now``.
        """
        after: tuple[float, int] = (-inf, 0)
        among = ", ".join("?" * len(heard))
        while True:
            questions = self.database.rows(
                f"SELECT id, uuid, {_QUESTION} FROM question WHERE player = ? AND ability = 'hearing' "
                # From the last row on, and not by OFFSET, which would go through all rows before it for each part.
                "AND (at, id) > (?, ?) ORDER BY at, id LIMIT ?",
                (player.id, *after, PART),
            )
            if not questions:
                return
            by_key = {row[0]: row for row in questions}
            answers = self.database.rows(
                f"SELECT question, place, {_ANSWER} FROM answer WHERE question IN ({', '.join('?' * len(questions))}) "
                f"AND heard IN ({among})",
                [*by_key, *heard],
            )
            answers.sort(key=lambda row: (by_key[row[0]][3], row[0], row[1]))
            yield list(as_of(now, (_answer(by_key[row[0]], row) for row in answers)))
            after = questions[-1][3], questions[-1][0]

    def logged(self, player: Player) -> Iterator[Logged]:
        """All of a player's answers, oldest first, each with its name for ever."""
        rows, questions = self._log(player)
        for row in reversed(rows):
            question = questions[row[0]]
            yield Logged(question[1], row[1], _answer(question, row))

    def _log(self, player: Player, wanted: Wanted = ALL) -> tuple[list[Row], dict[int, Row]]:
        """Rows of answers, newest first, and their questions by key.

        In two queries, so that a bar's texts are fetched once and not once for each beat.
        """
        where, values = _where(player, wanted)
        heard = wanted.heard
        among = f"AND heard IN ({', '.join('?' * len(heard))})" if heard else ""
        most = -1 if wanted.last is None else wanted.last
        answers = self.database.rows(
            f"SELECT question, place, {_ANSWER} FROM question JOIN answer ON answer.question = question.id "
            f"WHERE {where} {among} ORDER BY at DESC, question.id DESC, place DESC LIMIT ?",
            [*values, *heard, most],
        )
        if wanted.last is not None:
            # By their keys: the last answers to some figures may lie in any of a hundred thousand questions.
            where, values = "id IN (SELECT value FROM json_each(?))", [json.dumps([row[0] for row in answers])]
        questions = self.database.rows(f"SELECT id, uuid, {_QUESTION} FROM question WHERE {where}", values)
        return answers, {row[0]: row for row in questions}

    def count_answers(self, player: Player) -> int:
        """How many answers a player has given."""
        row = self.database.row(
            "SELECT count(*) FROM question JOIN answer ON answer.question = question.id WHERE player = ?",
            (player.id,),
        )
        return int(row[0]) if row else 0


def answer_of(told: Mapping[str, Any]) -> Answer:
    """The answer with these fields, the others as usual."""
    # Past the frozen class's own initialiser, which takes nine times as long (9 microseconds an answer): half the
    # time of reading a long log.
    answer = object.__new__(Answer)
    answer.__dict__.update(_USUAL, **told)
    return answer


def _answer(question: Row, row: Row) -> Answer:
    answer = object.__new__(Answer)  # as in ``answer_of``; here not even a table of fields is built first
    kept = answer.__dict__
    _, _, kept["attempt"], kept["at"], kept["level"], kept["meter"], kept["bar"], *played = question
    kept["orchestration"], kept["tempo"], kept["hearings"], kept["slower"], *asked = played
    kept["kind"], kept["ability"], choices, met = asked
    kept["choices"], kept["met"] = _counts(choices), _counts(met)
    _, _, kept["beat"], kept["heard"], kept["said"], kept["seconds"], kept["share"], unsure, *picked = row
    kept["unsure"] = unsure == 1
    kept["changes"], kept["alone"], kept["reason"], kept["probability"] = picked
    return answer


def _keep_question(connection: sqlite3.Connection, player: Player, one: Logged) -> int:
    if fault := TIME.fault("the time", one.answer.at):
        raise RecordsError(f"this answer can't be kept: {fault}; set the clock of this machine")
    return connection.execute(_KEEP_QUESTION, (player.id, one.question, *_question_values(one.answer))).rowcount


def _where(player: Player, wanted: Wanted) -> tuple[str, list[object]]:
    """The SQL condition on the questions of the wanted answers, and its values."""
    conditions: dict[str, object] = {"player = ?": player.id}
    if wanted.level is not None:
        conditions["level = ?"] = wanted.level
    if wanted.since is not None:
        conditions["at >= ?"] = wanted.since
    if wanted.ability is not None:
        conditions["ability = ?"] = wanted.ability
    return " AND ".join(conditions), list(conditions.values())
