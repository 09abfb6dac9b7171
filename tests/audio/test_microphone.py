"""The microphone: what it takes down, how loud it is, and what is said where it can't be used."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from audio.microphone import CLEAR, Microphone, MicrophoneError, loudness_words
from tests.stand_ins import RATE, Room


@pytest.fixture
def room() -> Room:
    return Room()


@pytest.fixture
def microphone(room: Room) -> Microphone:
    return Microphone(lambda: room, lambda: room.now)


def test_sound_is_taken_down_as_it_is(room: Room, microphone: Microphone) -> None:
    """Sample by sample, from the start to the stop, and a moment in it is found again."""
    wave = np.sin(np.arange(RATE) * 0.05).astype(np.float32) * 0.5
    microphone.start()
    room.hear(wave[: RATE // 2])
    microphone.mark()
    room.hear(wave[RATE // 2 :])
    microphone.stop()
    room.hear(wave)
    assert np.abs(microphone.sound() - wave).max() < 1e-4
    assert microphone.marked == pytest.approx(0.5, abs=1e-6)


def test_a_new_start_forgets(room: Room, microphone: Microphone) -> None:
    """What was taken down before is gone."""
    microphone.start()
    room.hear(np.ones(RATE))
    microphone.start()
    assert len(microphone.sound()) == 0


def test_loudness_is_told_in_words(room: Room, microphone: Microphone) -> None:
    """Silence, too faint, clear and overdriven each have their sentence."""
    microphone.start()
    said = []
    for level in (0.0, 0.01, 0.3, 1.0):
        room.hear(np.full(4800, level))
        said.append(loudness_words(microphone.loudness().peak))
    assert [words.split()[0] for words in said] == ["Nothing", "Very", "Good", "Too"]
    assert said[2] == CLEAR


def test_a_microphone_that_is_pulled_out(room: Room, microphone: Microphone) -> None:
    """Without a chunk for a second it is taken for lost."""
    microphone.start()
    room.hear(np.zeros(4800))
    assert microphone.loudness().alive
    room.now += 1.5
    assert not microphone.loudness().alive


def test_a_refused_microphone(room: Room, microphone: Microphone) -> None:
    """The reason and what would do, in one line."""
    room.refused = "access denied"
    with pytest.raises(MicrophoneError, match=r"can't be opened \(access denied\).*privacy settings") as caught:
        microphone.start()
    assert "\n" not in str(caught.value)
    assert not microphone.running


SCRIPT = """
import sys, time
from pathlib import Path
from audio.microphone import Microphone, MicrophoneError
folder = Path(sys.argv[1])
microphone = Microphone()
for _ in range(4):
    microphone.start()
    until = time.monotonic() + 5
    while len(microphone.sound()) < 4800 and time.monotonic() < until:
        sum(range(1000))  # no rest: the interpreter is busy whenever a chunk comes
    microphone.stop()
print(round(float(abs(microphone.sound()[:4800]).max()), 3))
(folder / "in.raw").unlink()
try:
    microphone.start()
except MicrophoneError as error:
    print(error)
"""


def test_sdl_gives_what_a_file_holds(tmp_path: Path) -> None:
    """By the real library: its disk driver delivers a file as the microphone, opened and closed several times over.

    In a process of its own: where closing waits for a chunk and the chunk for the interpreter, both wait for ever.
    """
    (np.sin(np.arange(RATE) * 0.05) * 12_000).astype(np.int16).tofile(tmp_path / "in.raw")
    environment = {
        **os.environ, "SDL_AUDIODRIVER": "disk", "SDL_DISKAUDIOFILE": str(tmp_path / "out.raw"),
        "SDL_DISKAUDIOFILEIN": str(tmp_path / "in.raw"), "PYGAME_HIDE_SUPPORT_PROMPT": "1",
    }  # fmt: skip
    command = [sys.executable, "-c", SCRIPT, str(tmp_path)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=True)
    loudest, refused = done.stdout.splitlines()
    assert float(loudest) == pytest.approx(12_000 / 32_768, abs=0.002)
    assert "in.raw" in refused
