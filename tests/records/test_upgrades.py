"""Upgrades of the tables: whole, or not at all."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from game.records import Records, RecordsError
from game.records.opening import open_database
from game.records.schema import STEPS, Step, expected_tables, statements, tables_of, upgrade, version_of
from tests.records.record_samples import DAY, NOW, bar, uuid

SECOND = Step(
    2,
    "A note on each player, and the old names in capitals.",
    """
    ALTER TABLE player ADD COLUMN note TEXT NOT NULL DEFAULT '';
    -- Another table; this comment has a semicolon in it.
    CREATE TABLE weather (day TEXT PRIMARY KEY, rain REAL) STRICT;
    UPDATE player SET name = upper(name);
    """,
)
BROKEN = replace(SECOND, sql=SECOND.sql + "INSERT INTO nowhere VALUES (1);")


@pytest.fixture
def file(folder: Path) -> Path:
    """A records file of the first version."""
    with Records.open(folder, NOW) as records:
        records.append(records.add_player("Wren", NOW), uuid(1), bar())
    return folder / "records.sqlite"


@pytest.fixture
def connection(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection to that file."""
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        yield opened


def test_versions_tell_one_story() -> None:
    """Versions count up from 1 and each says what it brought."""
    assert [step.version for step in STEPS] == list(range(1, len(STEPS) + 1))
    assert all(step.story.endswith(".") for step in STEPS)


def test_an_upgrade_brings_everything(connection: sqlite3.Connection) -> None:
    """After an upgrade the new tables are there, with the old rows in them."""
    upgrade(connection, [*STEPS, SECOND])
    assert version_of(connection) == 2
    assert connection.execute("SELECT name, note FROM player").fetchall() == [("WREN", "")]
    assert tables_of(connection) == expected_tables(2, [*STEPS, SECOND])


def test_an_upgrade_broken_halfway_changes_nothing(file: Path, connection: sqlite3.Connection) -> None:
    """When the last statement fails, the first has not happened either: the file is the same, byte for byte."""
    before = file.read_bytes()
    with pytest.raises(sqlite3.OperationalError, match="no such table: nowhere"):
        upgrade(connection, [*STEPS, BROKEN])
    assert version_of(connection) == 1
    assert "weather" not in tables_of(connection)
    assert file.read_bytes() == before


class Stopping(sqlite3.Connection):
    """A connection that fails at one statement of a transaction, as with a full disk."""

    left = 1_000_000

    def execute(self, sql: str, *values: object) -> sqlite3.Cursor:  # type: ignore[override]
        """Run a statement, or fail."""
        self.left -= self.in_transaction
        if self.left == 0 and sql != "ROLLBACK":
            raise sqlite3.OperationalError("database or disk is full")
        return super().execute(sql, *values)  # type: ignore[arg-type]


STATEMENTS = 1 + 3 + 2 + 1
"""Inside the upgrade to ``SECOND``: the version read again, three statements, two marks, the commit."""


@pytest.mark.parametrize("stop", range(1, STATEMENTS + 1))
def test_an_upgrade_stopped_anywhere_changes_nothing(file: Path, stop: int) -> None:
    """Whichever statement fails, the file is wholly old, and the next attempt goes through."""
    with closing(sqlite3.connect(file, isolation_level=None, factory=Stopping)) as connection:
        connection.left = stop
        with pytest.raises(sqlite3.OperationalError, match="disk is full"):
            upgrade(connection, [*STEPS, SECOND])
        assert version_of(connection) == 1
        assert tables_of(connection) == expected_tables(1)
        assert connection.execute("SELECT name FROM player").fetchall() == [("Wren",)]
        upgrade(connection, [*STEPS, SECOND])
        assert version_of(connection) == 2


def test_a_broken_upgrade_is_told_in_one_line(file: Path) -> None:
    """The player reads which file it was, and the file still opens as before."""
    with pytest.raises(RecordsError, match=r"records\.sqlite refused this: no such table: nowhere"):
        open_database(file.parent, NOW, steps=[*STEPS, BROKEN])
    with Records.open(file.parent, NOW) as records:
        assert records.answers(records.find_player("Wren")) == bar()


def test_a_backup_comes_before_an_upgrade(file: Path) -> None:
    """The day's backup still has the tables as they were."""
    database, _ = open_database(file.parent, NOW + 30 * DAY, steps=[*STEPS, SECOND])
    database.close()
    (backup,) = (file.parent / "backups").iterdir()
    with closing(sqlite3.connect(backup)) as old, closing(sqlite3.connect(file)) as new:
        assert (version_of(old), version_of(new)) == (1, 2)


def test_an_upgrade_happens_once(connection: sqlite3.Connection) -> None:
    """Upgrading what is new already does nothing."""
    for _ in range(2):
        upgrade(connection, [*STEPS, SECOND])
    assert version_of(connection) == 2


def test_statements_are_told_apart() -> None:
    """A semicolon in a comment or a text ends nothing."""
    sql = "CREATE TABLE a (b TEXT); -- one; two\nINSERT INTO a VALUES ('c;\nd');\n"
    with closing(sqlite3.connect(":memory:")) as memory:
        for statement in statements(sql):
            memory.execute(statement)
        assert memory.execute("SELECT b FROM a").fetchall() == [("c;\nd",)]
