"""What may befall the records under an open window, at any moment: done to a data folder, and taken back."""

import sqlite3
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from game.records import Records
from game.records.folders import RECORDS_NAME


@dataclass
class Troubles:
    """Troubles of one data ``folder``; ``aside`` is a folder for what is moved out of the way.

    ``had`` counts them by name.
    """

    random: Random
    folder: Path
    aside: Path
    had: Counter[str] = field(default_factory=Counter)
    _holder: sqlite3.Connection | None = None
    _moved: Path | None = None

    def strike(self, records: Records) -> None:
        """One trouble, drawn at random."""
        name = self.random.choice(("overwritten", "cut", "locked", "folder gone", "disk full"))
        self.had[name] += 1
        with suppress(OSError, sqlite3.Error):
            match name:
                case "overwritten":
                    self._file.write_bytes(self.random.randbytes(self._file.stat().st_size))
                case "cut":
                    with self._file.open("r+b") as file:
                        file.truncate(self.random.randrange(self._file.stat().st_size))
                case "locked":
                    self._hold()
                case "folder gone":
                    self._move()
                case "disk full":
                    records.database.connection.execute("PRAGMA max_page_count = 1")

    def ease(self, records: Records) -> None:
        """What passes by itself passes: a lock, a folder that comes back, room on the disk."""
        if self._holder:
            self._holder.close()
            self._holder = None
        if self._moved and not self.folder.exists():
            self._moved.rename(self.folder)
        self._moved = None
        with suppress(sqlite3.Error):
            records.database.connection.execute(f"PRAGMA max_page_count = {2**30}")

    @property
    def _file(self) -> Path:
        return self.folder / RECORDS_NAME

    def _hold(self) -> None:
        if self._holder is None and self._file.exists():
            self._holder = sqlite3.connect(self._file, timeout=0, isolation_level=None)
            self._holder.execute("BEGIN EXCLUSIVE")

    def _move(self) -> None:
        if self._moved is None and self.folder.exists():
            self.aside.mkdir(exist_ok=True)
            self._moved = self.folder.rename(self.aside / f"data-{self.had.total()}")
