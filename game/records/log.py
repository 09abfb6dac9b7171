"""The append-only log of answers: the truth that everything else is replayed from."""

from collections.abc import Sequence
from uuid import UUID

from game.learning.evidence import Answer
from game.records.database import Database, Row
from game.records.players import Player

COLUMNS = (
    "at", "level", "meter", "bar", "beat", "heard", "said", "seconds",
    "orchestration", "tempo", "hearings", "kind", "share",
)  # fmt: skip
"""The columns of an answer, in the order of ``Answer``'s fields."""

_NAMES = ", ".join(COLUMNS)
_INSERT = (
    f"INSERT INTO answer (player, question, place, {_NAMES}) VALUES ({', '.join('?' * (3 + len(COLUMNS)))}) "
    "ON CONFLICT (player, question, place) DO NOTHING"
)


def values_of(answer: Answer) -> tuple[object, ...]:
    """The answer's fields as plain values for SQLite, in the order of ``COLUMNS``."""
    return (
        float(answer.at), answer.level, answer.meter, answer.bar, int(answer.beat), answer.heard, answer.said,
        None if answer.seconds is None else float(answer.seconds),
        answer.orchestration, float(answer.tempo), int(answer.hearings), answer.kind, float(answer.share),
    )  # fmt: skip


class Log:
    """The answers of one records file."""

    _database: Database

    def append(self, player: Player, question: str, answers: Sequence[Answer]) -> int:
        """Keep the answers to one asked bar.  When this returns they are on disk.

        ``question`` is the asked bar's own UUID, from ``new_uuid``: the same question appended again (after an
        error, or from another machine) adds nothing.  Returns how many rows were added.
        """
        question = str(UUID(question))
        rows = [(player.id, question, place, *values_of(answer)) for place, answer in enumerate(answers)]
        return self._database.execute_each(_INSERT, rows)

    def append_rows(self, player: Player, rows: Sequence[tuple[str, int, Answer]]) -> int:
        """Keep many answers at once, each with its question's UUID and its place among that question's rows."""
        values = ((player.id, question, place, *values_of(answer)) for question, place, answer in rows)
        return self._database.execute_each(_INSERT, values)

    def answers(
        self, player: Player, level: str | None = None, since: float | None = None, last: int | None = None
    ) -> list[Answer]:
        """A player's answers, oldest first: of one level, from a time on, or only the ``last`` so many.

        The order is by time, question and place, so that machines whose files were merged agree.
        """
        rows = self.answer_rows(player, level, since, last)
        return [Answer(*row[2:]) for row in rows]

    def answer_rows(
        self, player: Player, level: str | None = None, since: float | None = None, last: int | None = None
    ) -> list[Row]:
        """As ``answers``: each row is the question's UUID, the place in it, and the answer's fields."""
        where, values = _where(player, level, since)
        limit = -1 if last is None else last
        rows = self._database.rows(
            f"SELECT question, place, {_NAMES} FROM answer WHERE {where} "
            "ORDER BY at DESC, question DESC, place DESC LIMIT ?",
            (*values, limit),
        )
        rows.reverse()
        return rows

    def count_answers(self, player: Player) -> int:
        """How many answers a player has given."""
        row = self._database.row("SELECT count(*) FROM answer WHERE player = ?", (player.id,))
        return int(row[0]) if row else 0


def _where(player: Player, level: str | None, since: float | None) -> tuple[str, list[object]]:
    conditions: dict[str, object] = {"player = ?": player.id}
    if level is not None:
        conditions["level = ?"] = level
    if since is not None:
        conditions["at >= ?"] = since
    return " AND ".join(conditions), list(conditions.values())
