"""What a listener gets: the stream that SDL's disk driver writes, byte for byte."""

import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.mixdown import mix
from audio.outputs import BUFFER
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange
from tests.kits import bank_of

BAR = 'arrange(parse_bar("1 e a 2 &"), Setting("kick-and-snare", 120, count_in=False))'
"""Long enough that it still sounds when a busy machine comes back late to cut it."""

FROM, UNTIL = 2_345, 44_000
"""Of the sound that goes on as another one: its first frame there, and where all is over."""

PLAYED = f"""
import os
import time
import pygame
from audio.kit import Bank
from audio.mixdown import mix
from audio.player import open_player
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange

bar = mix({BAR}, Bank())
file = os.environ["SDL_DISKAUDIOFILE"]
pygame.display.init()
player = open_player(volume=0.0)


def wait(seconds=10.0):
    end = time.monotonic() + seconds
    while player.playing and time.monotonic() < end:
        for event in pygame.event.get():
            if event.type == pygame.AUDIODEVICEREMOVED:
                lost(event)
        time.sleep(0.002)


def part_ends():
    silent, end = os.path.getsize(file) + 4 * {4 * BUFFER}, time.monotonic() + 10
    while os.path.getsize(file) < silent and time.monotonic() < end:
        time.sleep(0.005)
    print(os.path.getsize(file))

"""

WHOLE_STOPPED_BUSY = """
player.play(bar)
wait()
part_ends()

player.play(bar)
time.sleep(0.2)
player.stop()
part_ends()

player.play(bar)
time.sleep(0.1)
before, began = os.path.getsize(file), time.thread_time()
sum(range(10_000_000))
heard, took = (os.path.getsize(file) - before) / 192_000, time.thread_time() - began
player.stop()
part_ends()
player.close()
print(heard, took)
"""

REPLAYED_GOING_ON = f"""
player.play(bar)
time.sleep(0.2)
player.play(bar)
wait()
part_ends()

player.play(bar)
time.sleep(0.15)
player.go_on(bar[{FROM}:{UNTIL}], {FROM} / 48_000)
wait()
part_ends()
player.close()
"""

LOST = """
import resource, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]

def lost(event):
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    assert player.handle_event(event)
    assert player.playing and not player.silent and player.notice is None

resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, most))
player.play(bar)
wait()
assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == most, "the device was never lost"
part_ends()
player.close()
"""

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the limits of these checks are those of POSIX systems")
Stream = NDArray[np.int16]
"""What the device gets: (frames, 2)."""


class Played(NamedTuple):
    """The streams of a bar, a replay, a stop, a sound that goes on and a lost device; how long a busy program was
    heard, and worked, in seconds."""

    whole: Stream
    replayed: Stream
    stopped: Stream
    going_on: Stream
    lost: Stream
    heard: float
    took: float


def started(script: str, file: Path) -> "subprocess.Popen[str]":
    """A script in a process of its own, on the disk driver, whose stream goes into a file."""
    environment = {
        **os.environ,
        "SDL_AUDIODRIVER": "disk",
        "SDL_DISKAUDIOFILE": str(file),
        "SDL_VIDEODRIVER": "dummy",
        "PYGAME_HIDE_SUPPORT_PROMPT": "1",
    }
    root = str(Path(__file__).parents[2])
    out, command = subprocess.PIPE, [sys.executable, "-c", script]
    return subprocess.Popen(command, cwd=root, env=environment, stdout=out, stderr=out, text=True)


def ended(process: "subprocess.Popen[str]", seconds: float = 60) -> list[float]:
    """The numbers that a script printed, once it is over."""
    try:
        said, complaint = process.communicate(timeout=seconds)
    finally:
        process.kill()
    assert process.returncode == 0, complaint
    return [float(number) for number in said.split()]


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Played:
    """What three scripts play, all at the same time, since most of it is waiting."""
    folder = tmp_path_factory.mktemp("streams")
    scripts = {folder / "whole": WHOLE_STOPPED_BUSY, folder / "replayed": REPLAYED_GOING_ON, folder / "lost": LOST}
    running = [started(PLAYED + script, file) for file, script in scripts.items()]
    (*ends, heard, took), others, _ = map(ended, running)
    streams = [np.fromfile(file, np.int16).reshape(-1, 2) for file in scripts]
    whole, stopped, _ = np.split(streams[0], _cuts(ends))[:3]
    replayed, going_on = np.split(streams[1], _cuts(others))[:2]
    return Played(whole, replayed, stopped, going_on, streams[2], heard, took)


def _cuts(ends: list[float]) -> list[int]:
    """The frames at which the parts of a stream end, in whole buffers, from its length in bytes."""
    return [round(end) // (4 * BUFFER) * BUFFER for end in ends]


@pytest.fixture(scope="module")
def bar() -> Stream:
    """What is played, as it was mixed."""
    return mix(arrange(parse_bar("1 e a 2 &"), Setting("kick-and-snare", 120, count_in=False)), bank_of())


def silent_frames(stream: Stream) -> int:
    """How many frames pass before something sounds."""
    return int(stream.any(axis=1).argmax())


def test_stream_is_the_mix_to_the_byte(played: Played, bar: Stream) -> None:
    """After whole buffers of silence the device gets exactly the mixed samples, and silence after them."""
    stream = played.whole
    start = silent_frames(stream)
    assert start % BUFFER == 0
    assert np.array_equal(stream[start : start + len(bar)], bar)
    assert not stream[start + len(bar) :].any()


def test_replay_starts_within_a_buffer(played: Played, bar: Stream) -> None:
    """A replay cuts what sounds and begins at the next buffer, with no gap."""
    stream = played.replayed
    start = silent_frames(stream)
    cuts = [
        cut for cut in range(BUFFER, len(bar), BUFFER)
        if np.array_equal(stream[start + cut : start + cut + len(bar)], bar)
    ]  # fmt: skip
    assert len(cuts) == 1
    assert np.array_equal(stream[start : start + cuts[0]], bar[: cuts[0]])


def test_stop_is_silence_at_the_next_buffer(played: Played, bar: Stream) -> None:
    """A stop cuts the sound at a buffer's edge; nothing of it comes later."""
    stream = played.stopped
    start = silent_frames(stream)
    sounding = int(np.flatnonzero(stream.any(axis=1))[-1]) + 1 - start
    assert sounding < len(bar)
    assert np.array_equal(stream[start : start + sounding], bar[:sounding])
    assert not stream[-BUFFER:].any()


def test_a_sound_that_goes_on_as_another_has_no_seam(played: Played, bar: Stream) -> None:
    """In the midst of a sound another one goes on that is like it up to a later place: no frame is lost or doubled."""
    stream = played.going_on
    start = silent_frames(stream)
    assert UNTIL < len(bar)
    assert np.array_equal(stream[start : start + UNTIL], bar[:UNTIL])
    assert not stream[start + UNTIL :].any()


def test_sound_goes_on_while_the_program_is_busy(played: Played) -> None:
    """A stretch of work that leaves no time for anything else in Python does not stop the sound."""
    assert played.heard > played.took / 3, f"{played.heard:.2f} s heard in {played.took:.2f} s of work"


def test_lost_device_is_opened_anew(played: Played, bar: Stream) -> None:
    """A device that dies while sounding is opened anew; the sound goes on from where it was, and nothing hangs."""
    stream = played.lost
    start = silent_frames(stream)
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
time.sleep(0.1)
for number in range(COUNT):
    time.sleep(0.06 + 0.01 * (number * 7 % 5))
    output.start(click)
    print(pygame.mixer.music.get_pos() / 1000 - output.elapsed())
time.sleep(0.15)
output.close()
"""


def starts_off(count: int, folder: Path) -> NDArray[np.float64]:
    """Of so many starts on the disk driver, how far each began from where the output told, in seconds."""
    file = folder / "starts.raw"
    told = np.array(ended(started(STARTS.replace("COUNT", str(count)), file), 110))
    loud = np.fromfile(file, np.int16).reshape(-1, 2)[:, 0] != 0
    begun = np.flatnonzero(loud & ~np.concatenate([[False], loud[:-1]])) / 48_000
    assert len(told) == count
    ahead = begun[0] - told[0]  # the file begins before the music whose position counts
    nearest = abs(begun - ahead - told[:, None]).argmin(1)  # a machine that stops for longer than a click may drop one
    off: NDArray[np.float64] = begun[nearest] - told
    return off - np.median(off)


@pytest.mark.parametrize("starts", [8, pytest.param(40, marks=pytest.mark.long)])
def test_a_sound_begins_where_the_output_says(starts: int, tmp_path: Path) -> None:
    """Of starts at any moment, all but one in twenty lie within 3 ms of where the playhead counts from."""
    assert int((abs(starts_off(starts, tmp_path)) < 0.003).sum()) >= starts - max(1, starts // 20)
