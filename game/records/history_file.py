"""Reads and writes whole history files: read as a stream, with all faults reported at once, written whole."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from game.records.errors import RecordsError, explaining
from game.records.history_lines import Item, LineError, Owner, read_header, read_line
from shared.files import FileError, shown, write_beside

LONGEST_LINE = 2**24
"""Bytes of one line that are read: more than anything that is written takes."""

FAULTS_SHOWN = 20
"""How many faults of a file are named; further ones are only counted."""

TOLD_EVERY = 5000
"""Progress is reported every so many lines."""


class HistoryError(RecordsError):
    """A history file that can't be used; nothing was taken from it.

    ``faults`` has a line for each fault, the first ``FAULTS_SHOWN`` of so ``many``.
    """

    def __init__(self, path: Path, faults: list[str], many: int = 1) -> None:
        told = list(faults)
        if many > len(faults):
            told.append(f"... and {many - len(faults)} more lines")
        super().__init__("\n".join(f"{shown(path)}: {fault}" for fault in told))
        self.faults = tuple(faults)


Progress = Callable[[float], None]
"""Called now and then with the share of a file that is read, from 0 to 1."""


def read_history(path: Path, progress: Progress = lambda _: None) -> Iterator[Owner | Item]:
    """Whose history a file is, and then each thing in it, as it is read: a long file is never held as a whole.

    After a bad line nothing more comes; the rest is looked through, and then ``HistoryError`` names every bad line.
    """
    with explaining(path):
        if not path.is_file():
            raise RecordsError(f"{shown(path)} is no file; name a history file that Drumlin wrote")
        size = path.stat().st_size
        with path.open("rb") as file:
            try:
                yield _header(file)
            except LineError as error:
                raise HistoryError(path, [f"line 1: {error}"]) from None
            yield from _items(path, file, lambda: progress(file.tell() / size))


def _header(file: BinaryIO) -> Owner:
    # An editor may have put the mark of UTF-8 before the first line.
    return read_header(file.readline(LONGEST_LINE).removeprefix(b"\xef\xbb\xbf"))


def _items(path: Path, file: BinaryIO, progress: Callable[[], None]) -> Iterator[Item]:
    faults: list[str] = []
    many = 0
    for place, line in enumerate(_lines(file), 2):
        if place % TOLD_EVERY == 0:
            progress()
        try:
            item = read_line(line) if line.strip() else None
        except LineError as error:
            # Read on after the first fault: whoever mends the file wants to know of all of them at once.
            many += 1
            faults += [f"line {place}: {error}"] if many <= FAULTS_SHOWN else []
            continue
        # Nothing more after a fault: what would be taken in is undone anyway.
        if item is not None and not many:
            yield item
    if many:
        raise HistoryError(path, faults, many)


def _lines(file: BinaryIO) -> Iterator[bytes]:
    """The file's lines, none longer than the bound: of a longer one its beginning, and then no more."""
    while line := file.readline(LONGEST_LINE):
        yield line
        if len(line) == LONGEST_LINE:
            return


def is_history(path: Path) -> bool:
    """Whether a file begins as a history file does."""
    try:
        with path.open("rb") as file:
            _header(file)
    except LineError:
        return False
    return True


def write_lines(path: Path, lines: Iterable[str]) -> None:
    """Write a text file, UTF-8, whole or not at all.  Raises ``RecordsError`` where it can't be written."""
    try:
        write_beside(path, (line.encode() for line in lines))
    except FileError as error:
        raise RecordsError(str(error)) from error
