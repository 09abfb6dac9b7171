"""A player in a process of its own: plays round after round in the real loop and prints what the window shows.

``python -m tests.trust.player FOLDER [--bars N] [--unkept N] [--back SECONDS] [--doubtful N]``: a line of JSON when
the window is open (``ready``), whenever a reveal has been painted (``shown``, its answers, and whether they are kept
to ``last``), and for every question that the window asks (``asked``).  The error page ends it with code 3.
"""

import argparse
import dataclasses
import json
import resource
import secrets
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import pygame

from audio.sound import Sound
from game.app import App, close_display, open_display
from game.learning.evidence import Answer
from game.records import Player, RecordsError
from game.screens.base import Screen
from game.screens.context import Context, open_context
from game.screens.home.first_start import FirstStart
from game.screens.home.home import Home, first_screens
from game.screens.notices.error import ErrorPage
from game.screens.notices.restore import RestoreOffer
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice
from game.screens.practice.reveal import Reveal
from game.sessions.settings.bindings import TILE_KEYS

FAULTY = 3
"""The exit code after an error page."""


def tell(**said: object) -> None:
    """Print one line for whoever started this."""
    print(json.dumps(said), flush=True)


class Over:
    """A sound device for which every sound is over as soon as it begins."""

    volume, latency, notice, silent = 0.0, 0.0, None, False

    def play(self, _samples: object, _start: float = 0.0) -> None:
        """Nothing sounds."""

    def stop(self) -> None:
        """Nothing sounds."""

    def position(self) -> None:
        """No sound goes on."""

    def handle_event(self, _event: pygame.Event) -> bool:
        """It neither goes nor comes back."""
        return False

    def close(self) -> None:
        """There is nothing to close."""


class Fingers:
    """Answers whatever is on top, by posted keys; notes what was kept last.

    ``bars`` are to be played, of them at most ``unkept`` once the records are no longer kept.
    """

    def __init__(
        self, context: Context, bars: int | None, doubtful: int | None = None, unkept: int | None = None
    ) -> None:
        self.context = context
        self.left = bars
        self.unkept = unkept
        self.doubtful = doubtful
        self.kept: list[Answer] = []
        self._random = secrets.SystemRandom()

    def keep(self, answers: Sequence[Answer]) -> None:
        """The answers that the next reveal will show."""
        self.kept = list(answers)

    def act(self, top: Screen) -> None:
        """Press the keys for a screen that has just been painted."""
        match top:
            case Home():
                press("p")
            case Practice():
                offered = [self.context.level.figures.index(figure) for figure in top.sheet.choices]
                # A bar is handed in only once it was heard: here a sound is over as soon as it begins.
                press("space", *(TILE_KEYS[self._random.choice(offered)] for _ in top.round.question.asked), "return")
            case Reveal():
                self._see()
                press("return")
            case Unkept() if top.waits:
                pass  # the other window lets go in a moment
            case Unkept() | RestoreOffer():
                self._go_on(top)
            case FirstStart():
                press("escape")
            case ErrorPage():
                raise SystemExit(FAULTY)
            case _:
                press("return")

    def _go_on(self, asking: Unkept | RestoreOffer) -> None:
        tell(asked=type(asking).__name__, question=str(getattr(asking, "error", "")))
        if self.left and self.unkept:
            self.left = min(self.left, self.unkept)
        asking.set_focus("stay" if self.doubtful else "go")
        press("return")

    def _see(self) -> None:
        tell(shown=[dataclasses.asdict(answer) for answer in self.kept], lasting=self.context.records.lasting)
        if self.left is not None:
            self.left -= 1
            if not self.left:
                pygame.event.post(pygame.Event(pygame.QUIT))


def press(*names: str) -> None:
    """Post the events of keys that go down."""
    for name in names:
        event = pygame.Event(pygame.KEYDOWN, key=pygame.key.key_code(name), mod=0, unicode="", scancode=0)
        pygame.event.post(event)


class Watched(App):
    """The application, with somebody who acts on every screen once it has been painted."""

    fingers: Fingers

    def step(self, now: float) -> bool:
        goes_on = super().step(now)
        if goes_on and not self.top.stale and not pygame.event.peek(pygame.KEYDOWN):
            self.fingers.act(self.top)
        return goes_on


def watch(context: Context, fingers: Fingers) -> None:
    """Let ``fingers`` see every answer on its way into the records, whichever they are.

    Where they are ``doubtful``, every so manieth time what was kept is reported as an error.
    """
    records = type(context.records)
    append: Callable[..., int] = records.append
    tries = [0]

    def seen(self: object, player: Player, question: str, answers: Sequence[Answer]) -> int:
        added = append(self, player, question, answers)
        fingers.keep(answers)
        tries[0] += 1
        if fingers.doubtful and tries[0] % fingers.doubtful == 0:
            raise RecordsError("the disk reports a fault")
        return added

    records.append = seen  # type: ignore[method-assign, assignment]


def clock(back: float, after: float) -> Callable[[], float]:
    """The machine's clock, set back by so many seconds once it has run for ``after`` seconds."""
    jump = time.time() + after
    return lambda: time.time() - (back if time.time() >= jump else 0.0)


def main() -> None:
    """Play until killed, closed, or so many bars have been shown."""
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--bars", type=int)
    parser.add_argument("--unkept", type=int)
    parser.add_argument("--back", type=float, default=0.0)
    parser.add_argument("--after", type=float, default=0.0)
    parser.add_argument("--limit", type=int)
    parser.add_argument("--doubtful", type=int)
    options = parser.parse_args()
    if options.limit:
        resource.setrlimit(resource.RLIMIT_FSIZE, (options.limit, options.limit))
    context = open_context(clock(options.back, options.after), lambda: secrets.randbits(32), folder=options.folder)
    context.sound = Sound(Over)
    fingers = Fingers(context, options.bars, options.doubtful, options.unkept)
    watch(context, fingers)
    app = Watched(context, first_screens(context), open_display((1024, 640)))
    app.fingers = fingers
    tell(ready=True, notice=context.notice, lasting=context.records.lasting)
    try:
        app.run()
    finally:
        context.sound.close()
        close_display()
        context.records.close()


if __name__ == "__main__":
    main()
