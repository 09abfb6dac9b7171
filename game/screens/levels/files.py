"""The teacher's own levels on disk: written, copied, taken in, removed."""

from pathlib import Path

from game.records.folders import levels_folder
from game.screens.context import Context
from game.sessions.levels.draft import free_name
from game.sessions.levels.writing import level_text
from shared.files import FileError, write_beside
from shared.levels import (
    Level,
    LevelError,
    find_level,
    level_source,
    load_level,
    own_names,
    shipped_names,
)


def is_own(level: Level) -> bool:
    """Whether a level is a teacher's own, not a shipped one."""
    return level.name not in shipped_names()


def write_level(context: Context, level: Level, like: str = "") -> None:
    """Write an own level to its file, whole or not at all; ``like`` names another that it is a copy of.

    Raises ``FileError`` or ``RecordsError``.
    """
    path = levels_folder(context.data_folder) / f"{level.name}.toml"
    write_beside(path, _text(level, context, like or level.name).encode())
    if context.level.name == level.name:
        # Whoever plays on it goes on with the level as it now is.
        context.choose_level(find_level(level.name, context.own_levels))


def _text(level: Level, context: Context, like: str) -> str:
    """A level's text: what it shares with another, or with itself as it was, stays as the teacher wrote it."""
    try:
        return level_text(level, level_source(like, context.own_levels))
    except LevelError:
        # Its file is gone, or faulty by now: the level is written anew, without comments to keep.
        return level_text(level)


def new_name(context: Context, wanted: str) -> str:
    """A name for an own level that no level has."""
    return free_name(wanted, (*shipped_names(), *own_names(context.own_levels)))


def take_in(context: Context, path: Path) -> Level:
    """Take a copy of a level file, as it was written, among the own levels.

    Raises ``LevelError`` with every fault, ``FileError`` or ``RecordsError``; then nothing has changed.
    """
    # Read before anything is written: no faulty file may come among the own levels.
    load_level(path)
    # Another name where there is one like it: a file that is dropped never replaces a level.
    name = new_name(context, path.stem)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(f"{path}: cannot be read ({error.strerror or error})") from error
    write_beside(levels_folder(context.data_folder) / f"{name}.toml", data)
    return find_level(name, context.own_levels)


def remove_level(context: Context, level: Level) -> None:
    """Remove an own level's file.  Raises ``FileError``.  Whoever plays on it goes back to the first level."""
    path = context.own_levels / f"{level.name}.toml"
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise FileError(f"{path}: it can't be removed ({error.strerror or error})") from error
    if context.level.name == level.name:
        context.choose_level(find_level(shipped_names()[0]))
