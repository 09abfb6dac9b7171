"""How fast a bar becomes sound, and how much memory that takes; `-s` shows the figures."""

import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from statistics import median

import pytest

from audio.kit import LAYERS, VARIANTS, Bank
from audio.midi import midi
from audio.mixdown import mix
from shared.bars import Bar
from shared.counting import parse_bar
from shared.instruments import INSTRUMENTS
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage
from tests.bench.page import hold

BAR = parse_bar("1 e a 2 & 3 e a 4 & a")
FULL_BAR = parse_bar("1 e & a 2 e & a 3 e & a 4 e & a")
pytestmark = pytest.mark.usefixtures("measuring")

DRUM_KITS = ("practice", "stage")
SOUND_FONT = Path("/usr/share/sounds/sf2/default-GM.sf2")


def seconds_of(work: Callable[[], object], times: int) -> list[float]:
    """How long each of so many runs took, by the processor: other programs leave that alone."""
    found = []
    for _ in range(times):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return found


@pytest.mark.parametrize("kit", DRUM_KITS)
@pytest.mark.parametrize("name", ORCHESTRATIONS)
@pytest.mark.parametrize("bar", [BAR, FULL_BAR], ids=["usual", "full"])
def test_warm_mix_is_fast(name: str, kit: str, bar: Bar) -> None:
    """Count-in and a 4-beat bar from the warm bank, limiter and 16 bits included: 1 ms and 5,000 times real time.

    The least of many runs is held to it, since a neighbour's use of the memory slows all others.
    """
    bank = Bank(kit)
    passage = arrange(bar, Setting(name, 90))
    mix(passage, bank)
    taken = seconds_of(lambda: mix(passage, bank), 400)
    ratio = passage.seconds / min(taken)
    what = f"mixing, {kit} kit, {name}, {'busiest' if bar is FULL_BAR else 'usual'} bar"
    print(f"{what}: median {median(taken) * 1000:.2f} ms")
    hold(what, min(taken) * 1000, 1, "ms")
    hold(what, ratio, 5000, "times real time", at_least=True)


@pytest.mark.parametrize("kit", DRUM_KITS)
@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_first_bar_from_cold_is_fast(name: str, kit: str) -> None:
    """The first bar, every one-shot made on the way: under 0.15 s."""
    passage = arrange(BAR, Setting(name, 90))
    taken = median(seconds_of(lambda: mix(passage, Bank(kit)), 7))
    hold(f"first bar from cold, {kit} kit, {name}", taken * 1000, 150, "ms")


@pytest.mark.parametrize("kit", DRUM_KITS)
def test_whole_bank_is_small(kit: str) -> None:
    """Every one-shot of a kit at once: under 60 MB."""
    bank = Bank(kit)
    for name, layer, turn in product(INSTRUMENTS, range(1, LAYERS + 1), range(VARIANTS)):
        bank.shot(name, layer / LAYERS, turn)
    hold(f"whole bank, {kit} kit", bank.nbytes / 1e6, 60, "MB")


def longer(passage: Passage, bars: int) -> Passage:
    """The bar of a passage so many times in a row."""
    strokes = tuple(replace(stroke, bar=bar) for bar in range(bars) for stroke in passage.strokes)
    return Passage(passage.meter, passage.tempo, bars, 0, strokes, passage.gain)


def synth_seconds(midi_file: Path, folder: Path) -> float:
    """Processor time of FluidSynth for a whole file."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [
        "fluidsynth",
        "-ni",
        "-q",
        "-F",
        str(folder / "synth.wav"),
        "-r",
        "48000",
        str(SOUND_FONT),
        str(midi_file),
    ]
    subprocess.run(command, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.skipif(sys.platform == "win32", reason="the processor time of children is measured the POSIX way")
@pytest.mark.skipif(not shutil.which("fluidsynth"), reason="fluidsynth is not installed")
@pytest.mark.skipif(not SOUND_FONT.exists(), reason="no General MIDI sound font is installed")
@pytest.mark.parametrize("name", ["snare", "kick-and-snare", "toms"])
def test_further_bar_beats_fluidsynth(name: str, tmp_path: Path) -> None:
    """A further bar, start-up left out on both sides, takes a twenty-fifth of FluidSynth's time or less."""
    bar, bank, more = arrange(BAR, Setting(name, 90, count_in=False)), Bank(), 24
    short, long = tmp_path / "short.mid", tmp_path / "long.mid"
    short.write_bytes(midi(longer(bar, 1)))
    long.write_bytes(midi(longer(bar, 1 + more)))
    mix(bar, bank)
    ours = median(seconds_of(lambda: mix(bar, bank), 300))
    theirs = median((synth_seconds(long, tmp_path) - synth_seconds(short, tmp_path)) / more for _ in range(7))
    print(f"{name}: a further bar {ours * 1000:.2f} ms, FluidSynth {theirs * 1000:.1f} ms")
    hold(f"a further bar against FluidSynth, {name}", theirs / ours, 25, "times faster", at_least=True)
