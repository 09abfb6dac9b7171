"""A records file of its own for each test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from game.records import Player, Records
from tests.records.record_samples import NOW


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder that does not exist yet."""
    return tmp_path / "data"


@pytest.fixture
def records(folder: Path) -> Iterator[Records]:
    """Empty records."""
    with Records.open(folder, NOW) as opened:
        yield opened


@pytest.fixture
def wren(records: Records) -> Player:
    """A pupil in the records."""
    return records.add_player("Wren", NOW)
