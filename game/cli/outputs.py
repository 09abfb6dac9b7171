"""Checks all files that a command is to write, before the first of them is written."""

import os
from collections.abc import Sequence
from pathlib import Path

from game.pieces import KINDS, FileKind
from shared.files import FileError, check_place, check_portable, same_file_key, shown

LOOKED_AT = 4096
"""How many bytes at the beginning of a file tell its kind."""


def checked_outputs(names: Sequence[str], endings: Sequence[str] = tuple(KINDS)) -> list[Path]:
    """The paths to write, every one of which can be written.

    An older file of the same kind may be replaced, any other may not.  Raises ``FileError``.
    """
    paths: list[Path] = []
    # In the order in which a person would mend them: the name first, then the place, then what lies there already.
    for name in names:
        path = Path(name)
        _check_ending(path, endings)
        check_place(path)
        check_portable(path)
        _check_replacing(path)
        _check_apart(path, paths)
        paths.append(path)
    return paths


def _check_apart(path: Path, others: Sequence[Path]) -> None:
    """Refuse a file that is another one of the list, here or on a system that does not tell their names apart."""
    for other in others:
        if path == other:
            raise FileError(f"{shown(path)}: this file is named twice; name each once")
        if same_file_key(path) == same_file_key(other):
            raise FileError(
                f"{shown(path)}: on some systems this is the same file as {shown(other)}; choose another name"
            )


def ending_of(path: Path) -> str:
    """The ending of a file's name, in small letters."""
    return path.suffix.lower()


def _check_ending(path: Path, endings: Sequence[str]) -> None:
    ending = ending_of(path)
    if ending in endings:
        return
    known = ", ".join(endings)
    if ending:
        raise FileError(f"{shown(path)}: files that end in {shown(ending)} are not written; choose from {known}")
    raise FileError(f"{shown(path)}: this has no ending; choose from {known}, and put a count in quotes")


def _check_replacing(path: Path) -> None:
    kind = KINDS[ending_of(path)]
    try:
        # The folder and not the file: files are written beside their place and then renamed.
        if not os.access(path.parent, os.W_OK):
            raise FileError(f"{shown(path)}: the folder {shown(path.parent)} may not be written to; choose another")
        if path.exists() and not _may_replace(path, kind):
            raise FileError(f"{shown(path)}: the file that is there is no {kind.name}; choose another name")
    except OSError as error:
        # It is an ``OSError`` as well, and says already what would do.
        if isinstance(error, FileError):
            raise
        raise FileError(f"{shown(path)}: {error.strerror or error}; choose another name") from error


def _may_replace(path: Path, kind: FileKind) -> bool:
    """An empty file holds nothing to lose; pipes and devices are nobody's to replace."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        head = file.read(LOOKED_AT)
    return not head or kind.owns(head)
