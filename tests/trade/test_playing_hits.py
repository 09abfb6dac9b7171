"""Strokes found in recorded hits of acoustic drums, against librosa's own finder, judged by mir_eval.

The hits come with Debian's packages hydrogen-drumkits and hydrogen-data (GPL and CC BY-SA, by their copyright files);
they are read from where the package puts them and are no part of this project.  The thresholds were chosen on other
kits than those here.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import librosa
import mir_eval
import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray
from scipy.signal import oaconvolve

from audio.onsets import onsets
from audio.recordings import UnreadableError, read_recording
from audio.takes import Recording
from shared.figures import Figure
from tests.playing import STAGE_4, played
from tests.sampling import some

KITS = Path("/usr/share/hydrogen/data/drumkits")
RATE = 48_000
HITS = {
    "snare": ("ForzeeStereo", "Snare*"),
    "toms": ("ColomboAcousticDrumkit", "tom-*.flac"),
    "rim": ("The Black Pearl 1.0", "PearlSideStick-*"),
}

pytestmark = pytest.mark.skipif(not KITS.is_dir(), reason="hydrogen-drumkits is not installed")


@cache
def hits(name: str) -> list[NDArray[np.float64]]:
    """Hits of one drum from their onset on: where they first reach a fiftieth of their attack's peak."""
    kit, pattern = HITS[name]
    found = []
    for path in sorted((KITS / kit).glob(pattern)):
        samples, rate = soundfile.read(path, always_2d=True)
        mono = librosa.resample(samples.mean(1), orig_sr=rate, target_sr=RATE)
        peak = np.abs(mono[: RATE // 10]).max()
        begin = int((np.abs(mono) > 0.02 * peak).argmax())
        found.append(mono[begin : begin + RATE] / peak)
    assert found, name
    return found


def recorded(
    rng: np.random.Generator, drums: list[NDArray[np.float64]], times: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Hits at these times, of 25 to 100 % loudness, in a small room with 35 dB of noise below them."""
    sound = np.zeros(int((times[-1] + 2) * RATE))
    for time in times:
        hit = drums[rng.integers(len(drums))] * rng.uniform(0.25, 1)
        at = round(time * RATE)
        part = sound[at : at + len(hit)]
        part += hit[: len(part)]
    room = rng.normal(size=RATE // 5) * np.exp(-np.arange(RATE // 5) / (0.06 * RATE) * 3)
    room *= 0.3 / np.sqrt((room**2).sum())
    room[0] += 1
    sound = oaconvolve(sound, room)[: len(sound)]
    level = np.sqrt((sound**2).mean())
    return (sound + rng.normal(size=len(sound)) * level * 10 ** (-35 / 20)).astype(np.float32)


def jittered(rng: np.random.Generator, tempo: float, beats: int) -> NDArray[np.float64]:
    one = played(rng, STAGE_4, tempo, beats, 0.012)
    return np.array([stroke.seconds + 1.0 for stroke in one.take])


def takes_of(name: str) -> Iterator[tuple[NDArray[np.float64], NDArray[np.float32]]]:
    """The times of takes at three tempi, played with such hits, and how they sound in a room."""
    rng = np.random.default_rng(12)
    for tempo in (60, 75, 90):
        times = jittered(rng, tempo, 24)
        yield times, recorded(rng, hits(name), times)


def librosas(sound: NDArray[np.float32]) -> NDArray[np.float64]:
    frames = librosa.onset.onset_detect(y=sound, sr=RATE, hop_length=256, units="time")
    return np.asarray(frames, np.float64) - 0.006  # its bias, as measured on such hits


@pytest.mark.parametrize("name", some(len(HITS), list(HITS)))
def test_onsets_of_recorded_hits(name: str) -> None:
    """Within 20 ms nearly all strokes are found and nearly nothing else."""
    ours = []
    for times, sound in takes_of(name):
        found = np.array([onset.seconds for onset in onsets(sound)])
        ours.append(mir_eval.onset.f_measure(times, found, window=0.02)[0])
        pairs = [found[np.abs(found - time).argmin()] - time for time in times]
        assert abs(float(np.median(pairs))) < 0.003
    assert np.mean(ours) >= 0.95


@pytest.mark.long
@pytest.mark.parametrize("name", list(HITS))
def test_onsets_are_found_as_well_as_librosa_finds_them(name: str) -> None:
    """Within 20 ms, but for two in a hundred."""
    ours, theirs = (
        np.mean([mir_eval.onset.f_measure(times, found(sound), window=0.02)[0] for times, sound in takes_of(name)])
        for found in (lambda sound: np.array([onset.seconds for onset in onsets(sound)]), librosas)
    )
    assert ours >= theirs - 0.02


@pytest.mark.parametrize(("name", "click"), some(4, ["snare", "rim"], [0.25, 0.0]))
def test_recorded_takes_are_read(name: str, click: float) -> None:
    """Hits played to a click, in a room: nearly every beat is read, hardly any otherwise, with the click or without."""
    rng = np.random.default_rng(3)
    right = told = wrong = total = 0
    for tempo in (60, 76, 92):
        one = played(rng, STAGE_4, tempo, 16, 0.015)
        start = 0.5 + 4 * 60 / tempo
        times = np.array([stroke.seconds + start for stroke in one.take])
        sound = recorded(rng, hits(name), times)
        beats = [0.5 + k * 60 / tempo for k in range(20)]
        tick = np.sin(2 * np.pi * 1700 * np.arange(1440) / RATE) * np.exp(-np.arange(1440) / 240)
        peak = np.abs(sound).max()
        for beat in beats if click else beats[:4]:
            at = round(beat * RATE)
            sound[at : at + 1440] += (tick * peak * (click or 0.25)).astype(np.float32)
        figures = _read(sound, tempo)
        for got, meant in zip(figures, one.figures, strict=False):
            right += got == meant
            told += got is not None
            wrong += got not in (None, meant)
        total += len(one.figures)
    assert wrong <= 0.02 * total
    assert right >= 0.9 * total
    assert told >= 0.9 * total


def _read(sound: NDArray[np.float32], tempo: float) -> tuple[Figure | None, ...]:
    try:
        return read_recording(Recording(sound), STAGE_4, 4, tempo, 4).reading.figures
    except UnreadableError as error:
        raise AssertionError(str(error)) from error
