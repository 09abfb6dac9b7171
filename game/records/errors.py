"""The errors of the records, each in one line that says where and what would do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared.errors import UserError
from shared.files import shown


class RecordsError(UserError):
    """The records can't be read or written.  The message is one line for the player."""


class DamagedRecordsError(RecordsError):
    """The file is no sound database: cut short, overwritten, or changed by a failing disk."""


class LockedRecordsError(RecordsError):
    """Another program holds the file; it is sound, and can be used as soon as that lets go."""


class NewerRecordsError(RecordsError):
    """The file was written by a later version of Drumlin."""


IN_USE = "is in use by another program; close other Drumlin windows and try again"

# By SQLite's primary result codes (sqlite.org, "Result and Error Codes").
_BY_CODE: dict[int, tuple[type[RecordsError], str]] = {
    sqlite3.SQLITE_BUSY: (LockedRecordsError, IN_USE),
    sqlite3.SQLITE_LOCKED: (LockedRecordsError, IN_USE),
    sqlite3.SQLITE_FULL: (RecordsError, "can't be written: the disk is full; free some space and try again"),
    sqlite3.SQLITE_READONLY: (RecordsError, "can't be written: the file or its folder is read-only; allow writing"),
    sqlite3.SQLITE_PERM: (RecordsError, "can't be written: the file or its folder is read-only; allow writing"),
    sqlite3.SQLITE_CANTOPEN: (RecordsError, "can't be opened; look whether its folder is there and may be written"),
    sqlite3.SQLITE_IOERR: (RecordsError, "can't be read or written: the disk reports a fault; check it, keep a copy"),
    sqlite3.SQLITE_CORRUPT: (DamagedRecordsError, "is damaged; start Drumlin again to set it aside and offer a backup"),
    sqlite3.SQLITE_NOTADB: (DamagedRecordsError, "is no database; start Drumlin again to set it aside"),
}

_EMPTY = " was emptied; start Drumlin again, which then offers a backup"

_NO_TEXT = " is damaged: it holds text that is no UTF-8"


def _place(path: Path | None) -> str:
    return shown(path) if path else "the records in memory"


def explained(error: sqlite3.Error, path: Path | None) -> RecordsError:
    """SQLite's error as one of ours, naming the file."""
    place = _place(path)
    # Told by its words alone: Python raises this one itself, and gives it no code of SQLite's.
    if "decode to UTF-8" in str(error):
        return DamagedRecordsError(f"{place}{_NO_TEXT}")
    code = getattr(error, "sqlite_errorcode", None)
    # The low byte is the kind of error; an extended code adds where in SQLite it happened.
    if code is not None and code & 0xFF in _BY_CODE:
        kind, what = _BY_CODE[code & 0xFF]
        return kind(f"{place} {what}")
    # To SQLite an empty file is a sound database without tables; emptied while it was open, it is mended by no retry.
    if str(error).startswith("no such table") and path and path.is_file() and not path.stat().st_size:
        return DamagedRecordsError(f"{place}{_EMPTY}")
    return RecordsError(f"{place} refused this: {' '.join(str(error).split())}")


@contextmanager
def explaining(path: Path | None) -> Iterator[None]:
    """Within this block every error of SQLite and of the file system comes out as a ``RecordsError``."""
    try:
        yield
    except sqlite3.Error as error:
        raise explained(error, path) from error
    except UnicodeDecodeError as error:
        # Python can't read out SQLite's own message, which quotes the spoilt text.
        raise DamagedRecordsError(f"{_place(path)}{_NO_TEXT}") from error
    except OSError as error:
        place = shown(error.filename) if error.filename else _place(path)
        raise RecordsError(f"{place}: {error.strerror or error}; check the folder and its permissions") from error
