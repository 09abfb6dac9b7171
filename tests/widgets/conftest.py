"""Widgets need a display for the names of keys."""

from collections.abc import Iterator

import pytest

from game.app import close_display, open_display


@pytest.fixture(autouse=True)
def display() -> Iterator[None]:
    """A display that nobody sees."""
    open_display((640, 480))
    yield
    close_display()
