"""The paths of a user's data folder and of its parts.  Nothing is looked for or made, but the report of an error."""

import os
import traceback
from contextlib import suppress
from pathlib import Path

import platformdirs

from shared.errors import UserError


class NoHomeError(UserError):
    """There is no usual folder for what is kept.  The message says what would do."""


def data_folder(override: str | os.PathLike[str] | None = None) -> Path:
    """Drumlin's own folder: the one asked for, else the usual one of this system.  It need not exist yet."""
    if override is not None:
        folder = Path(override)
        # ~nobody has no home folder to stand for, and is then taken as it was written.
        with suppress(RuntimeError):
            folder = folder.expanduser()
        try:
            return folder.absolute()
        except OSError:
            raise NoHomeError("the folder you are in is gone; change to another, or write --data-dir whole") from None
    try:
        usual = platformdirs.user_data_path("drumlin", appauthor=False)
    except RuntimeError:
        usual = Path("~")
    # Where nobody knows a home folder, the sign for one stays in the path.
    if not usual.is_absolute():
        raise NoHomeError("no home folder is known for this user (HOME is not set); name a folder with --data-dir")
    return usual


def kept_sounds(folder: Path) -> Path:
    """Where hits of the drums are kept between runs, within the data folder.  It need not exist, nor be backed up."""
    return folder / "cache"


def write_report(folder: Path) -> Path:
    """Write the traceback of the error at hand into the data folder, for whoever mends it; its path.

    Raises ``OSError`` where it can't be written.
    """
    report = folder / "last-error.txt"
    # Broken surrogates of a file's name stand in some messages, and UTF-8 has no place for them.
    report.write_text(traceback.format_exc(), encoding="utf-8", errors="backslashreplace")
    return report


def own_levels(folder: Path) -> Path:
    """Where the player's own level files lie within the data folder.  It need not exist yet."""
    return folder / "levels"
