"""Fills that players made, and riddles made of them, as they are kept."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from game.records.database import Database
from game.records.players import Player, clean_name, name_key


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
    """A fill that ``asker`` asks another player to name by ear; ``at`` in seconds since the epoch.

    Once answered, ``right`` says how many of its ``beats`` were said rightly at the first try.
    """

    name: str
    asker: str
    at: float
    fill: Any
    setting: Mapping[str, Any]
    beats: int
    right: int | None = None
    id: int = 0


class Fills:
    """The fills and riddles of one records file."""

    _database: Database

    def save_fill(self, player: Player, fill: KeptFill) -> KeptFill:
        """Keep a fill under its name, in place of an older one of that name."""
        name = clean_name(fill.name)
        self._database.execute(
            "INSERT INTO fill (player, name, name_key, count, fill, setting) VALUES (?, ?, ?, ?, ?, ?) "
            "ON CONFLICT (player, name_key) DO UPDATE SET name = excluded.name, count = excluded.count, "
            "fill = excluded.fill, setting = excluded.setting",
            # JSON, not columns: what a fill is may grow, and the records need not know.
            (player.id, name, name_key(name), fill.count, json.dumps(fill.fill), json.dumps(dict(fill.setting))),
        )
        return KeptFill(name, fill.count, fill.fill, fill.setting)

    def fills(self, player: Player) -> list[KeptFill]:
        """A player's fills, by name."""
        rows = self._database.rows(
            "SELECT name, count, fill, setting FROM fill WHERE player = ? ORDER BY name_key", (player.id,)
        )
        return [KeptFill(name, count, json.loads(fill), json.loads(setting)) for name, count, fill, setting in rows]

    def remove_fill(self, player: Player, name: str) -> None:
        """Forget one of a player's fills; one that is not there is no fault."""
        self._database.execute("DELETE FROM fill WHERE player = ? AND name_key = ?", (player.id, name_key(name)))

    def ask_riddle(self, asker: Player, player: Player, riddle: Riddle) -> None:
        """Keep a riddle for a player, in place of one of the same fill and asker that is not answered yet."""
        # Both or neither: a riddle must not be lost because its new form could not be written.
        with self._database.transaction() as connection:
            connection.execute(
                "DELETE FROM riddle WHERE player = ? AND asker = ? AND name = ? AND answered IS NULL",
                (player.id, asker.id, riddle.name),
            )
            connection.execute(
                "INSERT INTO riddle (player, asker, name, at, fill, setting, beats) VALUES (?, ?, ?, ?, ?, ?, ?)",
                (player.id, asker.id, riddle.name, riddle.at, json.dumps(riddle.fill),
                 json.dumps(dict(riddle.setting)), riddle.beats),
            )  # fmt: skip

    def riddles(self, player: Player) -> list[Riddle]:
        """The riddles that a player has not answered yet, the oldest first."""
        return self._riddles("riddle.player = ? AND answered IS NULL", player, "asker")

    def riddles_asked(self, asker: Player) -> list[Riddle]:
        """The riddles that a player asked, the newest first; ``asker`` of each is who was asked."""
        return self._riddles("riddle.asker = ?", asker, "player")[::-1]

    def _riddles(self, which: str, player: Player, other: str) -> list[Riddle]:
        rows = self._database.rows(
            # ``which`` and ``other`` come from the two functions above, never from a player.
            "SELECT riddle.name, player.name, at, fill, setting, beats, right, riddle.id FROM riddle "
            f"JOIN player ON player.id = riddle.{other} WHERE {which} ORDER BY at, riddle.id",
            (player.id,),
        )
        return [
            Riddle(name, asker, at, json.loads(fill), json.loads(setting), beats, right, number)
            for name, asker, at, fill, setting, beats, right, number in rows
        ]

    def answer_riddle(self, riddle: Riddle, right: int, at: float) -> None:
        """Keep what came of a riddle: how many beats were right at the first try."""
        self._database.execute("UPDATE riddle SET answered = ?, right = ? WHERE id = ?", (at, right, riddle.id))
