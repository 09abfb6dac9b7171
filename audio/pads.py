"""MIDI pads and electronic kits: the inputs that are plugged in, and the strokes on the chosen one."""

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

NOTE_ON = 0x90
"""The status of a note-on, in the upper four bits; the lower ones are the channel (MIDI 1.0, table I)."""

DOUBLE_TRIGGER = 0.030
"""A note that comes again within so many seconds is the pad's own fault, not a second stroke."""

OLDEST = 0.1
"""The greatest age of a message, in seconds, that is believed: beyond it the driver's clock is another one."""

AT_ONCE = 256
"""Messages fetched at a time; a clock sends some 50 a second, a hand far fewer."""

ALSA = Path("/usr/share/alsa")
"""Where Linux systems keep the files of their sound library."""


@dataclass(frozen=True)
class Hit:
    """One stroke on a pad: its note number, its velocity (0 to 1), and how many seconds ago it was struck."""

    note: int
    velocity: float
    age: float


Message = tuple[int, int, int, float]
"""Status, two data bytes, and the age of the message in seconds."""


class Port(Protocol):
    """An input that is open."""

    def messages(self) -> list[Message]:
        """The messages since the last call, oldest first."""

    def close(self) -> None:
        """Let go of the input."""


class PadSystem(Protocol):
    """The MIDI of this machine, or a test's."""

    def inputs(self) -> list[str]:
        """The names of the inputs that are plugged in now; closes an input that is open."""

    def open(self, name: str) -> Port | None:
        """Open the input of that name; None where it is not there or is held by another program."""


class Pads:
    """The strokes on pads.  The system is first asked when a name is wanted or an input is opened."""

    def __init__(self, open_system: Callable[[], PadSystem] | None = None) -> None:
        self._open_system = open_system or PortMidi
        self._system: PadSystem | None = None
        self._port: Port | None = None
        self._last: dict[int, float] = {}
        self.name = ""

    @property
    def ready(self) -> bool:
        """Whether an input is open."""
        return self._port is not None

    def names(self) -> tuple[str, ...]:
        """The inputs that are plugged in now; the one that was open is opened again."""
        self.close()
        self._system = self._system or self._open_system()
        names = tuple(dict.fromkeys(self._system.inputs()))
        if self.name in names:
            self._port = self._system.open(self.name)
        return names

    def use(self, name: str) -> bool:
        """Open an input by its name, as if it had just been plugged in; says whether it could be."""
        self.name = name
        self.names()
        return self.ready

    def hits(self, now: float) -> list[Hit]:
        """The strokes since the last call; ``now`` in seconds.

        Only note-ons count: a velocity of 0 ends a note, and clock, sensing, pedals and pressure come in between.
        An input that fails is closed, and is opened again with the next ``use``.
        """
        found: list[Hit] = []
        for status, note, velocity, age in self._messages():
            if status & 0xF0 != NOTE_ON or not 0 < velocity < 128:
                continue
            struck = now - age
            if struck - self._last.get(note, -1.0) >= DOUBLE_TRIGGER:
                found.append(Hit(note, velocity / 127, age))
                self._last[note] = struck
        return found

    def close(self) -> None:
        """Let go of the input; it can be opened again."""
        if self._port is not None:
            self._port.close()
        self._port, self._last = None, {}

    def _messages(self) -> list[Message]:
        if self._port is None:
            return []
        try:
            return self._port.messages()
        except OSError:
            self.close()
            return []


class PortMidi:
    """The MIDI of this machine by ``pygame.midi``, the one door to it."""

    def __init__(self) -> None:
        # The library that comes with pygame's Linux wheels looks for ALSA's files where no distribution has them,
        # and then finds no input ever.
        if sys.platform == "linux" and ALSA.is_dir() and "ALSA_CONFIG_PATH" not in os.environ:
            os.environ.setdefault("ALSA_CONFIG_DIR", str(ALSA))
        import pygame.midi

        self._midi = pygame.midi
        self._midi.init()

    def inputs(self) -> list[str]:
        """The names of the inputs that are plugged in now."""
        # The list is made when the library starts, so that a device plugged in later is seen only by a new start.
        self._midi.quit()
        self._midi.init()
        return [name for name, _ in self._devices()]

    def open(self, name: str) -> Port | None:
        """Open the first input of that name."""
        number = next((number for found, number in self._devices() if found == name), None)
        if number is None:
            return None
        try:
            return _PortMidiInput(self._midi.Input(number, 4096), self._midi.time)
        except Exception:  # the library raises errors of several kinds that have no common one
            return None

    def _devices(self) -> list[tuple[str, int]]:
        found = []
        for number in range(self._midi.get_count()):
            _, name, is_input, *_ = self._midi.get_device_info(number)
            if is_input:
                found.append((name if isinstance(name, str) else name.decode(errors="replace"), number))
        return found


class _PortMidiInput:
    """An input of ``pygame.midi``."""

    def __init__(self, port: Any, clock: Callable[[], int]) -> None:
        self._port, self._clock = port, clock

    def messages(self) -> list[Message]:
        """The messages since the last call."""
        found: list[Message] = []
        try:
            while self._port.poll():
                now = self._clock()
                for (status, first, second, _), stamp in self._port.read(AT_ONCE):
                    age = (now - stamp) / 1000
                    found.append((status, first, second, age if 0 <= age <= OLDEST else 0.0))
        except Exception as error:
            raise OSError(str(error)) from error
        return found

    def close(self) -> None:
        """Let go of the input."""
        self._port.close()
