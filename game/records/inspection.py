"""Inspects a file: whether it holds sound records, damaged ones, or the data of another program."""

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from game.records.errors import DamagedRecordsError, NewerRecordsError, RecordsError, explaining
from game.records.schema import APPLICATION_ID, MIGRATIONS, Migration, expected_tables, tables_of, version_of
from shared.files import shown

_TREE_KINDS, _TREE_HEADER = (2, 5, 10, 13), 8
"""The first byte of a page of rows or of an index, and its header's length; bytes 3 and 4 tell how many cells it has.

Source: SQLite's "Database File Format", section 1.6.
"""


def check_file(path: Path) -> None:
    """Raise ``RecordsError`` where a folder lies in place of the records file."""
    if path.is_dir():
        raise RecordsError(f"{shown(path)} is a folder where the records should be; move it elsewhere")


def inspect(connection: sqlite3.Connection, path: Path, steps: Sequence[Migration] = MIGRATIONS) -> bool:
    """Look through a records file without changing it.  True where it holds records, False where it is empty.

    Raises ``DamagedRecordsError``, ``NewerRecordsError``, or ``RecordsError`` for the database of another program.
    """
    with explaining(path):
        # In one transaction: another process may be writing the first tables just now.
        connection.execute("BEGIN")
        try:
            return _holds_records(connection, path, steps)
        finally:
            connection.execute("ROLLBACK")


def _holds_records(connection: sqlite3.Connection, path: Path, steps: Sequence[Migration]) -> bool:
    tables = tables_of(connection)
    if not tables and version_of(connection) == 0:
        # SQLite takes a file of one byte for an empty database.
        if path.stat().st_size and not connection.execute("PRAGMA page_count").fetchone()[0]:
            raise DamagedRecordsError(f"{shown(path)} is damaged: its beginning is gone")
        return False
    _check_owner(connection, path, tables, steps)
    _check_soundness(connection, path, tables, steps)
    return True


def _check_owner(
    connection: sqlite3.Connection, path: Path, tables: dict[str, str], steps: Sequence[Migration]
) -> None:
    owner = connection.execute("PRAGMA application_id").fetchone()[0]
    if owner != APPLICATION_ID:
        # Our tables without our mark are our own file with a fault in its first page, and nobody else's.
        if {"player", "answer"} <= tables.keys():
            raise DamagedRecordsError(f"{shown(path)} is damaged: its mark of ownership has changed")
        raise RecordsError(f"{shown(path)} belongs to another program; move it away or choose another --data-dir")
    version, newest = version_of(connection), steps[-1].version
    if version > newest:
        raise NewerRecordsError(
            f"{shown(path)} was written by a later Drumlin (version {version}; this one reads up to {newest}); "
            "nothing was changed: install the later Drumlin, or choose another --data-dir"
        )


def _check_soundness(
    connection: sqlite3.Connection, path: Path, tables: dict[str, str], steps: Sequence[Migration]
) -> None:
    if not expected_tables(version_of(connection), steps).items() <= tables.items():
        raise DamagedRecordsError(f"{shown(path)} is damaged: its tables have changed")
    # The full check also holds every index to its table: an answer that its index has lost would not be found.
    fault = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if fault != "ok":
        raise DamagedRecordsError(f"{shown(path)} is damaged: {' '.join(fault.split())}")
    if _lacks_its_end(connection, path):
        raise DamagedRecordsError(f"{shown(path)} is damaged: its end is missing")


def _lacks_its_end(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether the file is cut short within a last page that held something.

    SQLite reads what is missing there as zeros, as the end of an answer for one, and finds nothing wrong with it.
    """
    size, pages = (connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_size", "page_count"))
    if path.stat().st_size >= size * pages:
        return False
    with path.open("rb") as file:
        file.seek(size * (pages - 1))
        header = file.read(_TREE_HEADER)
    empty = len(header) == _TREE_HEADER and header[0] in _TREE_KINDS and header[3:5] == b"\0\0"
    return not empty
