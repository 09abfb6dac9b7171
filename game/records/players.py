"""The players in the records: pupils, and classes that answer together."""

import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import count
from typing import Literal, cast
from uuid import UUID

from game.records.checks import is_plain, is_visible
from game.records.database import Database, Row
from game.records.errors import RecordsError

PlayerKind = Literal["player", "class"]

PLAYER_KINDS = ("player", "class")

LONGEST_NAME = 40
"""The most characters of a name."""

UNNAMED = "Player 1"
"""The name of a player who has not given one yet."""


@dataclass(frozen=True)
class Player:
    """A player or a class.  ``uuid`` is the same on every machine; ``created`` is in seconds since the epoch."""

    id: int
    uuid: str
    name: str
    kind: PlayerKind
    created: float


def clean_name(name: str) -> str:
    """The name with its spaces in order.  Raises ``RecordsError`` unless 1 to 40 printable characters remain."""
    name = " ".join(unicodedata.normalize("NFC", name).split())
    if not name:
        raise RecordsError("a name needs at least one character")
    if len(name) > LONGEST_NAME:
        raise RecordsError(
            f"the name {name[:LONGEST_NAME]!r}... has {len(name)} characters; use at most {LONGEST_NAME}"
        )
    if not is_plain(name):
        raise RecordsError(f"the name {name!r} holds a control character or half a character; leave it out")
    if not is_visible(name):
        raise RecordsError(f"the name {name!a} holds a letter that can't be seen or turns the line; leave it out")
    return name


def name_key(name: str) -> str:
    """The name as it is compared: letter case and look-alike forms make no difference."""
    # Folding letter case can leave the normal form, so it is restored (Unicode Standard, section 3.13).
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


def numbered_names(name: str) -> Iterator[str]:
    """A name, and then the same with each number from 2 on, as people count: Wren, Wren (2), Wren (3)."""
    yield name
    for number in count(2):
        ending = f" ({number})"
        # The name is cut, not its number, where both are too long together.
        yield name[: LONGEST_NAME - len(ending)].rstrip() + ending


def _player(row: Row) -> Player:
    return Player(row[0], row[1], row[2], cast(PlayerKind, row[3]), row[4])


_SELECT = "SELECT id, uuid, name, kind, created FROM player"


class Players:
    """The players of one records file."""

    database: Database
    _new_uuid: Callable[[], str]

    def add_player(
        self, name: str, now: float, kind: PlayerKind = "player", uuid: str | None = None, recent: bool = True
    ) -> Player:
        """Add a player or a class, who then counts as the most recent unless ``recent`` is False.

        ``uuid`` is the one known from another machine.  Raises ``RecordsError`` for a name that is taken or can't
        be one.
        """
        name = clean_name(name)
        uuid = str(UUID(uuid)) if uuid else self._new_uuid()
        # Looked for under the lock for writing: another window may be adding the same name right now.
        with self.database.transaction() as connection:
            self._check_free(name)
            connection.execute(
                "INSERT INTO player (uuid, name, name_key, kind, created, turn) "
                "VALUES (?, ?, ?, ?, ?, iif(?, (SELECT ifnull(max(turn), 0) + 1 FROM player), 0))",
                (uuid, name, name_key(name), kind, float(now), recent),
            )
        return self._known(uuid)

    def rename_player(self, player: Player, name: str) -> Player:
        """Give a player another name.  Raises ``RecordsError`` for a name that is taken or can't be one."""
        name = clean_name(name)
        with self.database.transaction() as connection:
            # Capitals or accents alone may change: the name is taken then, but by this player.
            if name_key(name) != name_key(player.name):
                self._check_free(name)
            connection.execute(
                "UPDATE player SET name = ?, name_key = ? WHERE id = ?", (name, name_key(name), player.id)
            )
        return self._known(player.uuid)

    def _check_free(self, name: str) -> None:
        taken = self.player_named(name)
        if taken:
            raise RecordsError(f"there is already a {taken.kind} called {taken.name!r}; choose another name")

    def remove_player(self, player: Player) -> None:
        """Remove a player and all that is kept of them.  A backup of the whole file is the caller's to make first."""
        with self.database.transaction() as connection:
            # Asked of the file itself, so that no table that a later version adds can be forgotten here.
            tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
            links = [
                (table, row[3], row[2])
                for table in tables
                for row in connection.execute(f"PRAGMA foreign_key_list({table})")
            ]
            # What belongs to a question goes before the questions, and these before the player.
            for table, column, parent in links:
                if parent != "player":
                    inner = f"SELECT id FROM {parent} WHERE player = ?"
                    connection.execute(f"DELETE FROM {table} WHERE {column} IN ({inner})", (player.id,))
            for table, column, parent in links:
                if parent == "player":
                    connection.execute(f"DELETE FROM {table} WHERE {column} = ?", (player.id,))
            connection.execute("DELETE FROM player WHERE id = ?", (player.id,))

    def choose_player(self, player: Player) -> None:
        """Make this player the most recent."""
        self.database.execute("UPDATE player SET turn = (SELECT max(turn) + 1 FROM player) WHERE id = ?", (player.id,))

    def most_recent_player(self, kind: PlayerKind | None = None) -> Player | None:
        """The player that was added or chosen last, if there is one."""
        return next(iter(self.players(kind)), None)

    def players(self, kind: PlayerKind | None = None) -> list[Player]:
        """All players and classes, or those of one kind: the most recent first."""
        kinds = [kind] if kind else PLAYER_KINDS
        marks = ", ".join("?" * len(kinds))
        rows = self.database.rows(f"{_SELECT} WHERE kind IN ({marks}) ORDER BY turn DESC, id DESC", tuple(kinds))
        return [_player(row) for row in rows]

    def player_named(self, name: str) -> Player | None:
        """The player of that name, whatever the letter case."""
        row = self.database.row(f"{_SELECT} WHERE name_key = ?", (name_key(clean_name(name)),))
        return _player(row) if row else None

    def player_with_uuid(self, uuid: str) -> Player | None:
        """The player that has this UUID on every machine."""
        row = self.database.row(f"{_SELECT} WHERE uuid = ?", (uuid,))
        return _player(row) if row else None

    def find_player(self, name: str) -> Player:
        """The player of that name.  Raises ``RecordsError`` that names the nearest, or all there are."""
        found = self.player_named(name)
        if found:
            return found
        names = [player.name for player in self.players()]
        near = get_close_matches(name, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names[:10]) or 'none yet'}"
        raise RecordsError(f"no player is called {name!r}; {hint}")

    def free_name(self, name: str) -> str:
        """The name itself where it is free, else with the first free number: "Wren (2)"."""
        return next(free for free in numbered_names(name) if not self.player_named(free))

    def _known(self, uuid: str) -> Player:
        player = self.player_with_uuid(uuid)
        if player is None:
            raise RecordsError("the player is no longer in these records; choose a player again")
        return player
