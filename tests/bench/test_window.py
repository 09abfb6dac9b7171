"""The window's speed: the first picture, a repaint, a key, and rest."""

import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from game.screens.home.home import Home
from game.screens.practice.question import open_practice
from tests.bench.page import hold
from tests.screens.window import Opened
from tests.window.display import Display, missing

BARE = """
import pygame
pygame.display.init()
canvas = pygame.display.set_mode((1366, 768), pygame.RESIZABLE)
canvas.fill("#fdfcf8")
pygame.display.flip()
"""
"""A window with nothing in it."""

OURS = """
import sys, time
from game.app import App, open_display
from game.screens.context import open_context
from game.screens.home.home import first_screens
context = open_context(time.time, lambda: 7, folder=sys.argv[1])
app = App(context, first_screens(context), open_display((1366, 768)))
app.step(0.0)
"""
"""Drumlin up to its first picture."""


def milliseconds(act: Callable[[], object], times: int = 15, batches: int = 7) -> float:
    """What an act takes of the processor: the best median of a few batches, for others only ever make it slower."""
    return min(statistics.median(_times(act, times)) for _ in range(batches))


def _times(act: Callable[[], object], times: int) -> list[float]:
    found = []
    for _ in range(times):
        start = time.thread_time()
        act()
        found.append(1000 * (time.thread_time() - start))
    return found


def started(script: str, display: Display, *arguments: str) -> float:
    """The seconds of a whole process."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", script, *arguments], env=display.environment(), check=True, capture_output=True
    )
    return time.perf_counter() - start


@pytest.mark.skipif(bool(missing()), reason=f"needs {' and '.join(missing())}")
def test_first_picture_comes_soon(tmp_path: Path) -> None:
    """From start to the first picture takes at most three times a bare window's time, in the same run."""
    display = Display(tmp_path / "frame")
    try:
        started(OURS, display, str(tmp_path / "data"))
        pairs = [(started(BARE, display), started(OURS, display, str(tmp_path / "data"))) for _ in range(7)]
    finally:
        display.close()
    bare, ours = (min(times) for times in zip(*pairs, strict=True))
    print(f"first picture: bare {bare:.3f} s, ours {ours:.3f} s")
    hold("first picture against a bare window", ours / bare, 3, "times")


@pytest.mark.parametrize(("size", "limit"), [((1920, 1080), 4.0), ((3840, 2160), 12.0)])
def test_repaint_is_quick(opened: Opened, size: tuple[int, int], limit: float) -> None:
    """Practice with twenty tiles, laid out and painted whole, in milliseconds."""
    window = opened(size, "stage-8")
    window.show(open_practice(window.context))

    def repaint() -> None:
        window.app.paint()
        pygame.display.flip()

    found = milliseconds(repaint)
    hold(f"repaint at {size[0]} x {size[1]}", found, limit, "ms")


def test_moving_mark_is_cheap(opened: Opened) -> None:
    """A frame of the moving mark costs less than a millisecond at 1920 x 1080."""
    window = opened((1920, 1080), "stage-8")
    window.show(open_practice(window.context))
    window.device.where = 0.0

    def frame() -> None:
        window.device.where += 0.01
        window.app.step(0.0)

    found = milliseconds(frame)
    hold("a frame of the moving mark", found, 1.0, "ms")


def test_key_shows_within_its_frame(opened: Opened) -> None:
    """The picture has changed by the end of the very round of the loop that took the key, well under a frame."""
    window = opened((1920, 1080), "stage-8")
    window.show(open_practice(window.context))
    window.device.stop()
    window.frames()
    before = window.canvas.copy()
    window.press("3")
    assert pygame.image.tobytes(window.canvas, "RGB") != pygame.image.tobytes(before, "RGB")
    found = milliseconds(lambda: window.press("3"), times=5)
    hold("key to changed pixels", found, 1000 / 60, "ms")


def test_rest_costs_nothing(opened: Opened) -> None:
    """A page at rest takes less than 1 % of a core."""
    window = opened((1920, 1080), "stage-8")
    window.show(Home(window.context))
    window.frames(10)
    closing = threading.Timer(4.0, lambda: pygame.event.post(pygame.Event(pygame.QUIT)))
    closing.start()
    wall, busy = time.perf_counter(), time.thread_time()
    window.app.run()
    share = (time.thread_time() - busy) / (time.perf_counter() - wall)
    closing.join()
    hold("a page at rest", 100 * share, 1, "% of a core")
