"""One session of the scripted player in a process of its own, and what it printed."""

import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from game.learning.evidence import Answer

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 150.0
"""Seconds after which a session that does nothing has failed."""


class Session:
    """A running session; on leaving it is over, one way or another.

    ``limit`` is the largest size in bytes of any file it writes.
    """

    def __init__(self, folder: Path, *options: str, limit: int | None = None) -> None:
        command = [sys.executable, "-m", "tests.trust.player", str(folder), *options]
        if limit is not None:
            command += ["--limit", str(limit)]
        hidden = {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
        self.process = subprocess.Popen(
            command, cwd=ROOT, env=os.environ | hidden, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        self.lines: list[dict[str, Any]] = []
        self.errors = ""
        self._readers = [threading.Thread(target=self._read), threading.Thread(target=self._read_errors)]
        for reader in self._readers:
            reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if line.endswith("\n"):
                self.lines.append(json.loads(line))

    def _read_errors(self) -> None:
        assert self.process.stderr is not None
        self.errors = self.process.stderr.read()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.ended()

    @property
    def code(self) -> int | None:
        """The exit code; minus a signal's number where that ended it."""
        return self.process.returncode

    def said(self, key: str) -> list[dict[str, Any]]:
        """The lines of one kind, so far."""
        return [line for line in self.lines if key in line]

    def wait_for(self, key: str, times: int = 1) -> None:
        """Wait until so many lines of a kind have come."""
        patient = time.monotonic() + PATIENCE
        while len(self.said(key)) < times:
            if self.process.poll() is not None or time.monotonic() > patient:
                self.process.kill()
                self.ended()
                raise AssertionError(f"no line {key!r} came: code {self.code}, {self.errors}")
            time.sleep(0.005)

    def ended(self) -> None:
        """Wait until it is over and everything it printed has been read."""
        self.process.wait(PATIENCE)
        for reader in self._readers:
            reader.join(PATIENCE)
        for stream in (self.process.stdout, self.process.stderr):
            if stream:
                stream.close()

    @property
    def notice(self) -> str:
        """What the home page said at the start."""
        return "".join(line["notice"] for line in self.said("ready"))

    @property
    def lasting(self) -> bool:
        """Whether the records were on disk at the start."""
        return all(line["lasting"] for line in self.said("ready"))

    @property
    def shown_as_kept(self) -> list[Answer]:
        """Every answer whose reveal was painted while the records were on disk."""
        rows = [row for line in self.said("shown") if line["lasting"] for row in line["shown"]]
        return [Answer(**row | {"choices": tuple(row["choices"]), "met": tuple(row["met"])}) for row in rows]
