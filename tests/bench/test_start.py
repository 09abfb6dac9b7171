"""Starting with a hundred thousand answers in the record, against starting with none."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random
from statistics import median
from uuid import UUID

import pytest

from game.learning import Answer
from game.records import Records, Settings
from game.records.log import Logged
from shared.levels import shipped_levels
from tests.bench.page import hold
from tests.trust.versions import ROOT

NOW = 1_750_000_000.0
BARS = 25_000
PAIRS = 7

START = """
import sys, time
sys.path.insert(0, sys.argv[1])
from game.app import App, open_display
from game.screens.context import open_context
from game.screens.home.home import first_screens
context = open_context(lambda: 1.75e9, lambda: 7, folder=sys.argv[2])
app = App(context, first_screens(context), open_display((1366, 768)))
app.step(0.0)
print("first", time.process_time())
frames = 1
while app.top.unread or frames < 3:
    app.step(frames / 60)
    frames += 1
print("home", time.process_time())
context.coach().ask(1.75e9)
print("question", time.process_time())
"""
"""A start, up to the first picture, to the whole first page, and to the first question: processor seconds."""


def rows(bars: int) -> Iterator[Logged]:
    """Four answers to each bar, over half a year, the levels one after the other."""
    random, levels = Random(4), shipped_levels()
    for number in range(bars):
        level = levels[number * len(levels) // bars]
        figures = [random.choice(level.figures) for _ in range(level.meter.beats)]
        bar = " ".join(figure.count_on(beat + 1) for beat, figure in enumerate(figures))
        for beat, figure in enumerate(figures):
            said = figure if random.random() < 0.8 else random.choice(level.figures)
            at = NOW - (bars - number) * 600
            kept = Answer(at, level.name, str(level.meter), bar, beat, figure.count, said.count, 2.4, "snare", 80.0)
            yield Logged(str(UUID(int=number, version=4)), beat, kept)


def lived_in(folder: Path, bars: int) -> Path:
    """A data folder of somebody who has answered so many bars and is now on stage 3."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        records.save_settings(wren, Settings(first_start_done=True, level="stage-3"))
        if bars:
            records.append_all(wren, rows(bars))
    Records.open(folder, NOW).close()
    return folder


def start(folder: Path) -> dict[str, float]:
    """The processor's seconds of a start, to each of its marks."""
    command = [sys.executable, "-c", START, str(ROOT), str(folder)]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=200).stdout
    marks = (line.split() for line in told.splitlines() if line.startswith(("first", "home", "question")))
    return {name: float(seconds) for name, seconds in marks}


@pytest.mark.timeout(900)
def test_a_long_log_does_not_slow_the_start(tmp_path: Path) -> None:
    """With 100,000 answers the first picture takes at most 1.3 times what it takes with none, run in turns."""
    none, long = lived_in(tmp_path / "none", 0), lived_in(tmp_path / "long", BARS)
    start(long)
    pairs = [(start(none), start(long)) for _ in range(PAIRS)]
    for mark, what in (("first", "first picture"), ("home", "whole first page"), ("question", "first question")):
        empty, full = (median(pair[side][mark] for pair in pairs) for side in (0, 1))
        print(f"{what}: {empty:.3f} s without answers, {full:.3f} s with {4 * BARS:,}")
        if mark == "first":
            ratio = full / empty
    hold("start with 100,000 answers against none", ratio, 1.3, "times")
