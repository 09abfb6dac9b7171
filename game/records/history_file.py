"""A history file as a whole: read with bounds, every fault at once, or written in one piece."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from game.records.errors import RecordsError, explaining
from game.records.history_lines import Item, LineError, Owner, read_header, read_line
from game.records.log import Logged
from game.records.results import Exam, Round
from game.records.takes import Take
from shared.files import FileError, shown, write_beside

LARGEST_FILE = 128 * 2**20
"""Bytes of a history file that are read: some 400,000 answers."""

LONGEST_LINE = 2**20

FAULTS_SHOWN = 20


class HistoryError(RecordsError):
    """A history file that can't be used.  ``faults`` has one line for each fault; nothing was taken from it."""

    def __init__(self, path: Path, faults: list[str]) -> None:
        told = faults[:FAULTS_SHOWN]
        if len(faults) > FAULTS_SHOWN:
            told.append(f"... and {len(faults) - FAULTS_SHOWN} more lines")
        super().__init__("\n".join(f"{shown(path)}: {fault}" for fault in told))
        self.faults = tuple(faults)


@dataclass
class History:
    """What a history file holds."""

    owner: Owner
    answers: list[Logged] = field(default_factory=list)
    rounds: list[tuple[str, Round]] = field(default_factory=list)
    exams: list[Exam] = field(default_factory=list)
    takes: list[Take] = field(default_factory=list)

    def add(self, item: Item) -> None:
        """Add one thing to the list where it belongs."""
        if isinstance(item, Logged):
            self.answers.append(item)
        elif isinstance(item, Exam):
            self.exams.append(item)
        elif isinstance(item, Take):
            self.takes.append(item)
        else:
            self.rounds.append(item)


def read_history(path: Path) -> History:
    """Read a history file.  Raises ``HistoryError`` that names every bad line."""
    with explaining(path):
        if not path.is_file():
            raise RecordsError(f"{shown(path)} is no file; name a history file that Drumlin wrote")
        if path.stat().st_size > LARGEST_FILE:
            raise RecordsError(
                f"{shown(path)} is larger than {LARGEST_FILE // 2**20} MB; that is no history of one player"
            )
        with path.open("rb") as file:
            return _history(path, _lines(file))


def _lines(file: BinaryIO) -> Iterator[bytes]:
    """The file's lines, none longer than the bound: of a longer one its beginning, and then no more."""
    read = 0
    while (line := file.readline(LONGEST_LINE)) and read <= LARGEST_FILE:
        read += len(line)
        yield line
        if len(line) == LONGEST_LINE:
            return


def _history(path: Path, lines: Iterator[bytes]) -> History:
    try:
        history = History(read_header(next(lines, b"").removeprefix(b"\xef\xbb\xbf")))
    except LineError as error:
        raise HistoryError(path, [f"line 1: {error}"]) from None
    faults = []
    for place, line in enumerate(lines, 2):
        try:
            if line.strip():
                history.add(read_line(line))
        except LineError as error:
            faults.append(f"line {place}: {error}")
    if faults:
        raise HistoryError(path, faults)
    return history


def is_history(path: Path) -> bool:
    """Whether a file begins as a history file does."""
    try:
        with path.open("rb") as file:
            read_header(file.readline(LONGEST_LINE))
    except LineError:
        return False
    return True


def write_lines(path: Path, lines: Iterable[str]) -> None:
    """Write a text file, UTF-8, whole or not at all.  Raises ``RecordsError`` where it can't be written."""
    try:
        write_beside(path, "".join(lines).encode())
    except FileError as error:
        raise RecordsError(str(error)) from error
