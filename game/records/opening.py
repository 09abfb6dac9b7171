"""Opening the records file: made when missing, upgraded when old, set aside when damaged, never overwritten."""

import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from game.records.backups import back_up_daily, dated_ahead, newest_backup
from game.records.database import WAIT_SECONDS, Database
from game.records.errors import DamagedRecordsError, RecordsError, explaining
from game.records.folders import RECORDS_NAME, made_folder, minute, unused
from game.records.inspection import check_file, inspect
from game.records.schema import MIGRATIONS, Migration, upgrade
from shared.files import shown


@dataclass(frozen=True)
class Opening:
    """The outcome of opening the records.

    ``notice`` is one or two sentences for the player, or None when all is as usual; ``set_aside`` is where a
    damaged file lies now, and ``backup`` the newest sound backup, worth offering.
    """

    created: bool = False
    notice: str | None = None
    set_aside: Path | None = None
    backup: Path | None = None


def open_database(
    folder: Path, now: float, wait: float = WAIT_SECONDS, steps: Sequence[Migration] = MIGRATIONS
) -> tuple[Database, Opening]:
    """Open the records in a data folder, and tell what was found there.

    Raises ``RecordsError`` where they can't be used, and ``NewerRecordsError`` where a later version wrote them; the
    file is then as it was.
    """
    check_clock(now)
    path = made_folder(folder) / RECORDS_NAME
    _check_writable(path)
    check_file(path)
    try:
        return _open_sound(path, now, wait, steps)
    except DamagedRecordsError as damage:
        # Set aside, never mended and never deleted: whoever knows SQLite may still get the answers out of it.
        aside = set_aside(path, now)
        backup = newest_backup(folder, now)
        offer = _offer(backup, dated_ahead(folder, now))
        notice = f"{damage}. It was set aside as {shown(aside)}, and empty records were begun. {offer}"
        return _open_sound(path, now, wait, steps)[0], Opening(True, notice, aside, backup)


LATEST = 253_370_764_800.0
"""The start of the year 9999, in seconds since the epoch: no calendar of Python's goes further than that year."""


def check_clock(now: float) -> None:
    """Raise ``RecordsError`` where the machine's clock stands at a time that can't be written as a date."""
    if now >= LATEST:
        raise RecordsError("the clock of this machine says that it is the year 9999 or later; set it right first")


def _check_writable(path: Path) -> None:
    # Asked first: SQLite would open a file that is read-only, and refuse the first answer instead.
    for place in (path.parent, path):
        if place.exists() and not os.access(place, os.W_OK):
            raise RecordsError(f"{shown(place)} is read-only; allow writing there or choose another --data-dir")


def _offer(backup: Path | None, ahead: Sequence[Path]) -> str:
    if backup is None:
        return "There is no backup."
    names = ", ".join(path.name for path in ahead)
    put_behind = f" Made while the clock was wrong: {names}." if ahead else ""
    return f"The newest backup is {shown(backup)}: it can be brought back.{put_behind}"


def _open_sound(path: Path, now: float, wait: float, steps: Sequence[Migration]) -> tuple[Database, Opening]:
    was_there = os.path.lexists(path)
    database = Database(path, wait)
    try:
        found = inspect(database.connection, path, steps)
        # Before the upgrade: where that goes wrong, today's backup is of the records as they were.
        notice = _daily(database, path.parent, now) if found else None
        with explaining(path):
            upgrade(database.connection, steps)
        if found:
            return database, Opening(notice=notice)
        return database, _first_opening(path.parent, now)
    except BaseException:
        database.close()
        # What a full disk leaves of a file that was just made is nothing, and would be taken for damage later.
        with suppress(OSError):
            if not was_there and not path.stat().st_size:
                path.unlink()
        raise


def _daily(database: Database, folder: Path, now: float) -> str | None:
    try:
        back_up_daily(database, folder, now)
    except RecordsError as error:
        return f"Today's backup could not be made: {error}."
    return None


def _first_opening(folder: Path, now: float) -> Opening:
    backup = newest_backup(folder, now)
    offer = _offer(backup, dated_ahead(folder, now))
    notice = f"No records were found in {shown(folder)}. {offer}" if backup else None
    return Opening(created=True, notice=notice, backup=backup)


def set_aside(path: Path, now: float) -> Path:
    """Give a damaged file a new name that says so, beside the old one; its journal goes with it."""
    aside = unused(path.with_name(f"records-damaged-{minute(now)}.sqlite"))
    with explaining(path):
        # Journals first: one left behind by a crash would be played into the new, empty file.
        for ending in ("-journal", "-wal", "-shm"):
            side = path.with_name(path.name + ending)
            if side.exists():
                side.rename(aside.with_name(aside.name + ending))
        path.rename(aside)
    return aside
