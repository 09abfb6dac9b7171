"""Is this file a sound records file, somebody else's, or a damaged one?"""

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from game.records.errors import DamagedRecordsError, NewerRecordsError, RecordsError, explaining
from game.records.schema import APPLICATION_ID, STEPS, Step, expected_tables, tables_of, version_of
from shared.files import shown

_MAGIC = b"SQLite format 3\0"


def inspect(connection: sqlite3.Connection, path: Path, steps: Sequence[Step] = STEPS) -> bool:
    """Look through a records file without changing it.  True where it holds records, False where it is empty.

    Raises ``DamagedRecordsError``, ``NewerRecordsError``, or ``RecordsError`` for the database of another program.
    """
    with explaining(path):
        tables = tables_of(connection)
        if not tables and version_of(connection) == 0:
            _check_emptiness(path)
            return False
        _check_owner(connection, path, tables, steps)
        _check_soundness(connection, path, tables, steps)
    return True


def _check_emptiness(path: Path) -> None:
    # A file of zeros, as a power cut can leave behind, passes for an empty database with SQLite.
    with path.open("rb") as file:
        beginning = file.read(len(_MAGIC))
    if beginning and beginning != _MAGIC:
        raise DamagedRecordsError(f"{shown(path)} is damaged: its beginning is gone")


def _check_owner(connection: sqlite3.Connection, path: Path, tables: dict[str, str], steps: Sequence[Step]) -> None:
    owner = connection.execute("PRAGMA application_id").fetchone()[0]
    if owner != APPLICATION_ID:
        if {"player", "answer"} <= tables.keys():
            raise DamagedRecordsError(f"{shown(path)} is damaged: its mark of ownership has changed")
        raise RecordsError(f"{shown(path)} belongs to another program; move it away or choose another --data-dir")
    version, newest = version_of(connection), steps[-1].version
    if version > newest:
        raise NewerRecordsError(
            f"{shown(path)} was written by a later Drumlin (version {version}; this one reads up to {newest}); "
            "nothing was changed: install the later Drumlin, or choose another --data-dir"
        )


def _check_soundness(connection: sqlite3.Connection, path: Path, tables: dict[str, str], steps: Sequence[Step]) -> None:
    if not expected_tables(version_of(connection), steps).items() <= tables.items():
        raise DamagedRecordsError(f"{shown(path)} is damaged: its tables have changed")
    fault = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if fault != "ok":
        raise DamagedRecordsError(f"{shown(path)} is damaged: {' '.join(fault.split())}")
