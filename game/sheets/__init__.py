"""A worksheet for a class: pages to print and the sound to play with them."""

import os
from pathlib import Path

from game.sessions.exam.paper import draw_paper
from game.sheets.pages import sheet_pages
from game.sheets.sound import sheet_sound
from shared.errors import UserError
from shared.files import write_together
from shared.levels import Level

MOST_QUESTIONS = 40


class SheetError(UserError, ValueError):
    """A sheet that cannot be made; the message is one line."""


def write_sheet(level: Level, path: str | os.PathLike[str], questions: int = 10, seed: int = 0) -> tuple[Path, Path]:
    """Write a worksheet (.pdf) and its sound (.wav, of the same name beside it); give both paths.

    The same level, questions and seed give the same bytes.  ``questions`` is 1 to 40.  Raises
    ``SheetError`` for any other number or a name that does not end in ``.pdf``, ``FileError`` where a
    file cannot be written; then there is neither.
    """
    pages = Path(path)
    if pages.suffix.lower() != ".pdf":
        raise SheetError(f"{pages.name!r}: a sheet is a .pdf; its sound goes beside it as a .wav of the same name")
    if not 1 <= questions <= MOST_QUESTIONS:
        raise SheetError(f"{questions} questions: choose from 1 to {MOST_QUESTIONS}")
    sound = pages.with_suffix(".wav")
    paper = draw_paper(level, seed, questions)
    printed, played = sheet_pages(level, paper, seed), sheet_sound(paper)
    write_together({pages: printed, sound: played})
    return pages, sound
