"""Takes: what players played, stroke by stroke."""

import json
from dataclasses import dataclass
from typing import NamedTuple

from game.records.database import Database, Row, from_json
from game.records.players import Player


class PlayedStroke(NamedTuple):
    """One stroke of a take: seconds from its beginning, hand ("R", "L", or None), drum, velocity from 0 to 1."""

    seconds: float
    hand: str | None
    drum: str
    velocity: float


class PlaceTiming(NamedTuple):
    """How late the strokes of one place or hand of a take came: how many, and two sums in seconds.

    ``late`` is the sum of the deviations and ``squares`` that of their squares: takes add up to weeks by them.
    """

    name: str
    strokes: int
    late: float
    squares: float


@dataclass(frozen=True)
class Take:
    """One take: the strokes that were played in one go.

    ``uuid`` is its name for ever; ``at`` in seconds since the epoch; ``question`` the ``Question.id`` of the bar that
    was to be played, None for free playing; ``source`` the input, such as keys or pads; ``tempo`` in beats a minute.
    ``timing`` is that of the strokes that were as written, as it was read then; none where nothing was written.
    """

    uuid: str
    at: float
    question: str | None
    source: str
    tempo: float
    strokes: tuple[PlayedStroke, ...]
    timing: tuple[PlaceTiming, ...] = ()


_TAKE = "uuid, at, question, source, tempo, strokes, timing"


def _take(row: Row) -> Take:
    uuid, at, question, source, tempo, strokes, timing = row
    played = tuple(PlayedStroke(*stroke) for stroke in from_json(strokes))
    return Take(uuid, at, question, source, tempo, played, _timing(timing))


def _timing(text: str) -> tuple[PlaceTiming, ...]:
    return tuple(PlaceTiming(*one) for one in from_json(text))


class Takes:
    """The takes of one records file."""

    database: Database

    def keep_take(self, player: Player, take: Take) -> None:
        """Keep a take; one that is already kept under this UUID stays as it is."""
        # Without blanks, since a take has hundreds of strokes.
        strokes, timing = (
            json.dumps(value, separators=(",", ":"), allow_nan=False) for value in (take.strokes, take.timing)
        )
        self.database.execute(
            f"INSERT INTO take (player, {_TAKE}) VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (player, uuid) DO NOTHING",
            (player.id, take.uuid, float(take.at), take.question, take.source, float(take.tempo), strokes, timing),
        )

    def takes(self, player: Player, question: str | None = None, last: int | None = None) -> list[Take]:
        """A player's takes, oldest first: of one question's bar, or only the ``last`` so many."""
        rows = self.database.rows(
            f"SELECT {_TAKE} FROM take WHERE player = ? AND (? IS NULL OR question = ?) "
            "ORDER BY at DESC, id DESC LIMIT ?",
            (player.id, question, question, -1 if last is None else last),
        )
        return [_take(row) for row in reversed(rows)]

    def timings(self, player: Player, since: float) -> list[tuple[float, tuple[PlaceTiming, ...]]]:
        """When a player's takes were played, from a time on (seconds since the epoch), and their timing."""
        rows = self.database.rows(
            "SELECT at, timing FROM take WHERE player = ? AND at >= ? AND timing <> '[]' ORDER BY at",
            (player.id, since),
        )
        return [(at, _timing(timing)) for at, timing in rows]
