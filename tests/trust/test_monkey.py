"""Random events through the real loop; ``python -m tests.trust.monkey`` sends a hundred thousand."""

from pathlib import Path

import pygame
import pytest

from tests.trust.monkey import every_screen, walk


@pytest.mark.timeout(300)
@pytest.mark.parametrize(
    ("events", "troubled", "screens"), [(250, 0.05, 9), pytest.param(1000, 0.02, 20, marks=pytest.mark.long)]
)
def test_random_events_do_no_harm(tmp_path: Path, events: int, troubled: float, screens: int) -> None:
    """Keys, clicks, wheel, resizes, focus, text, files, lost devices, jumping clocks: no error page, many screens.

    Nor does what befalls the records at any moment do harm: each is told by one page, at once, never over itself.
    """
    walked = walk(events, 11, tmp_path, restless=0.6, samples=1, troubled=troubled)
    reached = set(walked.screens) & every_screen()
    assert len(reached) >= screens, sorted(reached)
    assert {"RestoreOffer", "FirstStart", "Home", "Practice", "Unkept"} <= reached & set(walked.left)
    assert set(walked.troubles) == {"overwritten", "cut", "locked", "folder gone", "disk full"}
    # Afterwards the display is closed, and only the data folder and what was dropped is there.
    assert not pygame.display.get_init()
    assert {path.name for path in tmp_path.iterdir()} == {"data", "drop"}
