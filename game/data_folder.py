"""Where everything of this user lies; nothing is looked for or made here."""

import os
from contextlib import suppress
from pathlib import Path

import platformdirs


def data_folder(override: str | os.PathLike[str] | None = None) -> Path:
    """Drumlin's own folder: the one asked for, else the usual one of this system.  It need not exist yet."""
    if override is not None:
        with suppress(RuntimeError):
            return Path(override).expanduser().absolute()
        return Path(override).absolute()
    return platformdirs.user_data_path("drumlin", appauthor=False)


def kept_sounds(folder: Path) -> Path:
    """Where hits of the drums are kept between runs, within the data folder.  It need not exist, nor be backed up."""
    return folder / "cache"


def own_levels(folder: Path) -> Path:
    """Where the player's own level files lie within the data folder.  It need not exist yet."""
    return folder / "levels"
