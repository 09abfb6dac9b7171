"""How soon a replay sounds: a pipe as short as one buffer lets the device mix one step at a time."""

import os
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from audio.outputs import BUFFER
from audio.player import open_player

fcntl = pytest.importorskip("fcntl")
termios = pytest.importorskip("termios")
BYTES = 4 * BUFFER


class Tap:
    """A pipe that takes one buffer, and counts the frames that went through it."""

    def __init__(self, path: Path) -> None:
        os.mkfifo(path)
        self._pipe = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
        fcntl.fcntl(self._pipe, fcntl.F_SETPIPE_SZ, BYTES)
        self.frames = 0

    def wait(self) -> None:
        """Until a buffer has come and the next, already mixed, has to wait for its place."""
        while int.from_bytes(fcntl.ioctl(self._pipe, termios.FIONREAD, b"    "), "little") < BYTES:
            time.sleep(0.001)
        time.sleep(0.02)

    def take(self) -> NDArray[np.int16]:
        """The next buffer: (frames, 2)."""
        self.wait()
        self.frames += BUFFER
        return np.frombuffer(os.read(self._pipe, BYTES), np.int16).reshape(-1, 2)

    def close(self) -> None:
        os.close(self._pipe)


@pytest.fixture
def tap(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Tap]:
    if not hasattr(fcntl, "F_SETPIPE_SZ"):
        pytest.skip("the pipes of this system have one size")
    pygame.mixer.quit()
    tap = Tap(tmp_path / "stream")
    for name, value in {"DRIVER": "disk", "FILE": str(tmp_path / "stream"), "DELAY": "0"}.items():
        monkeypatch.setenv("SDL_AUDIODRIVER" if name == "DRIVER" else f"SDL_DISKAUDIO{name}", value)
    yield tap
    pygame.mixer.quit()


def test_replay_is_in_the_next_buffer(tap: Tap) -> None:
    """A sound that starts while another plays is the first sample of the first buffer that is mixed from then on."""
    player = open_player(volume=0.0)
    for value in range(1000, 1003):
        tap.take()
        tap.wait()
        mixed = tap.frames + 2 * BUFFER
        player.play(np.full((48_000, 2), value, np.int16))
        while not (heard := tap.take() == value).any():
            pass
        assert tap.frames - BUFFER + int(heard[:, 0].argmax()) == mixed
    tap.close()
    player.close()
