"""One session of the scripted player in a process of its own, and what it printed."""

import json
import os
import sys
import threading
import time
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from game.learning.evidence import Answer

PLAYER = "tests.trust.player"

STARTER = get_context("forkserver")
"""Starts each session from a process that has loaded the program once, and nothing else."""
STARTER.set_forkserver_preload([PLAYER])

PATIENCE = 150.0
"""Seconds after which a session that does nothing has failed."""


def _play(words: list[str], told: Connection, errors: Connection) -> None:
    """The player's command, in the new process; what it prints goes into the pipes."""
    for stream, pipe in ((1, told), (2, errors)):
        os.dup2(pipe.fileno(), stream)
        pipe.close()
    os.environ |= {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    sys.argv = [PLAYER, *words]
    from tests.trust.player import main

    main()


class Session:
    """A running session; on leaving it is over, one way or another.

    ``limit`` is the largest size in bytes of any file it writes.
    """

    def __init__(self, folder: Path, *options: str, limit: int | None = None) -> None:
        words = [str(folder), *options]
        if limit is not None:
            words += ["--limit", str(limit)]
        told, errors = STARTER.Pipe(duplex=False), STARTER.Pipe(duplex=False)
        self.process = STARTER.Process(target=_play, args=(words, told[1], errors[1]))
        self.process.start()
        for pipe in (told, errors):
            pipe[1].close()
        self.lines: list[dict[str, Any]] = []
        self.errors = ""
        self._readers = [
            threading.Thread(target=self._read, args=[told[0]]),
            threading.Thread(target=self._read_errors, args=[errors[0]]),
        ]
        for reader in self._readers:
            reader.start()

    def _read(self, pipe: Connection) -> None:
        with pipe, os.fdopen(os.dup(pipe.fileno())) as told:
            for line in told:
                if line.endswith("\n"):
                    self.lines.append(json.loads(line))

    def _read_errors(self, pipe: Connection) -> None:
        with pipe, os.fdopen(os.dup(pipe.fileno())) as errors:
            self.errors = errors.read()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()
        self.ended()

    @property
    def code(self) -> int | None:
        """The exit code; minus a signal's number where that ended it."""
        return self.process.exitcode

    def kill(self) -> None:
        """Kill it, if it still runs."""
        if self.process.is_alive():
            self.process.kill()

    def said(self, key: str) -> list[dict[str, Any]]:
        """The lines of one kind, so far."""
        return [line for line in self.lines if key in line]

    def wait_for(self, key: str, times: int = 1) -> None:
        """Wait until so many lines of a kind have come."""
        patient = time.monotonic() + PATIENCE
        while len(self.said(key)) < times:
            if not self.process.is_alive() or time.monotonic() > patient:
                self.kill()
                self.ended()
                raise AssertionError(f"no line {key!r} came: code {self.code}, {self.errors}")
            time.sleep(0.005)

    def ended(self) -> None:
        """Wait until it is over and everything it printed has been read."""
        self.process.join(PATIENCE)
        if self.process.is_alive():
            self.kill()
            raise AssertionError(f"a session went on for more than {PATIENCE:.0f} s: {self.errors}")
        for reader in self._readers:
            reader.join(PATIENCE)

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
