"""Takes the manual's picture from the real window: ``python -m tests.window.take_pictures``."""

import tempfile
import time
from pathlib import Path

import numpy as np
import pygame

from tests.window.display import Display, Program

PICTURE = Path(__file__).parent / "pictures" / "practice.png"
SIZE = (1280, 720)


def save(display: Display) -> None:
    """Write what the window shows to the picture."""
    time.sleep(0.5)
    height, width = SIZE[1], SIZE[0]
    pixels = np.ascontiguousarray(display.pixels()[:height, :width, 2::-1])
    pygame.image.save(pygame.image.frombuffer(pixels, SIZE, "RGB"), PICTURE)


def take(display: Display, folder: Path) -> None:
    """Answer two beats of a bar and take the picture."""
    program = Program(display, folder, "--level", "stage-4")
    display.hands("windowmove", "--sync", program.window, 0, 0)
    display.hands("windowsize", "--sync", program.window, *SIZE)
    try:
        program.press("Escape", "p", "3", "space", "8", "2")
        save(display)
    finally:
        program.stop()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        shown = Display(Path(scratch) / "frame")
        try:
            take(shown, Path(scratch) / "data")
        finally:
            shown.close()
