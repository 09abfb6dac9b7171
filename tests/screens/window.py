"""A window for tests: the real loop on a display nobody sees, a sound device nobody hears, a clock that is told."""

import atexit
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from audio.sound import Device, Sound
from game.app import App, open_display
from game.screens.base import Screen
from game.screens.context import Context, open_context
from game.screens.notices.error import ErrorPage
from game.screens.practice.question import Practice, open_practice
from game.service import ROOMS
from game.sessions.settings.bindings import TILE_KEYS
from game.widgets.base import Widget
from game.widgets.editing import Edited
from shared.figures import Figure
from shared.levels import shipped_names

NOW = 1_750_000_000.0


@dataclass
class QuietDevice:
    """Keeps what was played; a test says where the sound is."""

    volume: float = 0.0
    latency: float = 0.0
    notice: str | None = None
    silent: bool = False
    played: list[NDArray[np.int16]] = field(default_factory=list)
    where: float | None = None

    def play(self, samples: NDArray[np.int16], start: float = 0.0) -> None:
        self.played.append(samples)
        self.where = start

    def go_on(self, samples: NDArray[np.int16], first: float = 0.0) -> None:
        self.played.append(samples)
        self.where = None if self.where is None else self.where - first

    def stop(self) -> None:
        self.where = None

    def position(self) -> float | None:
        return self.where

    def handle_event(self, _event: pygame.Event) -> bool:
        return False

    def close(self) -> None:
        self.where = None


@dataclass
class Clock:
    """A clock that moves only when told."""

    now: float = NOW

    def __call__(self) -> float:
        return self.now


class Window:
    """The application with one screen, ready for keys."""

    def __init__(self, folder: Path, size: tuple[int, int] = (1366, 768), level: str = "stage-3") -> None:
        self.canvas = open_display(size)
        self.clock = Clock()
        self.device = QuietDevice()
        self.context: Context = open_context(self.clock, lambda: 7, level=level, folder=folder)
        self.sound_from(lambda: self.device)
        self.give_second_tries(False)
        self.begin("at once")
        self.app: App | None = None
        self.expects_error = False
        self._time = 0.0

    def show(self, screen: Screen, *below: Screen) -> App:
        """Put a screen on the window, over others where given, and draw it."""
        self.app = App(self.context, [*below, screen], self.canvas)
        self.frames(3)
        return self.app

    def practise(self, *below: Screen) -> None:
        """Begin a round of practice, over other screens where given, and hear its first bar to the end."""
        self.show(open_practice(self.context), *below)
        self.press("space")
        self.end_sound()

    def end_sound(self) -> None:
        """Let what sounds have come to its end."""
        self.device.where = None
        self.frames()

    @property
    def top(self) -> Any:
        """The screen on top."""
        assert self.app is not None
        return self.app.top

    def frames(self, count: int = 1) -> None:
        """Let the loop go round."""
        assert self.app is not None
        for _ in range(count):
            self._time += 1 / 60
            self.app.step(self._time)
            if self.app.stack and isinstance(self.top, ErrorPage) and not self.expects_error:
                raise self.top.error

    def lay_out(self, size: tuple[int, int] | None = None) -> App:
        """Lay what is seen out anew, for a window of another size in pixels where one is given; nothing is painted."""
        assert self.app is not None
        if size is not None:
            self.app.canvas = unpainted(size)
        self.app.lay_out()
        return self.app

    @contextmanager
    def unseen(self) -> Iterator[None]:
        """Lay out what comes, and paint nothing of it: on a long way to the page that a test looks at."""
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Screen, "paint", lambda *_: None)
            yield
        self.top.stale = True

    def until(self, holds: Callable[[], object], most: int = 300) -> None:
        """Let the loop go round until something holds; fails where it does not within so many frames."""
        for _ in range(most):
            if holds():
                return
            self.frames()
        raise AssertionError(f"nothing came of {most} frames")

    def press(self, *names: str, mod: int = 0) -> None:
        """Press keys by name, and draw."""
        for name in names:
            pygame.event.post(key_down(name, mod))
        self.frames(1)

    def write(self, text: str) -> None:
        """Type text into a field."""
        for letter in text:
            pygame.event.post(key_down("space" if letter == " " else letter.lower()))
            pygame.event.post(pygame.Event(pygame.TEXTINPUT, text=letter))
        self.frames(1)

    def change(self, name: str, value: object) -> None:
        """Let a control or a list of the top screen have another value, as its keys and a click do."""
        self.widget(name).change(value)
        self.top.stale = True
        self.frames(1)

    def fill_in(self, name: str, text: str) -> None:
        """Let a text field of the top screen hold a text."""
        self.change(name, Edited.at_end(text))

    def click(self, name: str) -> None:
        """Click in the middle of a widget, by its name."""
        at = self.widget(name).rect.center
        pygame.event.post(pygame.Event(pygame.MOUSEMOTION, pos=at, rel=(0, 0), buttons=(0, 0, 0)))
        pygame.event.post(pygame.Event(pygame.MOUSEBUTTONDOWN, pos=at, button=1))
        self.frames(1)

    def widget(self, name: str) -> Any:
        """The widget of that name on the top screen."""
        return next(widget for widget in self.top.widgets if widget.name == name)

    def names(self) -> list[str]:
        """The names of all widgets on the top screen."""
        return [widget.name for widget in self.top.widgets]

    def texts(self) -> str:
        """All text on the top screen, a line for each piece."""
        assert self.app is not None
        look = self.app.look
        return "\n".join(piece.text for widget in self.top.widgets for piece in widget.lettering(look))

    def play_as(self, name: str) -> None:
        """Let a player of the records play, on the level at hand."""
        level = self.context.level
        self.context.choose_player(self.context.records.find_player(name))
        self.give_second_tries(False)
        self.begin("at once")
        self.context.level = level

    def give_second_tries(self, given: bool) -> None:
        """Let wrong beats be tried again, or have every bar revealed at once, which is where most tests go."""
        self.context.settings = replace(self.context.settings, second_try=given)

    def begin(self, how: str | None) -> None:
        """Choose how every level begins, or choose nothing; most tests ask all figures at once."""
        beginnings = dict.fromkeys(shipped_names(), how) if how else {}
        self.context.settings = replace(self.context.settings, beginnings=beginnings)

    def hear(self) -> None:
        """Hear the bar of a practice screen to its end, if it was not heard yet."""
        if isinstance(self.top, Practice):
            if not self.top.sheet.hearings and self.top.waits:
                self.press("space")
            self.frames()
            if self.top.loudspeaker.leads_in:
                self.end_sound()

    def say(self, *figures: Figure) -> None:
        """Press the keys of figures, once the bar was heard."""
        self.hear()
        self.press(*(TILE_KEYS[self.context.level.figures.index(figure)] for figure in figures))

    def say_right(self) -> None:
        """Answer the bar of a practice screen rightly."""
        assert isinstance(self.top, Practice)
        self.say(*self.top.round.question.asked_figures)

    def say_wrong(self) -> None:
        """Answer the bar of a practice screen wrongly on every beat."""
        figures = self.context.level.figures
        heard = self.top.round.question.asked_figures
        self.say(*(figures[(figures.index(figure) + 1) % len(figures)] for figure in heard))

    def sound_from(self, open_device: Callable[[], Device]) -> None:
        """Let the sound, as the settings have it, come from another device."""
        chosen = self.context.settings
        self.context.sound = Sound(
            open_device, chosen.kit, chosen.volume, chosen.calibration / 1000, ROOMS[chosen.room], hits_made()
        )

    def say_wrong_of_two(self) -> None:
        """Answer the only asked beat with the other one of two figures on offer."""
        question = self.top.round.question
        self.say(next(figure for figure in question.choices if figure not in question.asked_figures))

    def close(self) -> None:
        """Close everything."""
        self.context.close()
        pygame.event.clear()
        # The next window takes what was drawn: only the display itself goes.
        pygame.display.quit()


@cache
def unpainted(size: tuple[int, int]) -> pygame.Surface:
    """A canvas of that size that only lends its size."""
    return pygame.Surface(size)


@cache
def hits_made() -> Path:
    """A folder for the hits of the drums, so that each is made once; it goes when the tests end."""
    folder = tempfile.TemporaryDirectory(prefix="drumlin-hits-")
    atexit.register(folder.cleanup)
    return Path(folder.name) / "cache"


def key_down(name: str, mod: int = 0) -> pygame.Event:
    """The event of a key that goes down."""
    return pygame.Event(pygame.KEYDOWN, key=pygame.key.key_code(name), mod=mod, unicode="", scancode=0)


def faults(app: App) -> Iterator[str]:
    """What is wrong with the layout of the top screen, a line each."""
    yield from misplaced(app)
    for widget in app.top.widgets:
        yield from faults_inside(app, widget)


def misplaced(app: App) -> Iterator[str]:
    """Which widgets of the top screen leave the window or lie over others, a line each."""
    page = pygame.Rect((0, 0), app.canvas.get_size())
    for widget in app.top.widgets:
        if not page.contains(widget.rect):
            yield f"{widget.name} leaves the window: {widget.rect}"
    solid = [widget for widget in app.top.widgets if not widget.layered]
    for one, other in combinations(solid, 2):
        if one.rect.colliderect(other.rect):
            yield f"{one.name} {one.rect} overlaps {other.name} {other.rect}"


def faults_inside(app: App, widget: Widget) -> Iterator[str]:
    """What of a widget lies outside its box or is cut, a line each."""
    ink = widget.ink()
    if ink and not widget.rect.inflate(4, 4).contains(ink):
        yield f"{widget.name}: notation {ink} leaves {widget.rect}"
    for piece in widget.lettering(app.look):
        if piece.text and not piece.fits:
            yield f"{widget.name}: {piece.text!r} is cut in {piece.box}"
        if piece.text and not widget.rect.contains(piece.box):
            yield f"{widget.name}: {piece.text!r} in {piece.box} leaves {widget.rect}"


Opened = Callable[..., Window]
