"""Windows, for every test that wants one."""

import shutil
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from game.records import Records
from game.records.folders import RECORDS_NAME
from game.sessions.home.demo import fill
from tests.screens.coaches import shared_coaches
from tests.screens.window import NOW, Opened, Window


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


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Records that hold some weeks of an invented drum room."""
    path = tmp_path_factory.mktemp("demo") / RECORDS_NAME
    with Records.in_memory() as records:
        fill(records, NOW, days=20)
        records.backup(path)
    return path


@pytest.fixture
def short_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the demo be of some weeks instead of three months, for tests that look at where it lies."""
    monkeypatch.setattr("game.sessions.home.demo.fill", partial(fill, days=20))


@pytest.fixture
def lived(opened: Opened, demo_file: Path, tmp_path: Path) -> Opened:
    """Open windows as ``opened`` does, on a copy of such records; Ash plays."""

    def open_one(size: tuple[int, int] = (1366, 768), level: str = "stage-4") -> Window:
        (tmp_path / "data").mkdir()
        shutil.copy(demo_file, tmp_path / "data" / RECORDS_NAME)
        window = opened(size, level=level)
        window.play_as("Ash (demo)")
        return window

    return open_one


@pytest.fixture
def one_coach_a_log() -> Iterator[None]:
    """Each log is lived through once for all tests; for those that look at what a page shows, not at how it comes."""
    with shared_coaches():
        yield
