"""No answer is lost or doubled: a few of each fault here; ``python -m tests.trust`` tries them hundreds of times."""

import sys
from pathlib import Path

import pytest

from tests.trust.faults import FAULTS, SMALL_DISK, may_mount, tried

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="faults are made the POSIX way")

KILLS = 2


def test_no_shown_answer_is_lost_by_a_kill(tmp_path: Path) -> None:
    """After each kill at a random moment the next start needs no help, and every answer shown is in the record."""
    tally = tried("killed", KILLS, tmp_path)
    assert (tally.times, tally.lost, tally.extra) == (KILLS, 0, 0)
    assert tally.shown > 0


# A file is full only after seventy bars; that it takes nothing more is told as a full disk is.
@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.long if name == "no room in the file" else ())
        for name in FAULTS
        if name != "killed"
    ],
)
def test_no_shown_answer_is_lost_by_a_fault(name: str, tmp_path: Path) -> None:
    """The fault is told once, play goes on, and every answer shown as kept is in the record."""
    if name in SMALL_DISK and not may_mount(tmp_path / "disk"):
        pytest.skip("wants a disk of its own, which only root can mount")
    tally = tried(name, 1, tmp_path)
    assert (tally.lost, tally.extra) == (0, 0)
    assert tally.shown > 0
