"""A player that only hears: it drives the real window by its keys, and knows of the music what its ear tells."""

from collections.abc import Callable, Sequence

import pygame

from game.app import App
from shared.figures import Figure
from tests.robot.ear import Microphone

TILES = "12345678"
"""The keys of the first eight figures on offer, as the window shows them."""

Answer = Callable[[], Sequence[Figure | None]]


class Robot:
    """Plays rounds of practice.  ``choices`` are the figures on offer, in the order of their keys."""

    def __init__(self, app: App, microphone: Microphone, choices: Sequence[Figure]) -> None:
        self._app = app
        self._microphone = microphone
        self._keys = dict(zip(choices, TILES, strict=True))
        self._wait()

    def press(self, name: str) -> None:
        """Press and release a key, and let the window do what follows."""
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            pygame.event.post(pygame.Event(kind, key=pygame.key.key_code(name), mod=0, unicode="", scancode=0))
        self._wait()

    def play_round(self, bars: int, answer: Answer) -> None:
        """Answer every bar of a round, from the first bar's sound to the page at the round's end."""
        for _ in range(bars):
            for figure in answer():
                if figure is not None:
                    self.press(self._keys[figure])
            self.press("return")
            self.press("return")

    def _wait(self) -> None:
        """Let a few frames pass."""
        for _ in range(3):
            self._app.step(self._microphone.seconds)
