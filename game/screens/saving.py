"""Files that a screen writes when asked: into a folder of the player's data, with a line that says where."""

from pathlib import Path

from game.records import RecordsError
from game.records.folders import day, made_folder, unused
from game.screens.context import Context
from shared.files import FileError, slug, write_beside

FOLDER = "reports"


def save(context: Context, title: str, ending: str, data: bytes) -> str:
    """Write a file named by title, player and day, never over another; returns the line for the screen."""
    try:
        folder = made_folder(context.data_folder / FOLDER)
        path = unused(folder / f"{slug(title) or 'report'}-{day(context.now())}{ending}")
        write_beside(path, data)
    except (FileError, RecordsError) as error:
        return str(error)
    return f"Saved as {shown_path(path)}"


def shown_path(path: Path) -> str:
    """A path as people know it: from the home folder on, where it lies there."""
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    except (ValueError, RuntimeError):  # it lies elsewhere, or there is no home folder
        return str(path)
