"""Play on a busy machine, recorded from a sound server of its own: not a sample is missing; `-s` shows the figures.

The server's own player, given as short a buffer, plays noise beside it: where even that breaks off, the machine is
too busy to judge by, and the most that is asked is not to break off more often.

``DRUMLIN_PLAY_MINUTES`` sets the length of the run, ten minutes unless told otherwise.
"""

import json
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.outputs import BUFFER
from audio.synthesis import RATE
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange
from tests.bench.page import hold

MINUTES = float(os.environ.get("DRUMLIN_PLAY_MINUTES", "10"))
FRAME, PROBE = 4, 480
"""Bytes in a frame of 16-bit stereo, and frames in the 10 ms by which a place in the recording is found."""

Frames = NDArray[np.uint32]

COUNT = "1 e a 2 & 3 e & a 4 & a"
ROOT = Path(__file__).parents[2]
TOOLS = ("pulseaudio", "pacat", "parec", "pactl")
FORM = ("--format=s16le", "--rate=48000", "--channels=2")

PLAYER = f"""
import json, random, sys, time
import pygame
from audio.kit import Bank
from audio.mixdown import mix
from audio.player import open_player
from shared.counting import parse_bar
from shared.orchestration import ORCHESTRATIONS, Setting, arrange

pygame.display.init()
player = open_player(volume=0.0)
assert not player.silent, player.notice
bank, bar, draw = Bank(), parse_bar("{COUNT}"), random.Random(1)
end, clock = time.monotonic() + float(sys.argv[1]), pygame.time.Clock()


def follow(seconds):
    until = time.monotonic() + seconds
    while player.playing and time.monotonic() < until:
        pygame.event.get()
        clock.tick(60)


def play(samples, setting):
    began = time.monotonic()
    player.play(samples)
    print(json.dumps({{"at": began, **setting}}), flush=True)


time.sleep(1.5)
number = 0
while time.monotonic() < end:
    setting = {{"orchestration": draw.choice(list(ORCHESTRATIONS)), "tempo": draw.choice([60, 80, 100, 120]),
               "groove_bars": number % 2, "seed": number}}
    samples = mix(arrange(bar, Setting(**setting)), bank)
    play(samples, setting)
    if number % 3 == 2:
        follow(draw.uniform(0.5, 3.0))
        play(samples, setting)
    follow(60.0)
    time.sleep(0.3)
    number += 1
player.close()
"""

BUSY = "import os\nos.nice(10)\nwhile True: pass"

AHEAD = ("chrt", "--rr", "3")
"""Goes ahead of all other programs, as sound does on a desktop; without the right to it, they count as load, too."""


class Play(NamedTuple):
    """One call of ``play``: when, in seconds of the monotonic clock, and the frames."""

    at: float
    sound: Frames


class Recorder(threading.Thread):
    """Keeps what the monitor of the sound server gives, and when it came."""

    def __init__(self, stream: "subprocess.Popen[bytes]") -> None:
        super().__init__(daemon=True)
        self._stream = stream
        self.heard = bytearray()
        self.arrivals: list[tuple[int, float]] = []

    def run(self) -> None:
        assert self._stream.stdout is not None
        while piece := os.read(self._stream.stdout.fileno(), 65536):
            self.heard += piece
            self.arrivals.append((len(self.heard), time.monotonic()))

    def when(self, place: int) -> float:
        """When the frame at ``place`` came."""
        return next(moment for reached, moment in self.arrivals if reached > FRAME * place)


@contextmanager
def running(*command: str, environment: dict[str, str], pipe: bool = False) -> "Iterator[subprocess.Popen[bytes]]":
    """A process that ends with the block."""
    output = subprocess.PIPE if pipe else subprocess.DEVNULL
    process = subprocess.Popen(command, env=environment, stdout=output, stderr=subprocess.DEVNULL, cwd=ROOT)
    try:
        yield process
    finally:
        process.terminate()
        process.wait(10)
        if process.stdout:
            process.stdout.close()


def ahead() -> tuple[str, ...]:
    """What a command begins with that may go ahead of other programs."""
    allowed = (
        shutil.which(AHEAD[0]) and not subprocess.run([*AHEAD, "true"], capture_output=True, check=False).returncode
    )
    return AHEAD if allowed else ()


def server_environment(folder: Path) -> dict[str, str]:
    """An environment in which sound goes to a server of the test's own."""
    places = {name: str(folder) for name in ("HOME", "XDG_RUNTIME_DIR", "PULSE_RUNTIME_PATH", "PULSE_STATE_PATH")}
    server = {"PULSE_SERVER": f"unix:{folder}/socket", "SDL_AUDIODRIVER": "pulseaudio", "SDL_VIDEODRIVER": "dummy"}
    return {**os.environ, **places, **server}


def wait_for_server(environment: dict[str, str]) -> None:
    for _ in range(100):
        if subprocess.run(["pactl", "info"], env=environment, capture_output=True, check=False).returncode == 0:
            return
        time.sleep(0.1)
    pytest.skip("the sound server does not start here")


class Recording(NamedTuple):
    """What was played, what came of it, and the same of the noise beside it."""

    played: list[Play]
    heard: Frames
    waits: Callable[[int], float]
    noise: Frames
    noise_heard: Frames


def record(stack: ExitStack, sink: str, environment: dict[str, str]) -> Recorder:
    """Begin to record what a sink of the server plays."""
    command = ("parec", "-d", f"{sink}.monitor", *FORM, "--latency-msec=20")
    recorder = Recorder(stack.enter_context(running(*ahead(), *command, environment=environment, pipe=True)))
    recorder.start()
    return recorder


def serve(stack: ExitStack, folder: Path, environment: dict[str, str]) -> None:
    """Start a sound server with two sinks that nobody hears."""
    sinks = [f"module-null-sink sink_name={name} format=s16le rate=48000 channels=2" for name in ("room", "beside")]
    modules = [*sinks, f"module-native-protocol-unix auth-anonymous=1 socket={folder}/socket"]
    loaded = [word for module in modules for word in ("-L", module)]
    command = ("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", *loaded)
    process = stack.enter_context(running(*command, environment=environment))
    wait_for_server(environment)
    subprocess.run(["pactl", "set-default-sink", "room"], env=environment, check=True)
    if ahead():
        subprocess.run([*AHEAD[:2], "--pid", AHEAD[2], str(process.pid)], check=True)


@pytest.fixture
def recording(tmp_path: Path, request: pytest.FixtureRequest) -> Recording:
    """What was played while two niced loops kept the processors busy, and what the sound server made of it."""
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("a measurement; run it with python -m tests.bench")
    if not all(map(shutil.which, TOOLS)):
        pytest.skip(f"{', '.join(TOOLS)} are not installed")
    environment = server_environment(tmp_path)
    noise = np.random.default_rng(0).integers(1, 4000, (round(60 * MINUTES) * RATE, 2)).astype(np.int16)
    noise.tofile(tmp_path / "noise")
    with ExitStack() as stack:
        serve(stack, tmp_path, environment)
        room, beside = (record(stack, sink, environment) for sink in ("room", "beside"))
        for _ in range(os.cpu_count() or 2):
            stack.enter_context(running(sys.executable, "-c", BUSY, environment=environment))
        short = f"--latency-msec={round(1000 * BUFFER / RATE)}"
        command = (*ahead(), "pacat", "-d", "beside", *FORM, short, str(tmp_path / "noise"))
        stack.enter_context(running(*command, environment=environment))
        command = (*ahead(), sys.executable, "-c", PLAYER, str(60 * MINUTES))
        done = subprocess.run(command, env=environment, cwd=ROOT, capture_output=True, text=True, check=False)
        time.sleep(1.0)
    assert done.returncode == 0, done.stderr
    sounds = [frames_of(bytes(recorder.heard)) for recorder in (room, beside)]
    return Recording(plays(done.stdout), sounds[0], room.when, frames_of(noise.tobytes()), sounds[1])


def plays(lines: str) -> list[Play]:
    """The plays that the player tells of, their samples rendered anew."""
    bank, bar, found = Bank(), parse_bar(COUNT), []
    for line in lines.splitlines():
        if line.startswith("{"):
            told = json.loads(line)
            at = told.pop("at")
            found.append(Play(at, frames_of(mix(arrange(bar, Setting(**told)), bank).tobytes())))
    return found


def frames_of(sound: bytes) -> Frames:
    """Each frame of 16-bit stereo as one number."""
    return np.frombuffer(sound[: len(sound) // FRAME * FRAME], np.uint32)


def starts(heard: Frames, played: list[Play]) -> list[int]:
    """The frame at which each play begins in the recording, by its first 10 ms."""
    found, after = [], 0
    for number, play in enumerate(played):
        place = place_of(play.sound[:PROBE], heard[after:])
        assert place is not None, f"play {number} does not begin in the recording"
        found.append(after + place)
        after = found[-1] + PROBE
    return found


def place_of(probe: Frames, heard: Frames) -> int | None:
    """The frame at which a stretch of sound is found, or None."""
    place = heard.tobytes().find(probe.tobytes())
    while place % FRAME and place >= 0:
        place = heard.tobytes().find(probe.tobytes(), place + 1)
    return place // FRAME if place >= 0 else None


def breaks(heard: Frames, sound: Frames) -> list[tuple[int, int]]:
    """Where a sound is broken in its recording: frames put in that are not its own, and frames left out."""
    found = []
    while (different := np.flatnonzero(heard[: len(sound)] != sound[: len(heard)])).size:
        heard, sound = heard[different[0] :], sound[different[0] :]
        put_in, left_out = gone_on(heard[:RATE], sound[:RATE])
        found.append((put_in, left_out))
        heard, sound = heard[put_in:], sound[left_out:]
    return found


def gone_on(heard: Frames, sound: Frames) -> tuple[int, int]:
    """How much of the recording passes, and how much of the sound is lost, until both agree again."""
    for lost in range(0, len(sound) - PROBE, PROBE // 4):
        probe = sound[lost : lost + PROBE]
        if np.count_nonzero(probe) > PROBE / 2 and (place := place_of(probe, heard)) is not None:
            return place, lost
    return len(heard), len(sound)


def noise_breaks(recording: Recording) -> list[tuple[int, int]]:
    """Where the noise is broken, its start left out: no silence goes before it to wake the server."""
    noise = recording.noise[RATE:]
    begin = place_of(noise[:PROBE], recording.noise_heard)
    assert begin is not None, "the noise does not begin in the recording"
    return breaks(recording.noise_heard[begin:], noise[: len(recording.noise_heard) - begin])


@pytest.mark.timeout(60 * MINUTES + 300)
def test_busy_machine_loses_no_sample(recording: Recording) -> None:
    """Every sample of every bar is in the recording, without a hole, and a replay cuts in without one."""
    played, heard = recording.played, recording.heard
    places = [*starts(heard, played), len(heard)]
    stretches = [
        (heard[begin:end], play.sound[: end - begin])
        for play, (begin, end) in zip(played, pairwise(places), strict=True)
    ]
    broken = [gap for recorded, sound in stretches for gap in breaks(recorded, sound)]
    beside = noise_breaks(recording)
    waits = [recording.waits(place) - play.at for place, play in zip(places, played, strict=False)]
    print(
        f"{len(played)} plays, {sum(len(sound) for _, sound in stretches) / RATE:.0f} s of sound, {len(broken)} breaks"
        f" {broken}; noise beside it {len(beside)} breaks {beside}; from play to the recorder: median"
        f" {median(waits) * 1000:.1f} ms, longest {max(waits) * 1000:.1f} ms; load {os.getloadavg()[0]:.1f}"
    )
    hold(
        f"breaks in {60 * MINUTES:.0f} s of play, the noise's beside it taken off",
        len(broken) - len(beside),
        0,
        "breaks",
    )
