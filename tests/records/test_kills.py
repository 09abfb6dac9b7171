"""Killed in the middle of writing: every answer that was acknowledged is there."""

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from game.records import Records
from tests.records.record_samples import NOW, bar, integrity, uuid

CHILD = """
import sys
from pathlib import Path
from game.records import Records
from tests.records.record_samples import NOW, bar, uuid

with Records.open(Path(sys.argv[1]), NOW) as records:
    wren = records.find_player("Wren")
    number = int(sys.argv[2])
    while True:
        records.append(wren, uuid(number), bar(at=NOW + number))
        print(number, flush=True)
        number += 1
"""


def killed_after(seconds: float, folder: Path, first: int) -> list[int]:
    """The numbers of the bars that a child acknowledged before it was killed."""
    paths = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]
    program = f"import sys; sys.path[:0] = {paths!r}\n{CHILD}"
    command = [sys.executable, "-c", program, str(folder), str(first)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        acknowledged = [int(child.stdout.readline())]
        time.sleep(seconds)
        child.send_signal(signal.SIGKILL)
        acknowledged += [int(line) for line in child.stdout if line.endswith("\n")]
    assert child.returncode == -signal.SIGKILL
    return acknowledged


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL on Windows")
@pytest.mark.parametrize("kills", [4, pytest.param(50, marks=pytest.mark.long)])
def test_no_acknowledged_answer_is_lost(folder: Path, kills: int) -> None:
    """After each kill the next start needs no help; in the end nothing is missing and the file is sound."""
    moments = random.Random(5)
    with Records.open(folder, NOW) as records:
        records.add_player("Wren", NOW)
    acknowledged: list[int] = []
    for _ in range(kills):
        first = acknowledged[-1] + 2 if acknowledged else 0
        acknowledged += killed_after(moments.uniform(0, 0.03), folder, first)
    with Records.open(folder, NOW) as records:
        wren = records.find_player("Wren")
        kept = {one.question for one in records.logged(wren)}
        assert {uuid(number) for number in acknowledged} <= kept
        assert records.count_answers(wren) == 4 * len(kept)
        assert set(records.answers(wren)) == {answer for n in range(acknowledged[-1] + 2) if uuid(n) in kept
                                              for answer in bar(at=NOW + n)}  # fmt: skip
    assert integrity(folder / "records.sqlite") == "ok"
