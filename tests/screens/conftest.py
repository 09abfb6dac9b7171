"""Windows for the tests of the screens."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.screens.window import Opened, Window


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Opened]:
    """Open a window: ``opened(size, level=name)``; it is closed after the test."""
    windows: list[Window] = []

    def open_one(size: tuple[int, int] = (1366, 768), level: str = "stage-3") -> Window:
        windows.append(Window(tmp_path / "data", size, level))
        return windows[-1]

    yield open_one
    for window in windows:
        window.close()


@pytest.fixture
def window(opened: Opened) -> Window:
    """A window of the usual size, on stage 3."""
    return opened()
