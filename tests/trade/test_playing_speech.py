"""Nobody's words are a take: from speech, made by a synthesiser of Debian's, and from noise no figure is told."""

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from audio.recordings import UnreadableError, read_recording
from audio.takes import Recording, load_take
from shared.figures import Figure
from tests.playing import STAGE_4, WITH_TRIPLETS

WORDS = (
    "The rain came down the hill and over the lake. We counted boats in the harbour until the light went. "
    "Tell me, how many did you see? Ten, twelve, perhaps twenty. Bring the sticks back, please, and turn the page. "
) * 3
PIECE = 10 * 48_000


def told(sound: Recording, figures: tuple[Figure, ...], tempo: float, counted: int) -> int:
    """How many beats are told of a sound."""
    try:
        return sum(figure is not None for figure in read_recording(sound, figures, 4, tempo, counted).reading.figures)
    except UnreadableError:
        return 0


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng is not installed")
@pytest.mark.parametrize(
    ("voice", "most"),
    [("en", 1), *(pytest.param(voice, 9, marks=pytest.mark.long) for voice in ("en", "en-us+f3", "de"))],
)
def test_speech_is_no_take(voice: str, most: int, tmp_path: Path) -> None:
    """Ten seconds of speech at a time, with a count-in looked for and without: nothing is told."""
    path = tmp_path / "speech.wav"
    subprocess.run(["espeak-ng", "-v", voice, "-w", str(path), WORDS], check=True, timeout=60)
    spoken = load_take(path)
    assert isinstance(spoken, Recording)
    for first in range(0, len(spoken.samples) - PIECE, PIECE)[:most]:
        piece = Recording(spoken.samples[first : first + PIECE])
        assert (
            told(piece, STAGE_4, 72, 0) == told(piece, WITH_TRIPLETS, 96, 0) == told(piece, WITH_TRIPLETS, 80, 4) == 0
        )


@pytest.mark.parametrize("counted", [0, 4])
def test_noise_is_no_take(counted: int) -> None:
    """Steady noise, and noise that swells and fades, say nothing."""
    rng = np.random.default_rng(7)
    noise = rng.normal(0, 0.1, PIECE).astype(np.float32)
    swell = noise * (1 + np.sin(np.arange(PIECE) / 48_000 * 5)).astype(np.float32)
    assert told(Recording(noise), STAGE_4, 80, counted) == told(Recording(swell), WITH_TRIPLETS, 80, counted) == 0


@pytest.mark.long
@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng is not installed")
@pytest.mark.parametrize("voice", ["en", "en-us+f3", "de", "fr", "es", "it+m2"])
def test_an_hour_of_speech_is_no_take(voice: str, tmp_path: Path) -> None:
    """Ten minutes of each voice, at other speeds and tempi: no figure is told of any ten seconds."""
    rng, found = np.random.default_rng(len(voice)), 0
    for minute in range(10):
        path = tmp_path / f"{minute}.wav"
        speed = str(120 + 12 * minute)
        subprocess.run(["espeak-ng", "-v", voice, "-s", speed, "-w", str(path), WORDS * 4], check=True, timeout=60)
        spoken = load_take(path)
        assert isinstance(spoken, Recording)
        for first in range(0, min(len(spoken.samples), 6 * PIECE) - PIECE + 1, PIECE):
            piece = Recording(spoken.samples[first : first + PIECE])
            found += told(piece, STAGE_4, float(rng.uniform(50, 120)), int(rng.choice([0, 4])))
    assert found == 0


@pytest.mark.long
def test_an_hour_of_noise_is_no_take() -> None:
    """White, brown and hummed noise, steady and swelling: no figure is told of any ten seconds."""
    rng, found = np.random.default_rng(60), 0
    at = np.arange(PIECE) / 48_000
    for number in range(360):
        noise = rng.normal(0, 0.1, PIECE)
        if number % 3 == 1:
            noise = np.cumsum(noise - noise.mean()) / 100
        if number % 3 == 2:
            noise += 0.2 * np.sin(at * rng.uniform(300, 3000))
        noise *= 1 + rng.uniform(0, 1) * np.sin(at * rng.uniform(1, 12))
        sound = Recording((noise / max(1.0, np.abs(noise).max())).astype(np.float32))
        found += told(sound, STAGE_4, float(rng.uniform(50, 120)), int(rng.choice([0, 4])))
    assert found == 0
