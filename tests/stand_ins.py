"""Pads and microphones that tests plug in, pull out and play on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from audio.kit import Bank
from audio.microphone import Microphone
from audio.mixdown import mix
from audio.pads import Message, Pads
from game.screens.context import Context
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange

RATE = 48_000


@dataclass
class Kit:
    """Electronic kits on a MIDI system: ``plugged`` in, or ``held`` by another program."""

    plugged: list[str] = field(default_factory=lambda: ["Reed pad"])
    held: bool = False
    waiting: list[Message] = field(default_factory=list)
    broken: bool = False
    opened: int = 0
    closed: int = 0

    def inputs(self) -> list[str]:
        return list(self.plugged)

    def open(self, name: str) -> "Kit | None":
        if self.held or name not in self.plugged:
            return None
        self.opened, self.waiting = self.opened + 1, []
        return self

    def messages(self) -> list[Message]:
        if self.broken:
            raise OSError("the cable is out")
        found, self.waiting = self.waiting, []
        return found

    def close(self) -> None:
        self.closed += 1

    def strike(self, note: int, velocity: int = 90, age: float = 0.0, channel: int = 9) -> None:
        """A hit as a kit sends it: the note begins and, by a velocity of 0, ends; its clock runs on."""
        self.waiting += [(0xF8, 0, 0, 0.0), (0x90 | channel, note, velocity, age), (0x90 | channel, note, 0, age)]

    @property
    def pads(self) -> Pads:
        return Pads(lambda: self)


@dataclass
class Room:
    """Microphones: ``refused`` with a reason, or open and sending what a test lets be heard; time is ``now``."""

    microphones: list[str] = field(default_factory=lambda: ["Desk microphone"])
    refused: str = ""
    now: float = 0.0
    opened: list[str] = field(default_factory=list)
    _take: Callable[[bytes], None] | None = None

    def names(self) -> list[str]:
        return self.microphones

    def open(self, name: str, take: Callable[[bytes], None]) -> "Room":
        if self.refused:
            raise OSError(self.refused)
        self.opened.append(name)
        self._take = take
        return self

    def close(self) -> None:
        self._take = None

    def hear(self, samples: NDArray[np.floating]) -> None:
        """Let a sound come in, in chunks, while time passes."""
        whole = (np.clip(samples, -1, 1) * 32_767).astype(np.int16)
        for first in range(0, len(whole), 480):
            chunk = whole[first : first + 480]
            self.now += len(chunk) / RATE
            if self._take:
                self._take(chunk.tobytes())


def with_microphone(context: Context) -> Room:
    """Let a window's player play by the microphone of a room."""
    room = Room()
    context.__dict__["microphone"] = Microphone(lambda: room, lambda: room.now)
    context.change_settings(play_on="microphone")
    return room


def drummed(times: Sequence[float], seconds: float, seed: int = 8) -> NDArray[np.float64]:
    """A drum in a quiet room, struck at these times, each some 8 ms off; as a microphone hears it, full scale 1."""
    rng = np.random.default_rng(seed)
    heard = rng.normal(0, 1e-3, round(seconds * RATE))
    hit = mix(arrange(parse_bar("1 (2) (3) (4)"), Setting("toms", 60, count_in=False)), Bank("practice"))
    hit = hit[:24_000].astype(float).mean(1)
    for time in times:
        first = round((time + rng.normal(0, 0.008)) * RATE)
        part = heard[first : first + len(hit)]
        part += 0.5 * hit[: len(part)] / np.abs(hit).max()
    return heard
