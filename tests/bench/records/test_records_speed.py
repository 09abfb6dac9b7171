"""How quick the records are with a hundred thousand answers in them.

What only computes is measured in processor time, so that a busy machine does not blur it; what waits for the disk
is measured by the clock.
"""

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from game.learning.evidence import Answer
from game.records import Records, Wanted, new_uuid
from game.records.log import Logged
from tests.bench.page import hold

NOW = 1_795_591_891.25
BARS = 25_000


def asked(number: int) -> list[Answer]:
    """The four answers to one bar; the levels take turns."""
    return [
        Answer(NOW + number, f"stage-{number % 8 + 1}", "4/4", "1 e a 2 & 3 e a 4 & a", beat, "1 e a", "1 & a", 2.4,
               "snare", 80.0)
        for beat in range(4)
    ]  # fmt: skip


def fill(folder: Path, bars: int) -> Path:
    """Records of one player with so many bars, the day's backup done."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        names = ((number, str(UUID(int=number, version=4))) for number in range(bars))
        records.append_all(
            wren, (Logged(uuid, place, one) for number, uuid in names for place, one in enumerate(asked(number)))
        )
    Records.open(folder, NOW).close()
    return folder


@pytest.fixture(scope="module")
def long_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with a hundred thousand answers."""
    return fill(tmp_path_factory.mktemp("long"), BARS)


@pytest.fixture
def records(long_log: Path) -> Iterator[Records]:
    """These records, open."""
    with Records.open(long_log, NOW) as opened:
        yield opened


def meets(benchmark: Any, what: str, goal: float) -> None:
    """Hold the median to the goal, in seconds, where anything was measured."""
    if benchmark.enabled:
        hold(what, benchmark.stats.stats.median, goal, "s")


computing = pytest.mark.benchmark(timer=time.process_time)


@computing
def test_reading_everything(benchmark: Any, records: Records) -> None:
    """All answers of a player are read in half a second."""
    wren = records.find_player("Wren")
    answers = benchmark.pedantic(records.answers, (wren,), rounds=5, warmup_rounds=1)
    assert len(answers) >= 4 * BARS
    meets(benchmark, "reading 100,000 answers", 0.5)


@computing
def test_reading_one_level(benchmark: Any, records: Records) -> None:
    """One level of eight is read in a fifth of a second."""
    wren = records.find_player("Wren")
    answers = benchmark.pedantic(records.answers, (wren, Wanted("stage-3")), rounds=5, warmup_rounds=1)
    assert len(answers) == 4 * BARS // 8
    meets(benchmark, "reading one level of eight of them", 0.2)


def test_keeping_a_bar(benchmark: Any, records: Records) -> None:
    """A bar is on disk before a player could notice: in a twentieth of a second."""
    wren = records.find_player("Wren")
    benchmark.pedantic(lambda: records.append(wren, new_uuid(), asked(BARS)), rounds=30, warmup_rounds=1)
    meets(benchmark, "keeping a bar", 0.05)


@computing
def test_opening_a_long_log(benchmark: Any, long_log: Path) -> None:
    """Opening looks through the whole file, within a tenth of a second."""
    benchmark.pedantic(lambda: Records.open(long_log, NOW).close(), rounds=10, warmup_rounds=1)
    meets(benchmark, "opening 100,000 answers", 0.1)


@computing
def test_opening_a_short_log(benchmark: Any, tmp_path: Path) -> None:
    """Opening a file with next to nothing in it, for comparison."""
    folder = fill(tmp_path, 1)
    benchmark.pedantic(lambda: Records.open(folder, NOW).close(), rounds=10, warmup_rounds=1)
    meets(benchmark, "opening a short record", 0.05)
