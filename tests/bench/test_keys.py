"""From a key on an X server to its stamp in the real window, while a take runs.

The key goes down by the library that xdotool presses keys with (the X test extension), so that the moment is known
to a few microseconds; both processes read one clock, CLOCK_MONOTONIC.
"""

import ctypes
import ctypes.util
import json
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from statistics import fmean, stdev

import pytest

from tests.bench.page import hold
from tests.window.display import PATIENCE, Display, missing, wait_for

ROOT = Path(__file__).parents[2]

KEYS = 80
GAPS = (0.06, 0.16)
"""Seconds between two strokes, from and to: drawn evenly, so that no loop's period falls in step with them."""

PROGRAM = """
import json, os, sys, time
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
from pathlib import Path
import pygame
from game.app import App, open_display
from game.screens.context import open_context
from game.screens.playing.playing import PlayBar, new_playing

class Stamping(App):
    def handle(self, event, came=None):
        if event.type == pygame.KEYDOWN and event.key in (pygame.K_f, pygame.K_j) and self.top.taking:
            print(json.dumps(came), flush=True)
        super().handle(event, came)

canvas = open_display((1280, 800))
context = open_context(time.time, lambda: 7, level="stage-3", folder=Path(sys.argv[1]))
Stamping(context, [PlayBar(context, new_playing(context))], canvas).run()
"""


BARE = """
import json, os, sys, time
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
os.environ["SDL_VIDEO_X11_WMCLASS"] = "drumlin"
import pygame
pygame.display.init()
pygame.display.set_mode((1280, 800)).fill("white")
pygame.display.flip()
pygame.key.stop_text_input()
while True:
    event, came = pygame.event.wait(16), time.perf_counter()
    if event.type == pygame.QUIT:
        sys.exit()
    if event.type == pygame.KEYDOWN and event.key in (pygame.K_f, pygame.K_j):
        print(json.dumps(came), flush=True)
"""
"""A window that does nothing but wait for keys: what of the delay is the display's, the library's and the machine's."""


class Keyboard:
    """The keys of a display, pressed without a process for each."""

    def __init__(self, display: str) -> None:
        x11, xtst = (ctypes.CDLL(ctypes.util.find_library(name) or name) for name in ("X11", "Xtst"))
        x11.XOpenDisplay.restype = ctypes.c_void_p
        x11.XStringToKeysym.restype = ctypes.c_ulong
        x11.XKeysymToKeycode.argtypes = [ctypes.c_void_p, ctypes.c_ulong]
        x11.XFlush.argtypes = x11.XCloseDisplay.argtypes = [ctypes.c_void_p]
        xtst.XTestFakeKeyEvent.argtypes = [ctypes.c_void_p, ctypes.c_uint, ctypes.c_int, ctypes.c_ulong]
        self._x11, self._xtst = x11, xtst
        self._display = x11.XOpenDisplay(display.encode())

    def press(self, name: str) -> float:
        """Press and release a key; returns when it went down, by ``time.perf_counter``."""
        code = self._x11.XKeysymToKeycode(self._display, self._x11.XStringToKeysym(name.encode()))
        went = time.perf_counter()
        for down in (1, 0):
            self._xtst.XTestFakeKeyEvent(self._display, code, down, 0)
            self._x11.XFlush(self._display)
            time.sleep(0.01)
        return went

    def close(self) -> None:
        """Let go of the display."""
        self._x11.XCloseDisplay(self._display)


@pytest.fixture
def display(tmp_path: Path) -> Iterator[Display]:
    """A display of its own."""
    if missing() or not ctypes.util.find_library("Xtst"):
        pytest.skip(f"needs {', '.join(missing()) or 'libXtst'}")
    shown = Display(tmp_path / "frame", (1280, 800))
    yield shown
    shown.close()


@pytest.mark.timeout(120)
@pytest.mark.usefixtures("measuring")
def test_key_is_stamped_at_once(display: Display, tmp_path: Path) -> None:
    """Eighty keys, while the bar sounds and is played back: the stamps come soon, and evenly so.

    The mean goes into what is found as the delay of sound and habit; what varies would look like uneven playing.
    """
    bare = _stamped(display, [BARE])
    print(f"a bare window in the same run: mean {fmean(bare):.2f} ms, SD {stdev(bare):.2f} ms")
    delays = _stamped(display, [PROGRAM, str(tmp_path / "data")])
    hold("key to stamp while a take runs, mean", fmean(delays), 1.5, "ms")
    hold("key to stamp while a take runs, SD", stdev(delays), 1.0, "ms")


def _stamped(display: Display, program: list[str]) -> list[float]:
    """Milliseconds from each key to its stamp in the window of a program."""
    command = [sys.executable, "-c", *program]
    process = subprocess.Popen(command, env=display.environment(), cwd=ROOT, stdout=subprocess.PIPE, text=True)
    keyboard = Keyboard(display.name)
    try:
        wait_for(lambda: display.hands("search", "--onlyvisible", "--class", "drumlin"), "the window", PATIENCE)
        window = display.hands("search", "--onlyvisible", "--class", "drumlin").split("\n")[0]
        display.hands("windowfocus", window)
        wait_for(lambda: display.pixels()[..., :3].max(), "the first picture")
        return _delays(process, keyboard)
    finally:
        keyboard.close()
        process.terminate()
        process.communicate(timeout=20)


def _delays(process: "subprocess.Popen[str]", keyboard: Keyboard) -> list[float]:
    """Milliseconds from each key to its stamp; between takes Space begins another."""
    assert process.stdout is not None
    draw, delays = Random(1), []
    while len(delays) < KEYS:
        keyboard.press("space")
        time.sleep(1.0)
        went = [_after(keyboard, draw) for _ in range(20)]
        # A stroke too many would wait for a stamp that never comes: a take lasts far longer than twenty strokes.
        stamps = [float(json.loads(process.stdout.readline())) for _ in went]
        delays += [1000 * (stamp - moment) for moment, stamp in zip(went, stamps, strict=True)]
        keyboard.press("Escape")
        time.sleep(0.5)
    return delays


def _after(keyboard: Keyboard, draw: Random) -> float:
    time.sleep(draw.uniform(*GAPS))
    return keyboard.press(draw.choice("fj"))
