"""A player that hears a bar from the sound driver and plays it back, in the time of the sound it hears.

Time stands still but for what is heard: however busy the machine, every stroke comes when it was meant to.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from functools import cache
from itertools import cycle, islice
from pathlib import Path
from time import sleep
from types import SimpleNamespace

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.outputs import BUFFER
from game.app import App
from game.learning.evidence import Answer
from game.learning.marking import marked
from game.learning.question import Question, Reason, question_id
from game.screens.context import Context
from game.sessions.playing.playing import Played
from shared.bars import METERS, Bar
from shared.figures import Figure
from shared.levels import Tempo
from shared.orchestration import Setting
from shared.passages import Passage, Stroke
from tests.listening import Part, find_onsets
from tests.robot.ear import FRAME, LONGEST, RATE, DeafError, Microphone, beat_of, figures_heard
from tests.robot.player import Robot
from tests.robot.window import window_at
from tests.stand_ins import Kit, Room, with_microphone

fcntl, termios = pytest.importorskip("fcntl"), pytest.importorskip("termios")

PIECE = BUFFER / RATE
"""Seconds of a buffer of the mixer's."""

LOOK, LOOKS = 0.0001, 300_000
"""Seconds from one look at the pipe to the next at the least, and how often it is looked at in vain."""

SKIN = Part(0.0, 250.0, -12.0)
"""The low part of a snare drum, where the click and the sticks are more than 12 dB below it."""

JITTER, HABIT = 0.010, 0.020
"""The robot's strokes: their standard deviation, and how late all of them come, in seconds."""

KEYS, NOTES = "fj", (38, 43)
"""What the two hands play on: two keys, or two pads by their notes."""


class Stream(Microphone):
    """A microphone that listens a buffer at a time, the driver never more than one buffer ahead of it."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.buffers = 0
        # The least that the system allows: a page of its memory.
        self._holds = fcntl.fcntl(self._pipe, fcntl.F_SETPIPE_SZ, 1) if hasattr(fcntl, "F_SETPIPE_SZ") else FRAME * RATE
        if self._holds >= BUFFER * FRAME:
            self.close()
            pytest.skip("this system's pipes hold a buffer of sound or more")

    def piece(self) -> NDArray[np.int16]:
        """The next buffer."""
        self.buffers += 1
        return self.listen(PIECE)

    def settle(self) -> None:
        """Wait until the next buffer is mixed: it does not fit into the pipe, so the driver waits with the rest."""
        waiting = np.zeros(1, np.int32)
        # Looks are counted, not seconds: on a busy machine, or one that was halted, each takes longer.
        for _ in range(LOOKS):
            sleep(LOOK)
            fcntl.ioctl(self._pipe, termios.FIONREAD, waiting)
            if waiting[0] >= self._holds:
                return
        raise DeafError("the sound has come to a halt")


def bar_to_play(
    sound: NDArray[np.int16], beats: int, choices: Sequence[Figure]
) -> tuple[tuple[Figure | None, ...], float, float] | None:
    """What a take's sound so far asks for: a bar's figures, the seconds of its beat, and when to play it; or None.

    The bar sounds after a count-in of sticks and along a click, and is to be played after a count-in of clicks.
    """
    sticks = find_onsets(sound)[:beats]
    if len(sticks) < beats:
        return None
    beat = beat_of(sticks)
    # To just before the click that follows the bar.
    end = round((sticks[0] + (2 * beats - 0.1) * beat) * RATE)
    if len(sound) < end:
        return None
    return figures_heard(sound[:end], beats, choices, SKIN), beat, sticks[0] + 3 * beats * beat


def places_to_strike(heard: Sequence[Figure | None]) -> list[float]:
    """Where to strike, in beats of the bar: along with the two clicks before it, and as it was heard."""
    return [-2.0, -1.0] + [k + float(at) for k, figure in enumerate(heard) if figure for at in figure.onsets]


class Drummer(Robot):
    """Hears bars by ``stream`` and plays them back, ``spread`` uneven in seconds, always late by ``habit``.

    ``strike`` plays a stroke of one hand, 0 or 1; ``air`` is told each buffer that is heard.
    """

    def __init__(self, app: App, stream: Stream, seed: int, spread: float = JITTER, habit: float = HABIT) -> None:
        self.app, self.stream, self.spread, self.habit = app, stream, spread, habit
        self.rng = np.random.default_rng(seed)
        self.now = 0.0
        self.strike: Callable[[int], None] = self._strike_key
        self.air: Callable[[NDArray[np.int16]], None] = lambda _: None
        self._sound: list[NDArray[np.int16]] = []
        super().__init__(app, stream)

    def mixed(self) -> float:
        """The milliseconds that the mixer has mixed: it is a buffer ahead of what is heard."""
        return (self.now + PIECE) * 1000

    def choose_whole_bars(self) -> None:
        """Go from the first page to the one where whole bars are heard and played back."""
        self._press("y", *["tab"] * 5, "right", "1")
        assert not self.app.top.playing.in_steps

    @property
    def taken(self) -> list[Answer]:
        """What the records hold of what was played."""
        return [row for row in self.answers if row.ability == "playing"]

    def go_on(self) -> None:
        """Leave the bar that was played for the next."""
        self._press("return")

    def play_bar(self) -> tuple[tuple[Figure | None, ...], Played]:
        """Begin a take, hear its bar and play it; returns the figures as heard, and the take as it was read."""
        # In the middle of a buffer, so that it is plain with which one the sound begins.
        self.wait_until((self.stream.buffers + 1.4) * PIECE)
        begun, self._sound = self.stream.buffers, []
        self._press("space")
        heard, beat, begins = self._listen(begun * PIECE)
        for k, time in enumerate(self._strokes(heard, beat, begins)):
            self.wait_until(float(time))
            self.strike(k % 2)
            self._step()
        while self.app.top.taking:
            self.wait_until(self.now + beat / 2)
            self._step()
        return heard, self.app.top.playing.played

    def _listen(self, since: float) -> tuple[tuple[Figure | None, ...], float, float]:
        """The figures of the bar that sounds, the seconds of its beat, and when the bar that is to be played begins."""
        heard = None
        while heard is None:
            if self.now - since > LONGEST:
                raise DeafError("no bar")
            self.wait_until(self.now + 1.0)
            heard = bar_to_play(self.sound, self.level.meter.beats, self.app.top.playing.readable)
        figures, beat, begins = heard
        return figures, beat, since + begins

    @property
    def sound(self) -> NDArray[np.int16]:
        """All that was heard since the take was begun: (frames, 2)."""
        return np.concatenate(self._sound)

    def _strokes(self, heard: Sequence[Figure | None], beat: float, begins: float) -> NDArray[np.float64]:
        """When to strike, in seconds of the stream."""
        places = np.array(places_to_strike(heard))
        return np.sort(begins + places * beat + self.habit + self.rng.normal(0, self.spread, len(places)))

    def wait_until(self, time: float) -> None:
        """Hear on until a moment, in seconds from the beginning of the stream."""
        while self.stream.buffers < int(time / PIECE):
            piece = self.stream.piece()
            self._sound.append(piece)
            self.air(piece)
        self.stream.settle()
        self.now = max(self.now, time)

    def _strike_key(self, hand: int) -> None:
        """Post one of the two keys, down and up."""
        code = pygame.key.key_code(KEYS[hand])
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            pygame.event.post(pygame.Event(kind, key=code, mod=0, unicode="", scancode=0))


@contextmanager
def drummer_at(stage: str, tempo: float, folder: Path) -> Iterator[Drummer]:
    """A robot on the page where a bar is heard and played back, at one tempo; time is what it hears."""
    with window_at(stage, ("snare",), folder, tempo=Tempo(tempo, tempo), ear=Stream) as (app, stream):
        _meet_all(app.context)
        app.context.sound.open()
        stream.settle()
        drummer = Drummer(app, stream, seed=round(tempo))
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(pygame.mixer.music, "get_pos", drummer.mixed)
            patch.setattr("game.app.time", SimpleNamespace(perf_counter=lambda: drummer.now))
            drummer.choose_whole_bars()
            yield drummer


def _meet_all(context: Context) -> None:
    """Let the player have met every figure of the level before: bars to be played are of these alone."""
    level = context.level
    bar = Bar(level.meter, tuple(islice(cycle(level.figures), level.meter.beats)))
    beats = tuple(range(level.meter.beats))
    question = Question(bar, beats, level.figures, Setting(), Reason("Met before."), "met", meets=level.figures)
    context.keep(question_id("met"), marked(question, bar.figures, context.now(), level.name).answers)


def on_pads(drummer: Drummer) -> None:
    """Let a robot play on a kit of pads, which sends each stroke among its clock, and bounces of the pad."""
    kit, context = Kit(), drummer.app.context
    context.pads = kit.pads
    context.change_settings(play_on="pads", pads="Reed pad", pad_hands={str(NOTES[0]): "R", str(NOTES[1]): "L"})

    def strike(hand: int) -> None:
        drummer.wait_until(drummer.now + 0.003)
        kit.strike(NOTES[hand], age=0.003)
        kit.strike(NOTES[hand], age=-0.012)
        kit.waiting += [(0xF8, 0, 0, 0.0), (0xFE, 0, 0, 0.0)] * 40

    drummer.strike = strike


@cache
def hit(drum: str) -> NDArray[np.float64]:
    """A stroke on a drum of our own, as the pupil's: of another kit than the one that sounds."""
    single = Passage(METERS["4/4"], 60, 1, 0, (Stroke(0, 1, Fraction(0), drum, 0.9),))
    sound = mix(single, Bank("stage")).astype(float).mean(1)[: RATE // 2]
    return np.asarray(sound / np.abs(sound).max())


class Air:
    """What a microphone hears: drum, room noise 40 dB below it, and the loudspeaker, as ``loud`` as is said."""

    def __init__(self, drummer: Drummer, room: Room, drum: str, loud: float) -> None:
        self._drummer, self._room, self._drum, self._loud = drummer, room, drum, loud
        self._ringing = np.zeros(RATE)

    def strike(self, _hand: int) -> None:
        """Strike the drum now."""
        first = round((self._drummer.now - self._drummer.stream.buffers * PIECE) * RATE)
        sound = hit(self._drum)
        self._ringing[first : first + len(sound)] += self._drummer.rng.uniform(0.3, 0.6) * sound

    def carry(self, piece: NDArray[np.int16]) -> None:
        """Let the microphone hear as much of all that sounds as the loudspeaker has just played."""
        played = self._loud * piece.astype(float).mean(1) / 32_768
        noise = self._drummer.rng.normal(0, 4e-3, len(piece))
        self._room.hear(played + noise + self._ringing[: len(piece)])
        self._ringing = np.pad(self._ringing[len(piece) :], (0, len(piece)))


def before_a_microphone(drummer: Drummer, drum: str, loud: float) -> None:
    """Let a robot play a drum before a microphone, in a room where the loudspeaker is so loud (0: headphones)."""
    air = Air(drummer, with_microphone(drummer.app.context), drum, loud)
    drummer.strike, drummer.air = air.strike, air.carry
