"""One SQLite connection, and its errors in our words."""

import json
import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from game.records.errors import IN_USE, DamagedRecordsError, LockedRecordsError, RecordsError, explaining
from shared.files import shown

Row = tuple[Any, ...]

WAIT_SECONDS = 5.0
"""How long a locked file is waited for."""


def from_json(text: str) -> Any:
    """The value that a column holds as JSON.  Raises ``DamagedRecordsError`` where it is none any more."""
    try:
        return json.loads(text)
    except ValueError:
        raise DamagedRecordsError(
            f"the records are damaged: {text[:40]!r} can't be read; bring a backup back (drumlin history restore)"
        ) from None


class Database:
    """A records database: whole transactions in, rows out, and every error a ``RecordsError`` naming the file."""

    def __init__(self, path: Path | None, wait: float = WAIT_SECONDS) -> None:
        """Open ``path``, or a database in memory for None.  ``wait``: seconds to wait for a locked file."""
        self.path = path
        self._wait = wait
        with explaining(path):
            # Without the library's own transactions: they begin and end where ``transaction`` says.
            self.connection = sqlite3.connect(path or ":memory:", timeout=wait, isolation_level=None)
            try:
                self._prepare()
                self._identity = path.stat() if path else None
            except BaseException:
                self.connection.close()
                raise

    def _prepare(self) -> None:
        # One plain file that survives a power cut and lives on a network home: a rollback journal, every commit
        # forced to the disk.  It costs half a millisecond a commit.
        # Foreign keys are off unless asked for.  A schema that is not trusted can't run functions by a view or trigger,
        # should a file that is brought back come from elsewhere (sqlite.org, "Defense Against The Dark Arts").
        for pragma in ("foreign_keys = ON", "trusted_schema = OFF", "synchronous = FULL"):
            self.connection.execute(f"PRAGMA {pragma}")
        if self.path and self._one("PRAGMA journal_mode") != "delete":
            self.connection.execute("PRAGMA journal_mode = DELETE")

    def _one(self, sql: str) -> Any:
        return self.connection.execute(sql).fetchone()[0]

    def close(self) -> None:
        """Close the file; closing twice does nothing."""
        self.connection.close()

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All of the block is on disk when it ends, or none of it; inside another transaction, with that one."""
        if self.connection.in_transaction:
            yield self.connection
            return
        self._check_place()
        with explaining(self.path):
            # The lock for writing is taken at once: taken at the first write, it could be refused half-way through.
            self.connection.execute("BEGIN IMMEDIATE")
            try:
                yield self.connection
                self.connection.execute("COMMIT")
            except BaseException:
                if self.connection.in_transaction:
                    self.connection.execute("ROLLBACK")
                raise

    def _check_place(self) -> None:
        # A file that was deleted or replaced while open would swallow every row without a word.
        if self.path is None or self._identity is None:
            return
        try:
            same = os.path.samestat(self.path.stat(), self._identity)
        except OSError:
            same = False
        if not same:
            raise RecordsError(f"{shown(self.path)} was moved, deleted or replaced; put it back or start Drumlin again")

    def wait_at_most(self, seconds: float) -> None:
        """Wait no longer for a file that another program holds."""
        self._wait = seconds
        self.connection.execute(f"PRAGMA busy_timeout = {round(seconds * 1000)}")

    def knock(self) -> None:
        """Try at once to write, and write nothing.  Raises ``LockedRecordsError`` where another program is at it."""
        with explaining(self.path):
            self.connection.execute("PRAGMA busy_timeout = 0")
            try:
                self.connection.execute("BEGIN IMMEDIATE")
                self.connection.execute("ROLLBACK")
            finally:
                self.wait_at_most(self._wait)

    def copy_to(self, target: sqlite3.Connection) -> None:
        """Copy everything, of one moment, into another database, waiting no longer than for anything else."""
        last = time.monotonic() + self._wait

        def check(status: int, _remaining: int, _total: int) -> None:
            # SQLite's own copying waits for a locked file without end.
            if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() >= last:
                raise LockedRecordsError(f"{shown(self.path or '')} {IN_USE}")

        with explaining(self.path):
            self.connection.backup(target, progress=check, sleep=0.05)

    def execute(self, sql: str, values: Sequence[object] = ()) -> None:
        """Run one statement in a transaction of its own."""
        with self.transaction() as connection:
            connection.execute(sql, values)

    def rows(self, sql: str, values: Sequence[object] = ()) -> list[Row]:
        """All rows of a query."""
        with explaining(self.path):
            try:
                return self.connection.execute(sql, values).fetchall()
            except sqlite3.OperationalError as error:
                if "UTF-8" not in str(error):
                    raise
                # One letter was changed by a failing disk: the other rows are still worth having.
                self.connection.text_factory = _lenient
                return self.connection.execute(sql, values).fetchall()

    def row(self, sql: str, values: Sequence[object] = ()) -> Row | None:
        """The first row of a query, if there is one."""
        return next(iter(self.rows(sql, values)), None)


def _lenient(text: bytes) -> str:
    return text.decode("utf-8", "replace")
