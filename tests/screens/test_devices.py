"""Sound devices that are missing, go and come back while a bar sounds: told once, and nothing hangs."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pygame
import pytest

from audio.outputs import NoDeviceError, SilentOutput
from audio.player import SoundPlayer
from game.screens.home.home import Home
from game.screens.notices.dialog import Dialog
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from game.widgets.moves import Pop
from tests.screens.window import Window

GONE = pygame.Event(pygame.AUDIODEVICEREMOVED, which=2, iscapture=0)
BACK = pygame.Event(pygame.AUDIODEVICEADDED, which=0, iscapture=0)


@dataclass
class Socket:
    """A place for a sound device, which can be plugged in and pulled out; time passes by ``now``."""

    plugged: bool = True
    now: float = 0.0
    outputs: list["Loudspeaker"] = field(default_factory=list)

    def open(self) -> "Loudspeaker":
        if not self.plugged:
            raise NoDeviceError("nothing is plugged in")
        self.outputs.append(Loudspeaker(self))
        return self.outputs[-1]

    def stand_in(self) -> SilentOutput:
        return SilentOutput(lambda: self.now)

    def player(self) -> SoundPlayer:
        try:
            return SoundPlayer(self.open(), self.open, self.stand_in)
        except NoDeviceError as error:
            player = SoundPlayer(self.stand_in(), self.open, self.stand_in)
            player.notice = f"No sound device was found ({error}). Everything works, in silence."
            return player


@dataclass
class Loudspeaker:
    """An output that keeps time and how often it was started."""

    socket: Socket
    started: float = 0.0
    starts: int = 0

    def start(self, _samples: Any) -> None:
        self.started, self.starts = self.socket.now, self.starts + 1

    def elapsed(self) -> float:
        return self.socket.now - self.started

    def stop(self) -> None:
        pass

    def close(self) -> None:
        pass


@pytest.fixture
def socket(window: Window) -> Iterator[Socket]:
    """A window whose sound comes from a socket."""
    socket = Socket()
    window.sound_from(socket.player)
    yield socket
    pygame.event.clear()


def pass_time(window: Window, socket: Socket, seconds: float) -> None:
    socket.now += seconds
    window.frames()


def test_missing_device_is_told_once(window: Window, socket: Socket) -> None:
    """The first bar says that there is none; after a key the heading is back, and later bars say nothing."""
    socket.plugged = False
    window.practise(Home(window.context))
    assert "No sound device was found" in window.widget("news").text
    pass_time(window, socket, 20.0)
    window.say_right()
    window.press("return")
    assert isinstance(window.top, Reveal)
    window.press("return")
    window.frames(3)
    assert isinstance(window.top, Practice)
    assert "news" not in window.names()


def test_playhead_goes_on_without_the_device(window: Window, socket: Socket) -> None:
    """Pulled out while a bar sounds: told once, and the mark goes on from where it was, in silence."""
    window.practise()
    pass_time(window, socket, 1.0)
    before = window.top.loudspeaker.moment()
    socket.plugged = False
    pygame.event.post(GONE)
    window.frames()
    assert "The sound device is gone" in window.widget("news").text
    assert window.top.loudspeaker.moment().beats == pytest.approx(before.beats, abs=0.01)
    pass_time(window, socket, 0.5)
    assert window.top.loudspeaker.moment().beats > before.beats
    window.press("1")
    assert "news" not in window.names()
    assert window.top.round.sheet.picks[0] is not None


def test_device_that_comes_back_is_used(window: Window, socket: Socket) -> None:
    """Plugged in again within the bar: the same sound goes on there, and one line says so."""
    window.practise()
    pass_time(window, socket, 1.0)
    socket.plugged = False
    pygame.event.post(GONE)
    window.frames()
    pass_time(window, socket, 0.5)
    socket.plugged = True
    pygame.event.post(BACK)
    window.frames()
    assert window.widget("news").text == "The sound is back."
    assert window.context.sound.position() == pytest.approx(1.5, abs=0.01)
    assert socket.outputs[-1].starts == 1
    assert window.top.round.sheet.hearings == 1


def test_another_device_takes_over_in_silence(window: Window, socket: Socket) -> None:
    """Where another device can be opened at once, the bar goes on there and nothing needs telling."""
    window.practise()
    pass_time(window, socket, 1.0)
    pygame.event.post(GONE)
    window.frames()
    assert "news" not in window.names()
    assert len(socket.outputs) == 2
    assert window.context.sound.position() == pytest.approx(1.0, abs=0.01)


def test_loose_plug_never_hangs(window: Window, socket: Socket) -> None:
    """Twenty times out and in while keys are pressed: the round goes on and every answer is kept."""
    window.practise(Home(window.context))
    for turn in range(20):
        socket.plugged = bool(turn % 2)
        pygame.event.post(BACK if socket.plugged else GONE)
        window.press("space", "1")
    pass_time(window, socket, 20.0)
    window.say_right()
    window.press("return")
    assert isinstance(window.top, Reveal)
    assert window.context.records.count_answers(window.context.player) == 4


def test_news_under_a_question_stays_in_sight(window: Window, socket: Socket) -> None:
    """While a question lies over the page, the page around it tells the news."""
    below = open_practice(window.context)
    window.show(Dialog(window.context, "Leave?", "Stay", "Leave", Pop), below)
    window.context.sound.open()
    socket.plugged = False
    pygame.event.post(GONE)
    window.frames()
    assert "The sound device is gone" in below.news
