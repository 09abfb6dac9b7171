"""Upgrades of the tables: whole, or not at all."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from game.records import Exam, Records, RecordsError
from game.records.opening import open_database
from game.records.schema import MIGRATIONS, Migration, expected_tables, statements, tables_of, upgrade, version_of
from game.records.takes import PlaceTiming
from game.wording import local_day
from tests.records.record_samples import DAY, NOW, a_round, bar, uuid

NEWEST = MIGRATIONS[-1].version

NEXT = Migration(
    NEWEST + 1,
    "A note on each player, and the old names in capitals.",
    """
    ALTER TABLE player ADD COLUMN note TEXT NOT NULL DEFAULT '';
    -- Another table; this comment has a semicolon in it.
    CREATE TABLE weather (day TEXT PRIMARY KEY, rain REAL) STRICT;
    UPDATE player SET name = upper(name);
    """,
)
BROKEN = replace(NEXT, sql=NEXT.sql + "INSERT INTO nowhere VALUES (1);")


@pytest.fixture
def file(folder: Path) -> Path:
    """A records file of the newest version."""
    with Records.open(folder, NOW) as records:
        records.append(records.add_player("Wren", NOW), uuid(1), bar())
    return folder / "records.sqlite"


@pytest.fixture
def connection(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection to that file."""
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        yield opened


@pytest.fixture
def first_version(folder: Path) -> Path:
    """A records file as the first version of the tables had it: a bar, a round, an exam and a setting."""
    folder.mkdir()
    path = folder / "records.sqlite"
    with closing(sqlite3.connect(path, isolation_level=None)) as old:
        upgrade(old, MIGRATIONS[:1])
        old.execute("INSERT INTO player VALUES (7, ?, 'Wren', 'wren', 'player', ?, 1)", (uuid(9), NOW))
        old.execute(
            "INSERT INTO question VALUES (3, 7, ?, ?, 'stage-3', '4/4', ?, 'snare', 80.0, 2, 'exam')",
            (uuid(1), NOW, bar()[0].bar),
        )
        for place, one in enumerate(bar()):
            row = 3, place, one.beat, one.heard, one.said, one.seconds, one.share
            old.execute("INSERT INTO answer VALUES (?, ?, ?, ?, ?, ?, ?)", row)
        old.execute(
            "INSERT INTO round VALUES (1, ?, 7, 'stage-3', ?, ?, 40, 31, 14, 640, 10)", (uuid(2), NOW, NOW + 300)
        )
        old.execute(
            "INSERT INTO exam VALUES (1, ?, 7, 'stage-3', ?, ?, 'finished', 0.8, '{}', '[]')", (uuid(3), NOW, NOW + 9)
        )
        old.execute("INSERT INTO player_setting VALUES (7, 'theme', '\"dark\"')")
    return path


def test_records_of_the_first_version_are_brought_along(first_version: Path) -> None:
    """Nothing is lost, what was not yet noted is as usual, and the file is sound and goes on as a new one does."""
    with Records.open(first_version.parent, NOW) as records:
        wren = records.find_player("Wren")
        assert records.answers(wren) == bar(hearings=2, kind="exam")
        assert records.rounds(wren) == [a_round()]
        assert records.exams(wren) == [Exam(uuid(3), "stage-3", NOW, NOW + 9, "finished", 0.8, {}, [])]
        assert records.settings(wren).theme == "dark"
        assert records.append(wren, uuid(1), bar()) == 0
        assert records.append(wren, uuid(4), bar(at=NOW + 1)) == 4
    with closing(sqlite3.connect(first_version)) as connection:
        assert version_of(connection) == NEWEST
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []


def test_timing_kept_by_weeks_goes_to_the_takes_of_those_weeks(tmp_path: Path) -> None:
    """What the fourth version had summed up by weeks is there after the upgrade, and not twice."""
    monday = local_day(NOW) - timedelta(days=local_day(NOW).weekday())
    sums = {"all": [12, 0.25, 0.5], "&": [4, -0.125, 0.25]}
    with closing(sqlite3.connect(tmp_path / "records.sqlite", isolation_level=None)) as old:
        upgrade(old, MIGRATIONS[:4])
        old.execute("INSERT INTO player VALUES (7, ?, 'Wren', 'wren', 'player', ?, 1)", (uuid(9), NOW))
        for number, days in enumerate((0, 0, -7)):
            row = (number, uuid(number), NOW + number + days * DAY)
            old.execute("INSERT INTO take VALUES (?, 7, ?, ?, NULL, 'keys', 60, '[]')", row)
        old.execute("INSERT INTO derived VALUES (7, 'timing', ?)", (json.dumps({monday.isoformat(): sums}),))
    with Records.open(tmp_path, NOW) as records:
        wren = records.find_player("Wren")
        ((_, timing),) = records.timings(wren, NOW - 30 * DAY)
        assert set(timing) == {PlaceTiming("all", 12, 0.25, 0.5), PlaceTiming("&", 4, -0.125, 0.25)}
        assert records.derived(wren, "timing") is None


def test_versions_tell_one_story() -> None:
    """Versions count up from 1 and each says what it brought."""
    assert [step.version for step in MIGRATIONS] == list(range(1, len(MIGRATIONS) + 1))
    assert all(step.story.endswith(".") for step in MIGRATIONS)


def test_an_upgrade_brings_everything(connection: sqlite3.Connection) -> None:
    """After an upgrade the new tables are there, with the old rows in them."""
    upgrade(connection, [*MIGRATIONS, NEXT])
    assert version_of(connection) == NEWEST + 1
    assert connection.execute("SELECT name, note FROM player").fetchall() == [("WREN", "")]
    assert tables_of(connection) == expected_tables(NEWEST + 1, [*MIGRATIONS, NEXT])


def test_an_upgrade_broken_halfway_changes_nothing(file: Path, connection: sqlite3.Connection) -> None:
    """When the last statement fails, the first has not happened either: the file is the same, byte for byte."""
    before = file.read_bytes()
    with pytest.raises(sqlite3.OperationalError, match="no such table: nowhere"):
        upgrade(connection, [*MIGRATIONS, BROKEN])
    assert version_of(connection) == NEWEST
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
"""Inside the upgrade to ``NEXT``: the version read again, three statements, two marks, the commit."""


@pytest.mark.parametrize("stop", range(1, STATEMENTS + 1))
def test_an_upgrade_stopped_anywhere_changes_nothing(file: Path, stop: int) -> None:
    """Whichever statement fails, the file is wholly old, and the next attempt goes through."""
    with closing(sqlite3.connect(file, isolation_level=None, factory=Stopping)) as connection:
        connection.left = stop
        with pytest.raises(sqlite3.OperationalError, match="disk is full"):
            upgrade(connection, [*MIGRATIONS, NEXT])
        assert version_of(connection) == NEWEST
        assert tables_of(connection) == expected_tables(NEWEST)
        assert connection.execute("SELECT name FROM player").fetchall() == [("Wren",)]
        upgrade(connection, [*MIGRATIONS, NEXT])
        assert version_of(connection) == NEWEST + 1


def test_a_broken_upgrade_is_told_in_one_line(file: Path) -> None:
    """The player reads which file it was, and the file still opens as before."""
    with pytest.raises(RecordsError, match=r"records\.sqlite refused this: no such table: nowhere"):
        open_database(file.parent, NOW, steps=[*MIGRATIONS, BROKEN])
    with Records.open(file.parent, NOW) as records:
        assert records.answers(records.find_player("Wren")) == bar()


def test_a_backup_comes_before_an_upgrade(file: Path) -> None:
    """The day's backup still has the tables as they were."""
    database, _ = open_database(file.parent, NOW + 30 * DAY, steps=[*MIGRATIONS, NEXT])
    database.close()
    (backup,) = (file.parent / "backups").iterdir()
    with closing(sqlite3.connect(backup)) as old, closing(sqlite3.connect(file)) as new:
        assert (version_of(old), version_of(new)) == (NEWEST, NEWEST + 1)


def test_an_upgrade_happens_once(connection: sqlite3.Connection) -> None:
    """Upgrading what is new already does nothing."""
    for _ in range(2):
        upgrade(connection, [*MIGRATIONS, NEXT])
    assert version_of(connection) == NEWEST + 1


def test_statements_are_told_apart() -> None:
    """A semicolon in a comment or a text ends nothing."""
    sql = "CREATE TABLE a (b TEXT); -- one; two\nINSERT INTO a VALUES ('c;\nd');\n"
    with closing(sqlite3.connect(":memory:")) as memory:
        for statement in statements(sql):
            memory.execute(statement)
        assert memory.execute("SELECT b FROM a").fetchall() == [("c;\nd",)]
