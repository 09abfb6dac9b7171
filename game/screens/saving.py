"""Files that a screen writes when asked: into a folder of the player's data, with a line that says where."""

import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pygame
from pygame import Surface

from game.records import RecordsError
from game.records.folders import day, made_folder, unused
from game.screens.base import Screen
from game.screens.context import Context
from game.widgets.look import Look
from game.widgets.theme import LIGHT
from shared.files import FileError, slug, write_beside

FOLDER = "reports"

PICTURE_SIZE = (1920, 1080)
"""The size of a page as a picture, in pixels: large, whatever the window."""


def save(context: Context, title: str, ending: str, data: bytes) -> str:
    """Write a file named by title, player and day, never over another; returns the line for the screen."""
    try:
        path = new_path(context, title, ending)
        write_beside(path, data)
    except (FileError, RecordsError) as error:
        return str(error)
    return saved_words(path)


def save_and_tell(screen: Screen, title: str, ending: str, write: Callable[[Path], None]) -> None:
    """Have a file written that is named by title and day, and say on a screen where it lies, or why it does not."""
    try:
        path = new_path(screen.context, title, ending)
        write(path)
    except (FileError, RecordsError) as error:
        screen.tell(str(error))
    else:
        screen.tell(saved_words(path), warns=False)


def new_path(context: Context, title: str, ending: str) -> Path:
    """Where a file named by title and day goes; no file is there yet.  Raises ``FileError`` or ``RecordsError``."""
    folder = made_folder(context.data_folder / FOLDER)
    return unused(folder / f"{slug(title) or 'report'}-{day(context.now())}{ending}")


def saved_words(path: Path) -> str:
    """The line that tells of a file that was written."""
    return f"Saved as {shown_path(path)}"


def saved_in(context: Context) -> Path:
    """The folder that ``save`` writes to."""
    return context.data_folder / FOLDER


def shown_path(path: Path) -> str:
    """A path as people know it: from the home folder on, where it lies there."""
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    # It lies elsewhere, or there is no home folder.
    except (ValueError, RuntimeError):
        return str(path)


def page_as_png(screen: Screen) -> bytes:
    """The bytes of a PNG of the page in the light theme."""
    # Light whatever the player's theme is: the picture is for a message or for paper.
    canvas, look = Surface(PICTURE_SIZE), Look(PICTURE_SIZE, LIGHT)
    screen.lay_out(look)
    screen.paint(canvas, look)
    # It was laid out for the picture: the window must do so anew.
    screen.stale = True
    file = io.BytesIO()
    pygame.image.save(canvas, file, "page.png")
    return file.getvalue()


def open_folder(folder: Path) -> str:
    """Open the folder in the system's own program for files; returns a line that says where it is."""
    try:
        made_folder(folder)
        if sys.platform == "win32":
            os.startfile(folder)
        else:
            opener = "open" if sys.platform == "darwin" else "xdg-open"
            # Its words are for a terminal, and it stays open as long as the folder is looked at.
            quiet = subprocess.DEVNULL
            subprocess.Popen([opener, str(folder)], stdin=quiet, stdout=quiet, stderr=quiet, start_new_session=True)
    except RecordsError as error:
        return str(error)
    except OSError:
        return f"No program was found here that opens folders. It is {shown_path(folder)}"
    return f"The folder is {shown_path(folder)}"
