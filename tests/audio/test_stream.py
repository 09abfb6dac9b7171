"""What a listener gets: the stream that SDL's disk driver writes, byte for byte."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.outputs import BUFFER
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange

BAR = 'arrange(parse_bar("1 e a 2 &"), Setting("kick-and-snare", 120, count_in=False))'
"""Long enough that it still sounds when a busy machine comes back late to cut it."""

PLAYED = f"""
import time
import pygame
from audio.kit import Bank
from audio.mixdown import mix
from audio.player import open_player
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange

bar = mix({BAR}, Bank())
pygame.display.init()
player = open_player(volume=0.0)


def wait(seconds=10.0):
    end = time.monotonic() + seconds
    while player.playing and time.monotonic() < end:
        for event in pygame.event.get():
            if event.type == pygame.AUDIODEVICEREMOVED:
                lost(event)
        time.sleep(0.002)

"""

CLOSED = """
time.sleep(0.15)
player.close()
"""


def expected() -> NDArray[np.int16]:
    return mix(arrange(parse_bar("1 e a 2 &"), Setting("kick-and-snare", 120, count_in=False)), Bank())


def stream_of(script: str, folder: Path) -> NDArray[np.int16]:
    """Run a script in a process of its own on the disk driver and give the stream it left: (frames, 2)."""
    if os.name == "nt":
        pytest.skip("the limits of this check are those of POSIX systems")
    file = folder / "stream.raw"
    environment = {**os.environ, "SDL_AUDIODRIVER": "disk", "SDL_DISKAUDIOFILE": str(file), "SDL_VIDEODRIVER": "dummy"}
    root = str(Path(__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=root,
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return np.fromfile(file, np.int16).reshape(-1, 2)


def silent_frames(stream: NDArray[np.int16]) -> int:
    """How many frames pass before something sounds."""
    return int(stream.any(axis=1).argmax())


def test_stream_is_the_mix_to_the_byte(tmp_path: Path) -> None:
    """After whole buffers of silence the device gets exactly the mixed samples, and silence after them."""
    stream = stream_of(PLAYED + "player.play(bar); wait()" + CLOSED, tmp_path)
    start, bar = silent_frames(stream), expected()
    assert start % BUFFER == 0
    assert np.array_equal(stream[start : start + len(bar)], bar)
    assert not stream[start + len(bar) :].any()


def test_replay_starts_within_a_buffer(tmp_path: Path) -> None:
    """A replay cuts what sounds and begins at the next buffer, with no gap."""
    stream = stream_of(PLAYED + "player.play(bar); time.sleep(0.2); player.play(bar); wait()" + CLOSED, tmp_path)
    start, bar = silent_frames(stream), expected()
    cuts = [
        cut for cut in range(BUFFER, len(bar), BUFFER)
        if np.array_equal(stream[start + cut : start + cut + len(bar)], bar)
    ]  # fmt: skip
    assert len(cuts) == 1
    assert np.array_equal(stream[start : start + cuts[0]], bar[: cuts[0]])


def test_a_sound_that_goes_on_as_another_has_no_seam(tmp_path: Path) -> None:
    """In the midst of a sound another one goes on that is like it up to a later place: no frame is lost or doubled."""
    bar, first = expected(), 2_345
    until = len(bar) * 3 // 4
    other = f"other = bar[{first}:].copy(); other[{until - first}:] = 0"
    script = f"{other}; player.play(bar); time.sleep(0.15); player.go_on(other, {first} / 48_000); wait()"
    stream = stream_of(PLAYED + script + CLOSED, tmp_path)
    start = silent_frames(stream)
    assert np.array_equal(stream[start : start + until], bar[:until])
    assert not stream[start + until :].any()


def test_sound_goes_on_while_the_program_is_busy(tmp_path: Path) -> None:
    """A stretch of work that leaves no time for anything else in Python does not stop the sound."""
    busy = """
import os
file = os.environ["SDL_DISKAUDIOFILE"]
player.play(bar)
time.sleep(0.1)
before, began = os.path.getsize(file), time.monotonic()
sum(range(10_000_000))
heard, took = (os.path.getsize(file) - before) / 192_000, time.monotonic() - began
assert heard > took / 3, f"{heard:.2f} s heard in {took:.2f} s of work"
"""
    stream_of(PLAYED + busy + CLOSED, tmp_path)


def test_stop_is_silence_at_the_next_buffer(tmp_path: Path) -> None:
    """A stop cuts the sound at a buffer's edge; nothing of it comes later."""
    stream = stream_of(PLAYED + "player.play(bar); time.sleep(0.2); player.stop()" + CLOSED, tmp_path)
    start, bar = silent_frames(stream), expected()
    played = int(np.flatnonzero(stream.any(axis=1))[-1]) + 1 - start
    assert played < len(bar)
    assert np.array_equal(stream[start : start + played], bar[:played])


def test_lost_device_is_opened_anew(tmp_path: Path) -> None:
    """A device that dies while sounding is opened anew; the sound goes on from where it was, and nothing hangs."""
    limited = """
import resource, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]

def lost(event):
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    assert player.handle_event(event)
    assert player.playing and not player.silent and player.notice is None

resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, most))
player.play(bar); wait()
assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == most, "the device was never lost"
"""
    stream = stream_of(PLAYED + limited + CLOSED, tmp_path)
    start, bar = silent_frames(stream), expected()
    rest = stream[start:][: np.flatnonzero(stream.any(axis=1))[-1] + 1 - start]
    # The driver starts its file anew: it holds the end of the bar and nothing else.
    assert BUFFER < len(rest) < len(bar)
    assert np.array_equal(rest, bar[-len(rest) :])


STARTS = """
import time
import numpy as np
import pygame
from audio.outputs import MixerOutput

click = np.full((2400, 2), 8000, np.int16)
output = MixerOutput()
time.sleep(0.3)
for number in range(COUNT):
    time.sleep(0.2 + 0.01 * (number * 7 % 5))
    output.start(click)
    print(pygame.mixer.music.get_pos() / 1000 - output.elapsed())
time.sleep(0.3)
output.close()
"""


def starts_off(count: int, folder: Path) -> NDArray[np.float64]:
    """Of so many starts on the disk driver, how far each began from where the output told, in seconds."""
    file = folder / "starts.raw"
    environment = {**os.environ, "SDL_AUDIODRIVER": "disk", "SDL_DISKAUDIOFILE": str(file), "SDL_VIDEODRIVER": "dummy"}
    environment["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
    script = STARTS.replace("COUNT", str(count))
    root = str(Path(__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=root,
        env=environment,
        capture_output=True,
        text=True,
        timeout=110,
        check=True,
    )
    told = np.array([float(line) for line in done.stdout.split()])
    loud = np.fromfile(file, np.int16).reshape(-1, 2)[:, 0] != 0
    begun = np.flatnonzero(loud & ~np.concatenate([[False], loud[:-1]])) / 48_000
    assert len(told) == count
    ahead = begun[0] - told[0]  # the file begins before the music whose position counts
    nearest = abs(begun - ahead - told[:, None]).argmin(1)  # a machine that stops for longer than a click may drop one
    off: NDArray[np.float64] = begun[nearest] - told
    return off - np.median(off)


@pytest.mark.skipif(os.name == "nt", reason="the limits of this check are those of POSIX systems")
@pytest.mark.parametrize("starts", [12, pytest.param(40, marks=pytest.mark.long)])
def test_a_sound_begins_where_the_output_says(starts: int, tmp_path: Path) -> None:
    """Of starts at any moment, all but one in twenty lie within 3 ms of where the playhead counts from."""
    assert int((abs(starts_off(starts, tmp_path)) < 0.003).sum()) >= starts - max(1, starts // 20)
