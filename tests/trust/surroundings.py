"""Where a random walk takes place: all that a machine would bring to it comes from the walk's own seed instead."""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, chdir, contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from random import Random
from unittest import mock
from uuid import UUID

import numpy as np
import pygame

from audio.microphone import Microphone
from tests.stand_ins import RATE, Kit, Room
from tests.trust.fuzz import good_history

LOOK, EVENT = 0.001, 1 / 60
"""Seconds that pass at each look at the clock, so that whoever waits for a moment sees it come, and with each event."""

NOTES = (38, 43, 36, 42, 0, 127)

LONG_AGO = 1_700_000_000.0
"""When the files of the home folder were written, in seconds since the epoch."""

STAYS = 0.8
"""How likely a recording is still being read at the next look."""


@dataclass
class Surroundings:
    """A machine on which ``seconds`` pass only by what a walk does, with pads and a microphone of its own."""

    random: Random
    seconds: float = 0.0
    kit: Kit = field(default_factory=lambda: Kit(["Reed pad", "Reed pad", "Willow pad"]))
    room: Room = field(default_factory=Room)

    def stopwatch(self) -> float:
        """Seconds since the walk began, as ``time.perf_counter`` tells them."""
        self.seconds += LOOK
        return self.seconds

    def mixed(self) -> int:
        """Milliseconds that the mixer has mixed, as its music tells them."""
        return int(self.stopwatch() * 1000)

    def pass_on(self) -> None:
        """Something has happened, and took its time; now and then a device is held, pulled out or plugged in."""
        self.seconds += EVENT
        if self.random.random() < LOOK:
            self.kit.held, self.kit.broken = (self.random.random() < 0.3 for _ in range(2))
            self.room.refused = self.random.choice(("", "", "it is in use"))

    def strike(self) -> None:
        """A pad is struck, and the microphone hears it: a burst of noise that dies away, now and then overdriven."""
        self.kit.strike(self.random.choice(NOTES), self.random.randrange(128), self.random.random() / 20)
        noise = np.random.default_rng(self.random.randrange(2**32)).normal(0, 0.3, RATE // 5)
        self.room.hear(noise * np.exp(-np.arange(len(noise)) / 2000))


class LaterThread:
    """A thread whose work is done at once, when it is found to be over: by chance, as a walk's seed has it."""

    def __init__(self, random: Random, target: Callable[[], None], daemon: bool) -> None:  # noqa: ARG002
        self._random = random
        self._work: Callable[[], None] | None = target

    def start(self) -> None:
        """Begin: nothing is done yet."""

    def is_alive(self) -> bool:
        """Whether the work is still to be done."""
        if self._work and self._random.random() > STAYS:
            work, self._work = self._work, None
            work()
        return self._work is not None


@contextmanager
def surrounded(random: Random, folder: Path) -> Iterator[Surroundings]:
    """Let a walk take place in surroundings of its own, which may use ``folder / "home"``; all is as before after it.

    The working directory is ``folder``, the time zone UTC; no program is on the path, and there is a download.
    """
    around = Surroundings(random)
    # A relative path, as that of the data: where a walk's folder lies would be told on pages, in more or fewer lines.
    home = "home"
    variables = {"HOME": home, "USERPROFILE": home, "PATH": home, "TZ": "UTC"}
    with ExitStack() as stack:
        stack.callback(_take_zone)
        stack.enter_context(chdir(folder))
        _download(Path(home) / "Downloads")
        stack.enter_context(mock.patch.dict(os.environ, variables))
        _take_zone()
        for name, stand_in in {
            "time.perf_counter": around.stopwatch,
            "audio.microphone.Microphone": partial(Microphone, clock=around.stopwatch),
            "audio.microphone.SdlMicrophones": lambda: around.room,
            "audio.pads.PortMidi": lambda: around.kit,
            "game.records.store.uuid4": lambda: UUID(int=random.getrandbits(128), version=4),
            "game.screens.context.data_folder": Path,
            "game.screens.playing.recording.Thread": partial(LaterThread, random),
        }.items():
            stack.enter_context(mock.patch(name, stand_in))
        stack.enter_context(mock.patch.object(pygame.mixer.music, "get_pos", around.mixed))
        yield around


def _download(folder: Path) -> None:
    """A pupil's history lies where downloads go, and a file that is none."""
    folder.mkdir(parents=True)
    for name, text in {"wren.jsonl": good_history(), "none.jsonl": "Dear diary"}.items():
        (folder / name).write_text(text, "utf-8")
        os.utime(folder / name, (LONG_AGO, LONG_AGO))


def _take_zone() -> None:
    # Windows has no such call, and keeps its zone.
    if hasattr(time, "tzset"):
        time.tzset()
