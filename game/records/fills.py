"""Fills that players made, and riddles made of them, as they are kept."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from game.records.database import Database, Row, from_json
from game.records.players import Player, clean_name, name_key, numbered_names


@dataclass(frozen=True)
class KeptFill:
    """A fill that a player kept: its name, its count, the fill and how it is played (both what JSON can hold).

    ``fill`` is None for a bar that an earlier Drumlin kept by its count and setting alone.
    """

    name: str
    count: str
    fill: Any = None
    setting: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Riddle:
    """A fill that ``asker`` asks ``player`` to name by ear, both by name; ``at`` in seconds since the epoch.

    Once ``answered``, at a time as well, ``right`` says how many of its ``beats`` were said rightly at the first try,
    and ``said`` which figure was said to each of them, counted on beat 1: nothing where that was not kept.
    """

    name: str
    asker: str
    at: float
    fill: Any
    setting: Mapping[str, Any]
    beats: int
    answered: float | None = None
    right: int | None = None
    said: tuple[str, ...] = ()
    player: str = ""
    uuid: str = ""


class SharedRiddle(NamedTuple):
    """A riddle as the history of one player has it.

    ``mine``: this player asks it; else it is asked of them.  ``other`` is the UUID of the other player, whose name
    stands in the riddle.
    """

    riddle: Riddle
    mine: bool
    other: str


_RIDDLE = (
    "riddle.name, coalesce(asker.name, absent), at, fill, setting, beats, answered, right, said, "
    "coalesce(player.name, absent), riddle.uuid"
)
# A player of another machine has no row here: then the name that came with the riddle stands in.
_PLAYERS = "LEFT JOIN player AS asker ON asker.id = riddle.asker LEFT JOIN player ON player.id = riddle.player"


def _riddle(row: Row) -> Riddle:
    name, asker, at, fill, setting, beats, answered, right, said, player, uuid = row
    said = tuple(from_json(said))
    return Riddle(name, asker, at, from_json(fill), from_json(setting), beats, answered, right, said, player, uuid)


class Fills:
    """The fills and riddles of one records file."""

    database: Database
    _new_uuid: Callable[[], str]

    def save_fill(self, player: Player, fill: KeptFill) -> KeptFill:
        """Keep a fill under its name, in place of an older one of that name."""
        name = clean_name(fill.name)
        self.database.execute(
            "INSERT INTO fill (player, name, name_key, count, fill, setting) VALUES (?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (player, name_key) DO UPDATE SET name = excluded.name, count = excluded.count, "
            "fill = excluded.fill, setting = excluded.setting",
            # JSON, not columns: what a fill is may grow, and the records need not know.
            (player.id, name, name_key(name), fill.count, json.dumps(fill.fill), json.dumps(dict(fill.setting))),
        )
        return KeptFill(name, fill.count, fill.fill, fill.setting)

    def fills(self, player: Player) -> list[KeptFill]:
        """A player's fills, by name."""
        rows = self.database.rows(
            "SELECT name, count, fill, setting FROM fill WHERE player = ? ORDER BY name_key", (player.id,)
        )
        return [KeptFill(name, count, from_json(fill), from_json(setting)) for name, count, fill, setting in rows]

    def remove_fill(self, player: Player, name: str) -> None:
        """Forget one of a player's fills; one that is not there is no fault."""
        self.database.execute("DELETE FROM fill WHERE player = ? AND name_key = ?", (player.id, name_key(name)))

    def bring_fill(self, player: Player, fill: KeptFill) -> bool:
        """Keep a fill of another machine; returns whether it is new here.

        Beside another fill of its name it gets a number: "River (2)".  The same fill is never kept twice.
        """
        here = {name_key(one.name): one for one in self.fills(player)}
        for name in numbered_names(fill.name):
            other = here.get(name_key(name))
            if other is None:
                self.save_fill(player, KeptFill(name, fill.count, fill.fill, fill.setting))
                return True
            if (other.count, other.fill, other.setting) == (fill.count, fill.fill, fill.setting):
                return False
        raise AssertionError("there is always a further number")

    def ask_riddle(self, asker: Player, player: Player, riddle: Riddle) -> None:
        """Keep a riddle for a player, in place of one of the same fill and asker that is not answered yet."""
        # Both or neither: a riddle must not be lost because its new form could not be written.
        with self.database.transaction() as connection:
            connection.execute(
                "DELETE FROM riddle WHERE player = ? AND asker = ? AND name = ? AND answered IS NULL",
                (player.id, asker.id, riddle.name),
            )
            connection.execute(
                "INSERT INTO riddle (uuid, player, asker, name, at, fill, setting, beats, said) "
                "VALUES (?, ?, ?, ?, ?, ?, ?, ?, '[]')",
                (self._new_uuid(), player.id, asker.id, riddle.name, riddle.at, json.dumps(riddle.fill),
                 json.dumps(dict(riddle.setting)), riddle.beats),
            )  # fmt: skip

    def riddles(self, player: Player) -> list[Riddle]:
        """The riddles that a player has not answered yet, the oldest first."""
        return self._riddles("riddle.player = ? AND answered IS NULL", player)

    def riddles_asked(self, asker: Player) -> list[Riddle]:
        """The riddles that a player asked, the newest first."""
        return self._riddles("riddle.asker = ?", asker)[::-1]

    def _riddles(self, which: str, player: Player) -> list[Riddle]:
        # ``which`` comes from the functions above, never from a player.
        sql = f"SELECT {_RIDDLE} FROM riddle {_PLAYERS} WHERE {which} ORDER BY at, riddle.uuid"
        return [_riddle(row) for row in self.database.rows(sql, (player.id,))]

    def answer_riddle(self, riddle: Riddle, right: int, at: float, said: tuple[str, ...] = ()) -> None:
        """Keep what came of a riddle: how many beats were right at the first try, and the figures that were said."""
        self.database.execute(
            "UPDATE riddle SET answered = ?, right = ?, said = ? WHERE uuid = ?",
            (at, right, json.dumps(said), riddle.uuid),
        )

    def remove_riddle(self, riddle: Riddle) -> None:
        """Forget a riddle, answered or not; one that is not there is no fault."""
        self.database.execute("DELETE FROM riddle WHERE uuid = ?", (riddle.uuid,))

    def shared_riddles(self, player: Player) -> list[SharedRiddle]:
        """Every riddle that a player asked or was asked, the oldest first, as a history has them."""
        rows = self.database.rows(
            f"SELECT {_RIDDLE}, riddle.asker = ?, coalesce(asker.uuid, absent_uuid), "
            f"coalesce(player.uuid, absent_uuid) FROM riddle {_PLAYERS} "
            "WHERE riddle.player = ? OR riddle.asker = ? ORDER BY at, riddle.uuid",
            (player.id, player.id, player.id),
        )
        return [
            SharedRiddle(_riddle(tuple(row)), bool(mine), asked if mine else asker) for *row, mine, asker, asked in rows
        ]

    def bring_riddle(self, player: Player, shared: SharedRiddle) -> bool:
        """Keep a riddle of another machine; returns whether it is new here.  One that is here takes an answer over."""
        riddle, mine, uuid = shared
        other = self.database.row("SELECT id FROM player WHERE uuid = ?", (uuid,))
        there = other[0] if other else None
        asked, asker = (there, player.id) if mine else (player.id, there)
        answer = (riddle.answered, riddle.right, json.dumps(riddle.said))
        with self.database.transaction() as connection:
            found = connection.execute("SELECT answered FROM riddle WHERE uuid = ?", (riddle.uuid,)).fetchone()
            if found is None:
                absent = (None, None) if other else (uuid, riddle.player if mine else riddle.asker)
                connection.execute(
                    "INSERT INTO riddle (uuid, player, asker, absent_uuid, absent, name, at, fill, setting, beats, "
                    "answered, right, said) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (riddle.uuid, asked, asker, *absent, riddle.name, riddle.at, json.dumps(riddle.fill),
                     json.dumps(dict(riddle.setting)), riddle.beats, *answer),
                )  # fmt: skip
                return True
            connection.execute(
                # Who was absent when it came in may be a player here by now.
                "UPDATE riddle SET player = coalesce(player, ?), asker = coalesce(asker, ?) WHERE uuid = ?",
                (asked, asker, riddle.uuid),
            )
            # The first answer stands, wherever it was given: a riddle is answered once.
            if found[0] is None:
                connection.execute(
                    "UPDATE riddle SET answered = ?, right = ?, said = ? WHERE uuid = ?", (*answer, riddle.uuid)
                )
        return False
