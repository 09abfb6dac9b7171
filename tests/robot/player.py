"""A player that only hears: it drives the real window by its keys, and knows of the music what its ear tells."""

from collections.abc import Callable, Sequence

import pygame

from game.app import App
from game.learning.evidence import Answer
from game.records import Round
from game.screens.notices.error import ErrorPage
from game.screens.notices.unkept import Unkept
from shared.figures import Figure
from tests.listening import EVERYTHING, Part
from tests.robot.ear import Microphone, hear_bar, until_the_end

TILES = "1234567890qwertyuiopdfgj"
"""The keys of the figures on offer, as the window shows them."""

BARS = 10
"""The bars of a round."""

Answering = Callable[[], Sequence[Figure | None]]


class Robot:
    """Plays rounds of practice on the level of the window.

    ``asked`` is how many of the last beats are asked, None for all; ``part`` where in the spectrum the
    figures are played: a player knows as much from the settings.
    """

    def __init__(self, app: App, microphone: Microphone, asked: int | None = None, part: Part = EVERYTHING) -> None:
        self._app = app
        self._microphone = microphone
        self.level = app.context.level
        self._asked = asked
        self._part = part
        self._keys = dict(zip(self.level.figures, TILES, strict=False))
        self._wait()

    def play_round(self, answer: Answering | None = None, bars: int = BARS) -> None:
        """Answer every bar of a round, or its first few, from the first page there; by ear unless told otherwise.

        From the end of a round it goes back to the first page.
        """
        self._press("p", "space")
        for _ in range(bars):
            for figure in (answer or self.hear)():
                if figure is not None:
                    self._press(self._keys[figure])
            self._hand_in()
            self._press("return")
        self._press("escape")

    def hear(self) -> Sequence[Figure | None]:
        """What the next bar's asked beats sound like."""
        heard = hear_bar(self._microphone, self.level.meter.beats, self.level.figures, self._part)
        return heard[-(self._asked or len(heard)) :]

    def let_pass(self) -> None:
        """Let the next bar sound to its end without attending to its figures."""
        until_the_end(self._microphone, self.level.meter.beats)

    @property
    def answers(self) -> tuple[Answer, ...]:
        """What the records hold of this player."""
        return tuple(self._app.context.records.answers(self._app.context.player))

    @property
    def wrong(self) -> list[tuple[str, int, str, str | None]]:
        """The answers that are not right: the bar, the beat, what was played and what was said."""
        return [(row.bar, row.beat, row.heard, row.said) for row in self.answers if row.said != row.heard]

    @property
    def rounds(self) -> tuple[Round, ...]:
        """The rounds that the records hold."""
        return tuple(self._app.context.records.rounds(self._app.context.player, self.level.name))

    def _hand_in(self) -> None:
        """Hand in, and say so again where a beat is empty."""
        before = len(self.answers)
        self._press("return")
        if len(self.answers) == before:
            self._press("return")

    def _press(self, *names: str) -> None:
        """Press and release keys, and let the window do what follows each."""
        for name in names:
            for kind in (pygame.KEYDOWN, pygame.KEYUP):
                pygame.event.post(pygame.Event(kind, key=pygame.key.key_code(name), mod=0, unicode="", scancode=0))
            self._wait()

    def _wait(self) -> None:
        """Let a few frames pass; what stops the game stops the robot, and says why."""
        for _ in range(3):
            self._step()

    def _step(self) -> None:
        """Let one frame pass."""
        assert self._app.step(self._microphone.seconds), "the window was closed"
        page = self._app.top
        if isinstance(page, ErrorPage):
            raise page.error
        assert not isinstance(page, Unkept), "an answer could not be kept"
