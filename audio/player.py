"""The sound player: plays one sound at a time, starts and stops at once, and follows it with a playhead."""

import time
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pygame
from numpy.typing import NDArray

from audio.mixdown import at_volume
from audio.outputs import MixerOutput, NoDeviceError, Output, SilentOutput
from audio.synthesis import RATE

QUIET_START = -12.0
"""The volume of a first start, in dB: safe ears first (ITU-T H.870)."""

NO_DEVICE = "No sound device was found ({reason}). Everything works, in silence; plug one in to hear it."
DEVICE_LOST = "The sound device is gone ({reason}). Everything goes on in silence; plug one in to hear it."


class ClosedPlayerError(RuntimeError):
    """A player that was used after it was closed."""


class _Playing(NamedTuple):
    samples: NDArray[np.int16]
    start: float
    seconds: float


class SoundPlayer:
    """Plays samples on an output, one sound at a time.

    ``volume`` in dB, 0 or less, holds from the next ``play`` on.  ``latency`` in seconds is how much
    later a sound is heard than it is mixed, by this player's own calibration.
    """

    def __init__(self, output: Output, reopen: Callable[[], Output], stand_in: Callable[[], Output]) -> None:
        self.volume = 0.0
        self.latency = 0.0
        self.notice: str | None = None
        self._output = output
        self._reopen = reopen
        self._stand_in = stand_in
        self._playing: _Playing | None = None
        self._playhead = 0.0
        self._closed = False

    @property
    def silent(self) -> bool:
        """Whether no device sounds."""
        return isinstance(self._output, SilentOutput)

    @property
    def playing(self) -> bool:
        """Whether a sound is under way."""
        return self.position() is not None

    def play(self, samples: NDArray[np.int16], start: float = 0.0) -> None:
        """Play (frames, 2) int16 at 48 kHz from ``start`` seconds on, in place of whatever was playing.

        Raises ``ValueError`` for samples of another kind or a negative start, and
        ``ClosedPlayerError`` after ``close``.
        """
        self._refuse_if_closed()
        _check(samples, start)
        rest = samples[round(start * RATE) :]
        if not rest.shape[0]:
            self.stop()
        else:
            self._output.start(at_volume(rest, self.volume))
            self._playing = _Playing(samples, start, samples.shape[0] / RATE)
            self._playhead = start

    def go_on(self, samples: NDArray[np.int16], first: float = 0.0) -> None:
        """Let what sounds go on as other samples, with no gap; they begin ``first`` seconds into the present ones.

        Only what lies a buffer or more ahead may differ.  Where nothing sounds they play from their beginning.
        Raises as ``play`` does.
        """
        playing, where = self._playing, self.position()
        if playing is None or where is None:
            self.play(samples)
            return
        self._refuse_if_closed()
        _check(samples, first)
        # The output counts from where it was started, which may be in the middle of the samples.
        self._output.go_on(at_volume(samples, self.volume), round((first - playing.start) * RATE))
        self._playing = _Playing(samples, 0.0, samples.shape[0] / RATE)
        self._playhead = max(0.0, where - first)

    def stop(self) -> None:
        """Fall silent at once."""
        # Allowed once it is closed too: pages stop what sounds as they are left, the last one after the device.
        if not self._closed:
            self._output.stop()
        self._playing = None

    def position(self) -> float | None:
        """Seconds into the samples that are heard now; None once they are over.  Never runs back."""
        if self._playing is None:
            return None
        # Less the latency: a sample that is mixed now is heard so much later, and a mark must lie where the ear is.
        heard = self._playing.start + self._output.elapsed() - self.latency
        if heard >= self._playing.seconds:
            self._playing = None  # no stop: the clock may be a buffer ahead of the device
            return None
        self._playhead = max(self._playhead, heard)
        return self._playhead

    def handle_event(self, event: pygame.event.Event) -> bool:
        """Follow a device that goes or comes back, the sound going on from where it was; say whether it did."""
        # A microphone that comes or goes does not change the output.
        if self._closed or getattr(event, "iscapture", False):
            return False
        if event.type == pygame.AUDIODEVICEREMOVED and event.which and not self.silent:  # 0: one that was not open
            self._move(DEVICE_LOST)
            return True
        if event.type == pygame.AUDIODEVICEADDED and self.silent:
            self._move(self.notice or NO_DEVICE)
            return not self.silent
        return False

    def close(self) -> None:
        """Fall silent and let go of the device; further calls of ``close`` do nothing."""
        if not self._closed:
            self.stop()
            self._output.close()
            self._closed = True

    def _move(self, notice: str) -> None:
        """Open a device anew, or the stand-in where there is none, and go on playing there."""
        # Asked before the device is let go: after that its clock is gone too.
        playing, position = self._playing, self.position()
        self._output.close()
        try:
            self._output, self.notice = self._reopen(), None
        except NoDeviceError as error:
            self._output, self.notice = self._stand_in(), notice.format(reason=error)
            _forget_arrivals()
        if playing and position is not None:
            self._playing = None
            self.play(playing.samples, position)

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise ClosedPlayerError("this player is closed; open another")


def open_player(
    volume: float = QUIET_START, latency: float = 0.0, clock: Callable[[], float] = time.monotonic
) -> SoundPlayer:
    """Open the sound device, or a silent stand-in that keeps time by ``clock`` (seconds) and says so in ``notice``.

    ``volume`` in dB (0 or less), ``latency`` in seconds.
    """

    def stand_in() -> Output:
        return SilentOutput(clock)

    try:
        player = SoundPlayer(MixerOutput(), MixerOutput, stand_in)
    except NoDeviceError as error:
        player = SoundPlayer(stand_in(), MixerOutput, stand_in)
        player.notice = NO_DEVICE.format(reason=error)
    player.volume = volume
    player.latency = latency
    return player


def _forget_arrivals() -> None:
    """Drop what a failed attempt to open the mixer announced: taken for an arrival, it would bring on the next one."""
    if pygame.display.get_init():
        pygame.event.clear(pygame.AUDIODEVICEADDED)


def _check(samples: NDArray[np.int16], start: float) -> None:
    """Refuse what the mixer would turn into noise without a word."""
    wanted = "the player takes (frames, 2) int16, C-contiguous"
    if samples.dtype != np.int16 or samples.ndim != 2 or samples.shape[1] != 2:
        raise ValueError(f"{wanted}; found {samples.shape} {samples.dtype}")
    if not samples.flags.c_contiguous:
        raise ValueError(f"{wanted}; these samples are not contiguous: copy them with numpy.ascontiguousarray")
    if not start >= 0:
        raise ValueError(f"start {start} s: choose 0 or more")
