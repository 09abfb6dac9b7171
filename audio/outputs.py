"""Sound outputs: the mixer of this machine, and a silent stand-in that keeps time."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import numpy as np
import pygame
from numpy.typing import NDArray

from audio.synthesis import RATE
from shared.errors import UserError

BUFFER = 2048
"""Frames in the mixer's buffer, some 43 ms: with half as many, sound broke up now and then on a busy machine."""

QUIET_FROM, QUIET_TO = 8, 30
"""In milliseconds from the start of a buffer, when the mixer surely does not mix, be it a little early or late."""

TRIES, PATIENCE = 3, 100
"""How often a start is tried, and how many milliseconds each try may wait for a quiet moment."""

MIXER_FORMAT = (RATE, -16, 2)
"""Rate, sample format and channels of the mixer."""

SILENT_FILE = Path(__file__).with_name("silence.wav")
"""A tenth of a second of silence, for the mixer's music."""


class NoDeviceError(UserError):
    """No sound device could be opened as wanted."""


class Output(Protocol):
    """Something that plays one sound at a time and says how far it is."""

    def start(self, samples: NDArray[np.int16]) -> None:
        """Play (frames, 2) int16 from the beginning, in place of whatever was playing."""

    def go_on(self, samples: NDArray[np.int16], first: int) -> None:
        """Let what sounds go on as other samples, whose beginning lies ``first`` frames into the present ones.

        That frame must have been heard already.
        """

    def elapsed(self) -> float:
        """Seconds since the beginning of the samples."""

    def stop(self) -> None:
        """Fall silent at once."""

    def close(self) -> None:
        """Let go of the device."""


class MixerOutput:
    """The one owner of every ``pygame.mixer`` call.

    A channel of the mixer has no position.  A silence that loops as the mixer's music has one, and
    it also keeps the device awake: the first sound after a device opens can come late.  It is read
    from a file: from an object of Python's, every buffer would wait until the interpreter is free.
    """

    def __init__(self) -> None:
        _open_mixer()
        self._channel = pygame.mixer.Channel(0)
        self._sound: pygame.mixer.Sound | None = None
        self._anchor = 0
        # Before the first sound: the device is awake then, and the music's position runs.
        pygame.mixer.music.load(SILENT_FILE)
        pygame.mixer.music.play(-1)

    def start(self, samples: NDArray[np.int16]) -> None:
        """Play (frames, 2) int16 from the beginning, in place of whatever was playing."""
        sound = pygame.mixer.Sound(buffer=samples.data)
        # The sound is heard from the next buffer on, whose start is a whole number of buffers in.
        self._anchor = self._at_next_buffer(lambda _: sound)

    def go_on(self, samples: NDArray[np.int16], first: int) -> None:
        """Let what sounds go on as other samples from the next buffer on, to the frame.

        The beginning of the samples lies ``first`` frames into the present ones.
        """
        anchor = self._anchor + first
        self._at_next_buffer(lambda frame: pygame.mixer.Sound(buffer=samples[max(0, frame - anchor) :].data))
        self._anchor = anchor

    def _at_next_buffer(self, sound_from: Callable[[int], pygame.mixer.Sound]) -> int:
        """Play the sound for a frame of the mixer's from there on, the first that is not mixed; returns the frame."""
        for _ in range(TRIES):
            begun = _buffers_mixed_in_peace()
            self._sound = sound_from(begun * BUFFER)
            self._channel.play(self._sound)
            if _buffers_mixed() == begun:
                break  # else a buffer was mixed meanwhile: nobody can tell whether with the sound or without
        return begun * BUFFER

    def elapsed(self) -> float:
        """Seconds since the beginning of the samples, by what the mixer has mixed: exact at each buffer."""
        return pygame.mixer.music.get_pos() / 1000 - self._anchor / RATE

    def stop(self) -> None:
        """Fall silent at once, and let go of the sound."""
        self._channel.stop()
        self._sound = None

    def close(self) -> None:
        """Close the mixer."""
        self._channel.stop()
        pygame.mixer.quit()


def _buffers_mixed() -> int:
    """How many whole buffers the mixer has mixed, by its music's position, which runs on by the clock in between."""
    return int(pygame.mixer.music.get_pos() * RATE // (BUFFER * 1000))


def _buffers_mixed_in_peace() -> int:
    """As ``_buffers_mixed``, at a quiet moment: the next buffer, with which a sound begins, is not just being mixed."""
    for _ in range(PATIENCE):
        into = pygame.mixer.music.get_pos() % (BUFFER * 1000 / RATE)
        if QUIET_FROM <= into <= QUIET_TO:
            break
        time.sleep(0.001)
    return _buffers_mixed()


def _open_mixer() -> None:
    """Open the mixer as wanted, closing one that was opened otherwise: a second ``init`` does nothing."""
    pygame.mixer.quit()
    try:
        pygame.mixer.init(*MIXER_FORMAT, BUFFER, allowedchanges=0)
    except pygame.error as error:
        raise NoDeviceError(str(error)) from error
    # Checked all the same: at another rate than asked for, all would sound at a wrong pitch.
    found = pygame.mixer.get_init()
    if found != MIXER_FORMAT:
        pygame.mixer.quit()
        raise NoDeviceError(f"the device plays {found}, not {MIXER_FORMAT}")


class SilentOutput:
    """The stand-in where there is no device: nothing sounds, and time passes by ``clock`` (seconds)."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._started = clock()

    def start(self, samples: NDArray[np.int16]) -> None:  # noqa: ARG002
        """Begin to keep time."""
        self._started = self._clock()

    def go_on(self, samples: NDArray[np.int16], first: int) -> None:  # noqa: ARG002
        """Keep time from another beginning."""
        self._started += first / RATE

    def elapsed(self) -> float:
        """Seconds since the last start."""
        return self._clock() - self._started

    def stop(self) -> None:
        """Nothing sounds that would have to stop."""

    def close(self) -> None:
        """Nothing is open that would have to close."""
