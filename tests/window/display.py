"""A display of its own for a real window: Xvfb, its picture read from memory, xdotool as hands."""

import os
import shutil
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

NEEDED = ("Xvfb", "xdotool")
PATIENCE = 20.0
"""Seconds to wait for what must come."""

AHEAD = """
import runpy, time
from audio.outputs import MixerOutput
clock, start, elapsed = time.time, time.time(), MixerOutput.elapsed
time.time = lambda: start + {seconds} + (clock() - start) * {speed}
MixerOutput.elapsed = lambda output: elapsed(output) * {speed}
runpy.run_module("game", run_name="__main__")
"""
"""Runs the program with its clock put forward; by it and by the sound device time passes so many times as fast."""


def missing() -> list[str]:
    """The programs that these tests need and this machine lacks."""
    return [name for name in NEEDED if shutil.which(name) is None]


def wait_for(what: Callable[[], object], told: str, patience: float = PATIENCE) -> None:
    """Wait until something holds; fails with what was waited for."""
    end = time.monotonic() + patience
    while not what():
        if time.monotonic() > end:
            raise AssertionError(f"waited {patience:.0f} s in vain: {told}")
        time.sleep(0.02)


class Display:
    """Xvfb without a window manager.  ``size`` in pixels.

    It never resets: left by its last client, such as xdotool, it would for a moment turn away the program that comes.
    """

    def __init__(self, folder: Path, size: tuple[int, int] = (1920, 1080)) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._frame = folder / "Xvfb_screen0"
        read, write = os.pipe()
        self._server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{size[0]}x{size[1]}x24", "-fbdir", str(folder),
             "-nolisten", "tcp", "-noreset"],
            pass_fds=[write], stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        with os.fdopen(read) as told:
            self.name = f":{told.readline().strip()}"

    def pixels(self) -> NDArray[np.uint8]:
        """What is on the screen now: (height, width, 4), blue first."""
        raw = np.memmap(self._frame, np.uint8, "r")
        header = struct.unpack(">25I", raw[:100].tobytes())
        start, width, height, line = header[0] + header[19] * 12, header[4], header[5], header[12]
        return np.array(raw[start : start + height * line]).reshape(height, line // 4, 4)[:, :width]

    def hands(self, *words: str | int) -> str:
        """Let xdotool do something and return what it says."""
        ended = subprocess.run(
            ["xdotool", *map(str, words)],
            env=self.environment(),
            capture_output=True,
            text=True,
            timeout=30,
            check=False,
        )
        return ended.stdout.strip()

    def environment(self) -> dict[str, str]:
        """The environment of a program that opens its window here, with no sound device."""
        return {**os.environ, "DISPLAY": self.name, "SDL_VIDEODRIVER": "x11", "SDL_AUDIODRIVER": "dummy"}

    def close(self) -> None:
        """Stop the server."""
        self._server.terminate()
        self._server.wait(10)


class Program:
    """Drumlin in a process of its own on a display; ``days`` from now, by its own clock.

    A bar is over ``speed`` times as soon as it is in truth.  ``command`` starts another program than that of the
    checkout, and ``environment`` is added to its own.
    """

    def __init__(
        self, display: Display, folder: Path, *options: str, days: float = 0.0, speed: float = 1.0,
        command: Sequence[str] = (), environment: Mapping[str, str] = MappingProxyType({}),
    ) -> None:  # fmt: skip
        self.display = display
        ahead = AHEAD.format(seconds=days * 86400, speed=speed)
        start = ["-c", ahead] if days or speed != 1.0 else ["-m", "game"]
        self.process = subprocess.Popen(
            [*(command or (sys.executable, *start)), "--data-dir", str(folder), *options],
            env=display.environment() | environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            wait_for(self._window, "the window")
        except AssertionError:
            self.stop()
            raise
        self.window = self._window()
        display.hands("windowfocus", self.window)
        wait_for(lambda: display.pixels()[..., :3].max(), "the first picture")

    def _window(self) -> str:
        assert self.process.poll() is None, self.process.stderr and self.process.stderr.read()
        return self.display.hands("search", "--onlyvisible", "--class", "drumlin").split("\n")[0]

    def press(self, *names: str) -> None:
        """Press keys; each has changed the picture before the next one goes down."""
        for name in names:
            before = self.display.pixels()
            self.display.hands("key", name)
            wait_for(lambda before=before: (self.display.pixels() != before).any(), f"a new picture after {name}")

    def click(self, x: int, y: int) -> None:
        """Move to a place in the window and click there."""
        self.display.hands("mousemove", "--window", self.window, x, y, "click", 1)

    def stop(self) -> None:
        """End the program if it still runs."""
        if self.process.poll() is None:
            self.process.terminate()
        self.process.communicate(timeout=20)
