"""Copies of the records: one a day by itself, and on demand."""

import sqlite3
from contextlib import closing
from pathlib import Path

from game.records.database import Database
from game.records.errors import RecordsError, explaining
from game.records.folders import check_target, day, made_folder, written_whole
from game.records.inspection import check_file, inspect
from shared.files import shown

KEPT = 7
"""Daily backups kept."""


def backup_folder(folder: Path) -> Path:
    """The folder of the daily backups within a data folder."""
    return folder / "backups"


def copy_to(source: Database, path: Path) -> None:
    """Write a whole copy of an open database to ``path``, in place of what lies there.

    The database may be in use: SQLite's own backup sees to it that the copy is of one moment.
    """
    with written_whole(path) as draft, explaining(path), closing(sqlite3.connect(draft)) as target:
        source.copy_to(target)


def back_up(database: Database, path: Path) -> None:
    """Write a backup to a file of the player's choice.  Only an older backup is ever replaced."""
    if database.path and path.absolute() == database.path.absolute():
        raise RecordsError(f"{shown(path)} is the records file itself; choose another name for the backup")
    check_target(path, is_sound, "backup of records")
    copy_to(database, path)


def back_up_daily(database: Database, folder: Path, now: float) -> None:
    """Make today's backup where there is none yet, and keep the last seven."""
    today = backup_folder(folder) / f"records-{day(now)}.sqlite"
    # The first start of a day settles it: what goes wrong during the day is then not in it.
    if today.exists():
        return
    made_folder(today.parent)
    copy_to(database, today)
    # Those of days to come stand last and so go first: a wrong clock must not push the good ones out.
    others = [path for path in _dated(folder, now) if path != today]
    # Today's own makes up the number.
    for old in others[KEPT - 1 :]:
        old.unlink(missing_ok=True)


def _dated(folder: Path, now: float) -> list[Path]:
    """The daily backups, the latest first; behind them those of days to come, which a wrong clock made."""
    ahead = dated_ahead(folder, now)
    return [path for path in _daily(folder) if path not in ahead] + ahead


def _daily(folder: Path) -> list[Path]:
    try:
        # Copies that were asked for, or made before a player was removed, have other names: they are never cleared
        # away.
        return sorted(backup_folder(folder).glob("records-????-??-??.sqlite"), reverse=True)
    except OSError:  # no folder can have that name, or it may not be looked into
        return []


def dated_ahead(folder: Path, now: float) -> list[Path]:
    """The daily backups whose names tell of a day to come: the clock was wrong when they were made, or is now."""
    today = backup_folder(folder) / f"records-{day(now)}.sqlite"
    return [path for path in _daily(folder) if path.name > today.name]


def newest_backup(folder: Path, now: float) -> Path | None:
    """The latest daily backup that is sound, if there is one; one of a day to come only where there is no other."""
    return next((path for path in _dated(folder, now) if is_sound(path)), None)


def is_sound(path: Path) -> bool:
    """Whether the file is a sound records file of a version that can be read here."""
    try:
        return look_through(path)
    except RecordsError:
        return False


def look_through(path: Path) -> bool:
    """As ``inspect``, of a file that nobody has opened here; nothing is changed or made."""
    check_file(path)
    # Read-only by the address: a plain connection would make a missing file, and roll back a journal that it finds.
    with explaining(path), closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
        return inspect(connection, path)
