"""Recording from a microphone: the microphones there are, the input level, and the recorded sound."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from threading import Event, Lock
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from audio.onsets import SILENCE
from audio.synthesis import RATE
from shared.errors import UserError
from shared.strokes import LONGEST_TAKE

CHUNK = 480
"""Frames that are asked for at a time: 10 ms."""

CLIPPED = 0.99
"""The peak, of full scale, from which a microphone is overdriven."""

FAINT = 0.02
"""The peak, of full scale, below which strokes are hard to find."""

PATIENCE = 1.0
"""Without a chunk for so many seconds the microphone is taken for lost."""

CLOSING = 0.5
"""Seconds that a device may take to send its last chunk when it is closed."""

SETTLING = 0.1
"""Seconds without a call of the microphone's thread after which none is on its way."""

HELD: list[Any] = []
"""Devices that are open, or could not be closed.

Python would close an unreferenced device while the device's thread sends chunks, and the two would deadlock.
"""

USUAL = ""
"""The name that stands for the microphone that the system is set to."""

REFUSED = (
    "The microphone can't be opened ({reason}). Let Drumlin use it in the system's privacy settings, close what else "
    "uses it, or choose another."
)

CLEAR = "Good and clear."
"""The words for a loudness with which all is well."""


class MicrophoneError(UserError):
    """A microphone that can't be used; the message is a sentence or two for the player."""


class Capture(Protocol):
    """A microphone that is open."""

    def close(self) -> None:
        """Let go of it."""


class MicrophoneSystem(Protocol):
    """The microphones of this machine, or a test's."""

    def names(self) -> list[str]:
        """The names of the microphones."""

    def open(self, name: str, take: Callable[[bytes], None]) -> Capture:
        """Open a microphone and hand each chunk (int16, one channel, 48 kHz) to ``take``, from any thread.

        Raises ``OSError`` with the system's reason.
        """


@dataclass(frozen=True)
class Loudness:
    """The input level: ``peak`` is the highest sample since the last call, of full scale.

    ``alive`` is false where the microphone has stopped sending.
    """

    peak: float
    alive: bool = True


class Microphone:
    """Records sound.  Frames are counted, never timed by when a chunk comes: chunks come late and in bunches."""

    def __init__(
        self, open_system: Callable[[], MicrophoneSystem] | None = None, clock: Callable[[], float] = time.perf_counter
    ) -> None:
        self._open_system, self._clock = open_system or SdlMicrophones, clock
        self._system: MicrophoneSystem | None = None
        self._capture: Capture | None = None
        self._lock = Lock()
        self._chunks: list[bytes] = []
        self._frames = 0
        self._peak = 0.0
        self._last = 0.0
        self._begun: float | None = None
        self._marked = 0.0

    @property
    def running(self) -> bool:
        """Whether sound is being recorded."""
        return self._capture is not None

    def names(self) -> tuple[str, ...]:
        """The microphones of this machine; none where the system tells of none."""
        self._system = self._system or self._open_system()
        # Each name once: SDL opens a microphone by its name, and can't tell two of one name apart.
        return tuple(dict.fromkeys(self._system.names()))

    def start(self, name: str = USUAL) -> None:
        """Begin a new recording, in place of the last one.  Raises ``MicrophoneError``."""
        self.stop()
        self._system = self._system or self._open_system()
        self._chunks, self._frames, self._peak = [], 0, 0.0
        self._begun, self._last = None, self._clock()
        try:
            self._capture = self._system.open(name, self._take)
        except OSError as error:
            raise MicrophoneError(REFUSED.format(reason=error)) from error

    @property
    def seconds(self) -> float:
        """The length of the recording, in seconds; it ends at ``LONGEST_TAKE``."""
        return self._frames / RATE

    def loudness(self) -> Loudness:
        """The input level since the last call."""
        with self._lock:
            peak, self._peak = self._peak, 0.0
            return Loudness(peak, self._clock() - self._last < PATIENCE)

    def mark(self) -> None:
        """Remember the present moment, for ``marked``."""
        self._marked = self._clock()

    @property
    def marked(self) -> float:
        """The marked moment in seconds from the start of the recording, as nearly as chunks tell."""
        return self._marked - (self._marked if self._begun is None else self._begun)

    def sound(self) -> NDArray[np.float32]:
        """The recording since the start: samples at 48 kHz, full scale 1."""
        with self._lock:
            taken = b"".join(self._chunks)
        return np.frombuffer(taken, np.int16).astype(np.float32) / np.float32(32_768)

    def stop(self) -> None:
        """End the recording, which stays until the next start."""
        if self._capture is not None:
            self._capture.close()
        self._capture = None

    def _take(self, chunk: bytes) -> None:
        samples = np.frombuffer(chunk, np.int16)
        # In 32 bits, since 16 have no place for the absolute value of the lowest sample.
        peak = float(np.abs(samples.astype(np.int32)).max(initial=0)) / 32_768
        with self._lock:
            self._last = self._clock()
            if self._begun is None:
                # A chunk comes when its last frame is in: its first one is so much older.
                self._begun = self._last - len(samples) / RATE
            self._peak = max(self._peak, peak)
            if self._frames < LONGEST_TAKE * RATE:
                self._chunks.append(chunk)
                self._frames += len(samples)


def loudness_words(peak: float) -> str:
    """A sentence for the player about a peak (of full scale): what it means, and what would do."""
    if peak <= SILENCE:
        return "Nothing comes in: is the microphone switched on, not muted, and the right one chosen?"
    if peak < FAINT:
        return "Very faint: move nearer to the drum, or turn the microphone up."
    if peak >= CLIPPED:
        return "Too loud, it is overdriven: move away from the drum, or turn the microphone down."
    return CLEAR


class SdlMicrophones:
    """The microphones of this machine by SDL: the one door to a part of pygame that is not public."""

    def __init__(self) -> None:
        from pygame._sdl2 import audio, sdl2

        self._audio = audio
        # Without a sound device to play on, nothing else has started SDL's sound.
        sdl2.init_subsystem(sdl2.INIT_AUDIO)

    def names(self) -> list[str]:
        """The names of the microphones."""
        try:
            return list(self._audio.get_audio_device_names(True))
        except RuntimeError:
            return []

    def open(self, name: str, take: Callable[[bytes], None]) -> Capture:
        """Open one by its name."""
        found = _Open(take)
        try:
            # A device begins paused, so that no chunk comes before the call of ``begin``.
            device = self._audio.AudioDevice(name or None, True, RATE, self._audio.AUDIO_S16, 1, CHUNK, 0, found.came)
            found.begin(device)
        except Exception as error:  # SDL's own error, which no public module has
            raise OSError(str(error).strip().rstrip(".") or "no reason given") from error
        return found


class _Open:
    """A capture of SDL's, which is ended from within its own thread.

    SDL waits for that thread while it closes a device, and pygame holds Python's lock meanwhile: a chunk that came just
    then would wait for that lock, and both for ever.  Once the thread itself has paused the device, no chunk comes; it
    is closed once no call has come for a while.
    """

    def __init__(self, take: Callable[[bytes], None]) -> None:
        self._take = take
        self._device: Any = None
        self._ending, self._paused = Event(), Event()
        self._calls = 0

    def begin(self, device: Any) -> None:
        """Let chunks come."""
        self._device = device
        HELD.append(device)
        device.pause(0)

    def came(self, device: Any, samples: memoryview) -> None:
        """Take a chunk, on SDL's thread."""
        self._calls += 1
        if self._ending.is_set():
            device.pause(1)
            self._paused.set()
        else:
            self._take(bytes(samples))

    def close(self) -> None:
        """Let go of it."""
        self._ending.set()
        # A device that is gone sends no chunk; it stays held as it is, for a late one would stop the program.
        if not self._paused.wait(CLOSING):
            return
        # A chunk or two may still be on their way to ``came``, and need Python's lock, which closing would keep from
        # them: only a thread that stays out of Python for a while has none left.
        seen = -1
        while seen != self._calls:
            seen = self._calls
            time.sleep(SETTLING)
        self._device.close()
        HELD.remove(self._device)
