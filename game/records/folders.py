"""The folders of the records, and how files there are named and written."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from secrets import token_hex

from game.data_folder import own_levels
from game.records.errors import RecordsError
from shared.files import FileError, check_place, check_portable, shown

RECORDS_NAME = "records.sqlite"
"""The name of the records file in the data folder."""


def levels_folder(folder: Path) -> Path:
    """Where the player's own level files lie within the data folder; made if it is missing."""
    return made_folder(own_levels(folder))


def made_folder(folder: Path) -> Path:
    """The folder, made if it is missing.  Raises ``RecordsError`` where that can't be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        # Of a link to nothing the system only says that the file exists, which helps nobody.
        if _leads_nowhere(folder):
            raise RecordsError(
                f"{shown(folder)} is a link to {shown(folder.readlink())}, which is not there; "
                "make that folder, or choose another with --data-dir"
            ) from error
        reason = getattr(error, "strerror", None) or error
        raise RecordsError(
            f"{shown(folder)} can't be used as a folder: {reason}; choose another with --data-dir"
        ) from error
    return folder


def _leads_nowhere(folder: Path) -> bool:
    """Whether a folder is a link to nothing."""
    try:
        return folder.is_symlink() and not folder.exists()
    except (OSError, ValueError):
        # A name that is too long can't even be looked at; then it is no link either.
        return False


def day(now: float) -> str:
    """The local date, like "2026-11-25"."""
    return _local(now).strftime("%Y-%m-%d")


def minute(now: float) -> str:
    """The local date and time for a file name, like "2026-11-25-0731"."""
    # Without a colon, which Windows takes in no name.
    return _local(now).strftime("%Y-%m-%d-%H%M")


def _local(now: float) -> datetime:
    try:
        return datetime.fromtimestamp(now)
    except (ValueError, OverflowError, OSError):
        # A clock that is set to nonsense must not keep the records from opening.
        return datetime(1970, 1, 1)


def unused(path: Path) -> Path:
    """The path itself where nothing lies there, else the first free one with a number: "records-2.sqlite"."""
    number, free = 2, path
    # A link to nothing does not "exist", but its name is taken.
    while free.exists() or free.is_symlink():
        free = path.with_stem(f"{path.stem}-{number}")
        number += 1
    return free


def check_target(path: Path, is_ours: Callable[[Path], bool], what: str) -> None:
    """Raise ``RecordsError`` unless a file can be written there: a new one, or in place of one of ours.

    ``what`` says what one of ours is: "history file".
    """
    try:
        check_place(path)
        check_portable(path)
        foreign = path.exists() and not is_ours(path)
    except FileError as error:
        raise RecordsError(str(error)) from error
    except OSError as error:
        raise RecordsError(f"{shown(path)}: {error.strerror or error}; choose another name") from error
    if foreign:
        raise RecordsError(f"{shown(path)}: a file that is no {what} is there already; choose another name")


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """A draft beside ``path`` to write to: it takes that name when the block ends well, and is removed when not.

    Raises ``RecordsError`` where the file can't be written.
    """
    # Hidden, and with an ending that no search for levels or backups takes up, should a crash leave it behind.
    draft = path.with_name(f".{token_hex(8)}.part")
    try:
        yield draft
        draft.replace(path)
    except OSError as error:
        raise RecordsError(f"{shown(path)}: {error.strerror or error}; choose another place or make room") from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
