"""A recording made while a passage sounded: when it began, and the player's strokes without its clicks."""

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.along import Along, Sounded, along
from audio.mixdown import mix
from audio.synthesis import RATE
from game.sessions.playing.playing import Run, run_of
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange
from shared.passages import Passage
from tests.kits import bank_of
from tests.sampling import some

BAR = parse_bar("1 e a 2 & 3 e & a 4")
PLAYED = parse_bar("1 & 2 & a 3 4 e &")


@cache
def mixed(passage: Passage, kit: str = "practice") -> NDArray[np.float32]:
    return mix(passage, bank_of(kit)).astype(np.float32).mean(1) / 32_768


def sounded(run: Run) -> Sounded:
    passage = run.hearing.passage
    clicks = [time for time, stroke in passage.timed if stroke.instrument == "click"]
    return Sounded(mixed(passage), [time for time, _ in passage.timed], clicks, run.alone)


def in_a_room(sound: NDArray[np.float32], rng: np.random.Generator, wet: float = 0.5) -> NDArray[np.float32]:
    """A sound over small loudspeakers in a room: without its lowest notes, with echoes that die away in 0.2 s."""
    spectrum = np.fft.rfft(sound, 1 << (len(sound) + RATE).bit_length())
    hertz = np.fft.rfftfreq((len(spectrum) - 1) * 2, 1 / RATE)
    spectrum *= hertz / np.hypot(hertz, 250)
    tail = rng.normal(size=RATE // 5) * np.exp(-np.arange(RATE // 5) / (0.03 * RATE))
    room = np.zeros((len(spectrum) - 1) * 2)
    room[0] = 1
    room[200 : 200 + len(tail)] += wet * tail / np.sqrt((tail**2).sum())
    found = np.fft.irfft(spectrum * np.fft.rfft(room))[: len(sound) + RATE // 5]
    return found.astype(np.float32)


def recorded(
    run: Run, rng: np.random.Generator, loud: float, began: float, spread: float = 0.01
) -> tuple[NDArray[np.float32], list[float]]:
    """What a microphone takes down: noise, the run at some loudness, and a player on a drum; and the true times."""
    passage = run.hearing.passage
    beat = passage.beat_seconds
    times = [run.begins + (n + float(at)) * beat + float(rng.normal(0, spread)) for n, at in PLAYED.onsets()]
    hit = mixed(arrange(parse_bar("1 (2) (3) (4)"), Setting("snare", 60, count_in=False)))
    hit = hit[: RATE // 2] / np.abs(hit).max()
    total = rng.normal(0, 0.001, round((began + passage.seconds + 1) * RATE)).astype(np.float32)
    for sound, at, level in [(in_a_room(mixed(passage), rng), began, loud), *((hit, began + t, 0.4) for t in times)]:
        first = round(at * RATE)
        part = total[first : first + len(sound)]
        part += level * sound[: len(part)]
    return total, times


def errors(found: Along, times: list[float], run: Run) -> NDArray[np.float64]:
    """How far each stroke of the bar lies from the one that was found, in seconds; none is missing, none is more."""
    over = run.ends - 0.75 * run.hearing.passage.beat_seconds
    seconds = np.array([stroke.seconds for stroke in found.strokes if stroke.seconds < over])
    assert len(seconds) == len(times), seconds
    return np.abs(seconds - np.array(times))


@pytest.mark.parametrize(("loud", "heard_first"), some(2, [0.05, 0.3, 1.0], [True, False]))
def test_over_loudspeakers_the_clock_is_found(loud: float, heard_first: bool) -> None:
    """The clicks are taken out and every stroke is within 5 ms, however late the sound, from the recording alone."""
    run = run_of(BAR, Setting("snare", 80, click=True), heard_first)
    rng = np.random.default_rng(round(loud * 100))
    sound, times = recorded(run, rng, loud, began=0.37)
    found = along(sound, sounded(run), 0.2)
    assert found.exact
    assert errors(found, times, run).max() < 0.005


def test_with_headphones_the_guess_holds() -> None:
    """Without the click in the recording the strokes keep to the guess, and that is said."""
    run = run_of(BAR, Setting("snare", 80, click=True), True)
    sound, times = recorded(run, np.random.default_rng(4), 0.0, began=0.3)
    found = along(sound, sounded(run), 0.3)
    assert not found.exact
    assert errors(found, times, run).max() < 0.005


def test_silence_has_no_strokes() -> None:
    """A muted microphone gives none, and no clock."""
    run = run_of(BAR, Setting("snare", 80, click=True), True)
    assert along(np.zeros(RATE * 12, np.float32), sounded(run), 0.3) == Along((), exact=False)


def test_a_player_along_with_the_bar_is_no_loudspeaker() -> None:
    """Who taps along while the bar is heard over headphones, 12 ms uneven, is not taken for the loudspeaker."""
    run = run_of(BAR, Setting("snare", 80, click=True), True)
    rng = np.random.default_rng(6)
    sound, times = recorded(run, rng, 0.0, began=0.3)
    hit = mixed(arrange(parse_bar("1 (2) (3) (4)"), Setting("snare", 60, count_in=False)))[: RATE // 2]
    for time, _ in run.hearing.passage.timed:
        if time < run.alone:
            first = round((0.3 + time + rng.normal(0, 0.012)) * RATE)
            sound[first : first + len(hit)] += hit
    found = along(sound, sounded(run), 0.3)
    assert not found.exact
    assert errors(found, times, run).max() < 0.005
