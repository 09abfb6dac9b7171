"""Random events through the real loop; ``python -m tests.trust.monkey`` sends a hundred thousand."""

import os
import subprocess
import sys
from pathlib import Path

import pygame
import pytest

from tests.trust.monkey import every_screen, walk

ROOT = Path(__file__).resolve().parents[2]

WALKS = 5
"""The most walks until everything has been met."""

FIRST = 3
"""The seed of the first walk: one that soon meets much of it."""

TROUBLES = ("overwritten", "cut", "locked", "folder gone", "disk full")


@pytest.mark.timeout(300)
@pytest.mark.parametrize(
    ("events", "troubled", "screens"), [(120, 0.1, 9), pytest.param(1000, 0.02, 20, marks=pytest.mark.long)]
)
def test_random_events_do_no_harm(tmp_path: Path, events: int, troubled: float, screens: int) -> None:
    """Keys, clicks, wheel, resizes, focus, text, files, lost devices, jumping clocks: no error page, many screens.

    Nor does what befalls the records at any moment do harm: each is told by one page, at once, never over itself.
    """
    reached: set[str] = set()
    missing = {"RestoreOffer", "FirstStart", "Home", "Practice", "Unkept", *TROUBLES}
    # What one walk misses the next may find: whenever a page changes, each seed's walk is another.
    for seed in range(FIRST, FIRST + WALKS):
        folder = tmp_path / str(seed)
        folder.mkdir()
        walked = walk(events, seed, folder, restless=0.6, samples=1, troubled=troubled)
        reached |= set(walked.screens) & every_screen()
        missing -= {*(set(walked.screens) & set(walked.left)), *walked.troubles}
        # Afterwards the display is closed, and only data, home and what was dropped is there.
        assert not pygame.display.get_init()
        assert {path.name for path in folder.iterdir()} == {"data", "drop", "home"}
        if not missing and len(reached) >= screens:
            break
    assert missing == set()
    assert len(reached) >= screens, sorted(reached)


@pytest.mark.parametrize("events", [40, pytest.param(1000, marks=pytest.mark.long)])
def test_a_seed_is_one_walk(tmp_path: Path, events: int) -> None:
    """What a walk meets here, a walk of the same seed meets page by page in another process, time zone and folder."""
    other = os.environ | {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "TMPDIR": str(tmp_path)}
    command = [sys.executable, "-m", "tests.trust.monkey", str(events), "5"]
    told = subprocess.run(command, cwd=ROOT, env=other, capture_output=True, text=True, check=True, timeout=100).stdout
    walked = walk(events, 5, tmp_path)
    assert all(f"{times:8}  {name}\n" in told for name, times in walked.screens.items())
    assert f"way: {walked.way:08x}," in told
