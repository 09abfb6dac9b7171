"""What a story in the real window needs: keys, words, patience, pictures, and a look at what was kept."""

import json
import sqlite3
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import numpy as np
import pygame
from numpy.typing import NDArray

from tests.window.display import Display, Program, wait_for

Pixels = NDArray[np.uint8]

DIFFERENT = 0.001
"""The part of a picture that differs, at least, from one page to another."""

ANOTHER = 0.02
"""The part that differs where a key has opened another page."""

UNCHANGED = 2.0
"""Seconds after which a key is taken to change nothing that is seen."""

FIRST = "answer JOIN question ON question.id = answer.question WHERE question.attempt = 1"
"""The answers that were given at the first try."""

LONGEST_STILL = 1.0
"""Seconds after which a page that still moves is taken as it is."""

SPEED = 40.0
"""How many times as fast a bar goes by: what it sounds like, and when, is not told by a picture."""


class Story:
    """One person's way through the program.  ``folder`` holds the data, ``pictures`` takes what was seen."""

    def __init__(self, display: Display, folder: Path, pictures: Path, name: str) -> None:
        self.display, self.folder, self.pictures, self.name = display, folder, pictures, name
        self.program: Program | None = None
        self.seen: list[Path] = []
        self._last = np.zeros_like(display.pixels())

    def open(self, *options: str, days: float = 0.0) -> None:
        """Start the program."""
        self.program = Program(self.display, self.folder, *options, days=days, speed=SPEED)

    def press(self, *keys: str) -> None:
        """Press keys; each has changed the picture before the next one goes down, if it changes it at all."""
        for key in keys:
            before = self.display.pixels()
            self.display.hands("key", "--delay", 0, key)
            end = time.monotonic() + UNCHANGED
            while time.monotonic() < end and (self.display.pixels() == before).all():
                time.sleep(0.02)

    def press_on(self, *keys: str) -> None:
        """Press keys without a look in between; the first of them at least has changed the picture.

        With less delay a key that comes again would be taken for one that is held.
        """
        before = self.display.pixels()
        self.display.hands("key", "--delay", 12, *keys)
        wait_for(lambda: (self.display.pixels() != before).any(), f"a new picture after {' '.join(keys)}")

    def turn(self, *keys: str) -> None:
        """Press keys of which each opens another page, however long that takes."""
        for key in keys:
            before = self.display.pixels()
            self.display.hands("key", "--delay", 0, key)
            wait_for(partial(self._differs, before, ANOTHER), f"a page after {key}")

    def _differs(self, before: Pixels, part: float) -> bool:
        return bool((self.display.pixels() != before).mean() > part)

    def write(self, text: str) -> None:
        """Type words, once the field is there: before that they would be commands."""
        self.wait_still()
        self.display.hands("type", "--delay", 25, text)

    def wait_still(self, seconds: float = 0.1, longest: float = LONGEST_STILL) -> None:
        """Wait until the picture stays as it is, which is also when a bar has ended."""
        end = time.monotonic() + longest
        last, since = self.display.pixels(), time.monotonic()
        while time.monotonic() < min(end, since + seconds):
            time.sleep(0.03)
            now = self.display.pixels()
            if (now != last).any():
                last, since = now, time.monotonic()

    def hear(self, key: str) -> None:
        """Press the key that plays a bar, and hear it to its end."""
        self.press(key)
        self.wait_still(0.3, longest=12)

    def show(self, page: str) -> None:
        """Keep a picture of the page, once it is another than the one before."""
        wait_for(lambda: self._differs(self._last, DIFFERENT), f"the page {page}")
        self.wait_still()
        self._last = self.display.pixels()
        pixels = np.ascontiguousarray(self._last[..., 2::-1])
        size = pixels.shape[1], pixels.shape[0]
        path = self.pictures / f"{self.name}-{len(self.seen) + 1:02}-{page.replace(' ', '-')}.png"
        pygame.image.save(pygame.image.frombuffer(pixels.tobytes(), size, "RGB"), path)
        self.seen.append(path)

    def stop(self) -> None:
        """End the program if it still runs."""
        if self.program:
            self.program.stop()

    def close(self, *keys: str) -> None:
        """Leave by keys, from the page that is open; the program ends without a fault."""
        assert self.program is not None
        self.press(*keys)
        assert self.program.process.wait(20) == 0
        assert self.program.process.stderr is not None
        assert self.program.process.stderr.read() == ""
        self.program.stop()

    def run(self, *words: str) -> str:
        """Run a command on the same data and return what it printed."""
        command = [sys.executable, "-m", "game", *words, "--data-dir", str(self.folder)]
        return subprocess.run(command, capture_output=True, text=True, timeout=60, check=True).stdout

    # What was kept

    def kept(self, query: str) -> list[tuple[object, ...]]:
        """Rows of the records, read beside the running program."""
        if not (self.folder / "records.sqlite").exists():
            return []
        base = sqlite3.connect(f"file:{self.folder / 'records.sqlite'}?mode=ro", uri=True)
        try:
            return base.execute(query).fetchall()
        finally:
            base.close()

    def answers(self) -> int:
        """How many first answers are in the records."""
        return int(str(self.kept(f"SELECT count(*) FROM {FIRST}")[0][0]))

    def wrong(self) -> int:
        """How many first answers were wrong."""
        return int(str(self.kept(f"SELECT count(*) FROM {FIRST} AND said IS NOT heard")[0][0]))

    def wait_answers(self, number: int) -> None:
        """Wait until so many answers are kept."""
        wait_for(lambda: self.answers() == number, f"{number} answers")

    def has_set(self, key: str, value: object) -> bool:
        """Whether a player, or the machine, has a setting at that value."""
        player, machine = (f"SELECT value FROM {whose}_setting WHERE key = '{key}'" for whose in ("player", "machine"))
        return (json.dumps(value),) in self.kept(f"{player} UNION {machine}")

    def report(self, pattern: str) -> Path:
        """Wait for a saved report and return it."""
        reports = self.folder / "reports"
        wait_for(lambda: list(reports.glob(pattern)), pattern)
        return next(reports.glob(pattern))

    def names(self) -> set[str]:
        """Everybody whom the pictures can show."""
        return {str(name) for (name,) in self.kept("SELECT name FROM player")}
