"""Where the records live, and how files there are named and written."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import platformdirs

from game.records.errors import RecordsError

RECORDS_NAME = "records.sqlite"


def data_folder(override: str | os.PathLike[str] | None = None) -> Path:
    """Drumlin's own folder: the one asked for, else the usual one of this system.  It need not exist yet."""
    if override is not None:
        return Path(override).expanduser().absolute()
    return platformdirs.user_data_path("drumlin", appauthor=False)


def levels_folder(folder: Path) -> Path:
    """Where the player's own level files lie within the data folder; made if it is missing."""
    return made_folder(folder / "levels")


def made_folder(folder: Path) -> Path:
    """The folder, made if it is missing.  Raises ``RecordsError`` where that can't be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or error
        raise RecordsError(f"{folder} can't be used as a folder: {reason}; choose another with --data-dir") from error
    return folder


def day(now: float) -> str:
    """The local date, like "2026-11-25"."""
    return _local(now).strftime("%Y-%m-%d")


def minute(now: float) -> str:
    """The local date and time for a file name, like "2026-11-25-0731"."""
    return _local(now).strftime("%Y-%m-%d-%H%M")


def _local(now: float) -> datetime:
    try:
        return datetime.fromtimestamp(now)
    except (ValueError, OverflowError, OSError):
        return datetime(1970, 1, 1)


def unused(path: Path) -> Path:
    """The path itself where nothing lies there, else the first free one with a number: "records-2.sqlite"."""
    number, free = 2, path
    while free.exists() or free.is_symlink():
        free = path.with_stem(f"{path.stem}-{number}")
        number += 1
    return free


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """A path beside ``path`` to write to, which takes its place when the block ends well, and goes when not.

    Raises ``RecordsError`` where the file can't be written.
    """
    draft = path.with_name(f".{path.name[:40]}.{os.getpid()}.part")
    try:
        yield draft
        draft.replace(path)
    except OSError as error:
        raise RecordsError(f"{path} can't be written: {error.strerror or error}; choose another place") from error
    finally:
        draft.unlink(missing_ok=True)
