"""A robot that plays: it hears the bar in the sound alone, works out its strokes, and plays them into the real loop.

As key events, on a kit of MIDI pads, and on a drum before a microphone in a room with noise and the loudspeaker on.
"""

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from game.screens.playing.playing import PlayBar
from shared.bars import METERS
from shared.figures import Figure
from shared.passages import Passage, Stroke
from tests.listening import Part, find_onsets
from tests.robot.ear import RATE, figures_heard
from tests.sampling import some
from tests.screens.test_playing_screen import play_bar, with_microphone
from tests.screens.window import Window
from tests.stand_ins import Kit

SEMIQUAVER_LEVELS = ("stage-3", "stage-4")
"""Shipped levels whose figures lie on the semiquaver grid."""

SKIN = Part(0.0, 300.0, -25.0)
"""The low part of a snare drum, which neither the click nor the sticks have."""

JITTER = 0.010
"""The standard deviation of the robot's strokes, in seconds."""


class Drummer:
    """Hears bars and plays them back: ``spread`` uneven in seconds, always late by ``habit``."""

    def __init__(self, window: Window, rng: np.random.Generator, spread: float = JITTER, habit: float = 0.02) -> None:
        self.window, self.rng, self.spread, self.habit = window, rng, spread, habit
        self.beats = window.context.level.meter.beats
        self.heard: tuple[Figure | None, ...] = ()

    def listen(self) -> tuple[NDArray[np.float64], NDArray[np.int16]]:
        """Begin a take, hear its bar; returns when to strike, in seconds from the start of the sound, and the sound."""
        self.window.press("space")
        sound = self.window.device.played[-1]
        sticks = find_onsets(sound[: 8 * RATE])[: self.beats]
        beat = float(sticks[-1] - sticks[0]) / (self.beats - 1)
        bar = sound[: round((sticks[0] + (2 * self.beats - 0.1) * beat) * RATE)]
        self.heard = figures_heard(bar, self.beats, self.window.top.playing._readable, SKIN)
        begins = sticks[0] + 3 * self.beats * beat
        places = [-2.0, -1.0]
        places += [k + float(at) for k, figure in enumerate(self.heard) if figure for at in figure.onsets]
        struck = begins + np.array(places) * beat + self.habit + self.rng.normal(0, self.spread, len(places))
        return np.sort(struck), sound

    def end(self) -> bool:
        """Let the take end; says whether it was read as it was heard, and so as it is written."""
        run = self.window.top._run
        self.window.device.where = run.ends
        self.window.frames(2)
        played = self.window.top.playing.played
        assert self.heard == played.bar.figures, "the robot misheard"
        return bool(played.as_written)


def at_tempo(window: Window, tempo: float) -> PlayBar:
    page = play_bar(window)
    page.playing.tempo = tempo
    window.show(page)
    return page


def rounds(drummer: Drummer, tempo: float, bars: int, one: Callable[[Drummer], bool]) -> list[bool]:
    """So many bars, each at the same tempo."""
    found = []
    for _ in range(bars):
        drummer.window.top.playing.tempo = tempo
        found.append(one(drummer))
        drummer.window.top._next()
        drummer.window.frames()
    return found


def by_keys(drummer: Drummer) -> bool:
    struck, _ = drummer.listen()
    for k, time in enumerate(struck):
        drummer.window.device.where = float(time)
        drummer.window.press("fj"[k % 2])
    return drummer.end()


@pytest.mark.parametrize(("stage", "tempo"), some(3, SEMIQUAVER_LEVELS, (60.0, 80.0, 100.0)))
def test_keys_are_read_right(opened, stage: str, tempo: float) -> None:
    """With 10 ms of jitter every bar is read as it was heard, up to 100 a minute on semiquaver levels."""
    window = opened(level=stage)
    at_tempo(window, tempo)
    drummer = Drummer(window, np.random.default_rng(round(tempo)))
    assert rounds(drummer, tempo, 6, by_keys) == [True] * 6


def test_pads_are_read_right(opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """A kit sends each stroke among its clock, and bounces of the pad."""
    window, kit = opened(level="stage-4"), Kit()
    monkeypatch.setattr("game.app.time", SimpleNamespace(perf_counter=lambda: window.device.where or 0.0))
    window.context.pads = kit.pads
    window.context.change_settings(play_on="pads", pads="Reed pad", pad_hands={"38": "R", "43": "L"})
    at_tempo(window, 90.0)

    def one(drummer: Drummer) -> bool:
        struck, _ = drummer.listen()
        for k, time in enumerate(struck):
            window.device.where = float(time) + 0.003
            kit.strike((38, 43)[k % 2], age=0.003)
            kit.strike((38, 43)[k % 2], age=-0.012)
            kit.waiting += [(0xF8, 0, 0, 0.0), (0xFE, 0, 0, 0.0)] * 40
            window.frames()
        return drummer.end()

    assert rounds(Drummer(window, np.random.default_rng(7)), 90.0, 8, one) == [True] * 8


@cache
def hit(drum: str, kit: str = "stage") -> NDArray[np.float64]:
    """A stroke on a drum of our own kit, as the pupil's drum; another kit than the one that sounds."""
    single = Passage(METERS["4/4"], 60, 1, 0, (Stroke(0, 1, Fraction(0), drum, 0.9),))
    sound = mix(single, Bank(kit)).astype(float).mean(1)[: RATE // 2]
    return np.asarray(sound / np.abs(sound).max())


def in_the_room(drummer: Drummer, drum: str, loud: float) -> bool:
    """Play on a drum before the microphone, with room noise 40 dB down, the loudspeaker as loud as said."""
    window, rng = drummer.window, drummer.rng
    room = window.room
    struck, sound = drummer.listen()
    run = window.top._run
    began = 0.06
    heard = rng.normal(0, 4e-3, round((run.ends + 0.4) * RATE))
    mixed = sound.astype(float).mean(1) / 32_768
    part = heard[round(began * RATE) :]
    part[: len(mixed)] += loud * mixed[: len(part)]
    for time in struck:
        part = heard[round((began + time) * RATE) :][: RATE // 2]
        part += rng.uniform(0.3, 0.6) * hit(drum)[: len(part)]
    room.hear(heard)
    return drummer.end()


@pytest.mark.parametrize(("drum", "loud"), some(6, ("snare", "cross-stick", "high-tom", "floor-tom"), (0.0, 0.1, 0.5)))
def test_a_drum_in_a_room_is_read_right(opened, drum: str, loud: float) -> None:
    """With headphones and over loudspeakers, on four drums, with noise and 10 ms of jitter, at 70 a minute."""
    window = opened(level="stage-3")
    window.room = with_microphone(window.context)
    start = window.room.open

    def opened_then_quiet(name: str, take):
        found = start(name, take)
        window.room.hear(np.zeros(2400))
        return found

    window.room.open = opened_then_quiet
    at_tempo(window, 70.0)
    drummer = Drummer(window, np.random.default_rng(11))
    found = rounds(drummer, 70.0, 3, lambda one: in_the_room(one, drum, loud))
    assert found == [True] * 3
