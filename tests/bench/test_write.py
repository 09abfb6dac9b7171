"""``drumlin write`` as a whole process, against FluidSynth rendering the same strokes."""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import pytest

from shared.levels import SHIPPED
from tests.bench.page import hold

pytestmark = pytest.mark.usefixtures("measuring")

BAR = "1 e a 2 & 3 e a 4 & a"
SOUND_FONT = Path("/usr/share/sounds/sf2/default-GM.sf2")
PAIRS = 15
GOALS = {"wall": 1.15, "processor": 0.90}
"""The most that we may take of FluidSynth's time."""


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A process's surroundings: the source tree, with its byte code kept as an installed program has it."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(SHIPPED.parent), "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("bytes"))}


@dataclass(frozen=True)
class Cost:
    """What a process took, in seconds: by the clock on the wall, and of the processor."""

    wall: float
    processor: float


@pytest.fixture
def cost(tmp_path: Path, environment: dict[str, str]) -> Callable[[list[str]], Cost]:
    """Run a process from start to end and tell its cost."""

    def run(command: list[str]) -> Cost:
        began, used = time.perf_counter(), children_seconds()
        subprocess.run(command, cwd=tmp_path, env=environment, check=True, capture_output=True)
        return Cost(time.perf_counter() - began, children_seconds() - used)

    return run


def children_seconds() -> float:
    """Processor time of all child processes that have ended."""
    times = os.times()
    return times.children_user + times.children_system


def drumlin(*words: str) -> list[str]:
    """The command line of a process of its own."""
    return [sys.executable, "-m", "game", *words]


@pytest.mark.skipif(not shutil.which("fluidsynth"), reason="fluidsynth is not installed")
@pytest.mark.skipif(not SOUND_FONT.exists(), reason="no General MIDI sound font is installed")
def test_no_slower_than_fluidsynth(cost) -> None:
    """Writing a bar's sound once its hits are kept, the whole process, against FluidSynth's, run in turns.

    Machines differ: most of ours is the interpreter and numpy being loaded, half of FluidSynth's the kernel bringing
    its bank of 140 MB into memory.  So the ratio moves with the one machine's pages and the other's processor.
    """
    ours = drumlin("write", BAR, "ours.wav", "--data-dir", ".")
    theirs = ["fluidsynth", "-ni", "-q", "-F", "theirs.wav", "-r", "48000", str(SOUND_FONT), "bar.mid"]
    cost(drumlin("write", BAR, "bar.mid"))
    cost(ours), cost(theirs)
    pairs = [(cost(ours), cost(theirs)) for _ in range(PAIRS)]
    for kind in GOALS:
        drums, synth = ([getattr(pair[side], kind) for pair in pairs] for side in (0, 1))
        ratio = median(one / other for one, other in zip(drums, synth, strict=True))
        print(f"{kind}: drumlin {median(drums):.3f} s, FluidSynth {median(synth):.3f} s, ratio {ratio:.2f}")
        hold(f"writing a bar's sound against FluidSynth, {kind}", ratio, GOALS[kind], "times")


@pytest.mark.parametrize("words", [("explain", BAR), ("levels",)])
def test_starts_at_once(cost, words: tuple[str, ...]) -> None:
    """A command that only reads takes a fifth of a second of the processor at most, the median of several runs."""
    cost(drumlin(*words))
    spent = [cost(drumlin(*words)) for _ in range(PAIRS)]
    print(f"{words[0]}: wall {median(one.wall for one in spent):.3f} s")
    hold(f"drumlin {words[0]}, the whole process", median(one.processor for one in spent), 0.2, "s")
