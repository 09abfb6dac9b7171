"""For every test: no window, no sound, no deadline on a busy machine, and hands off anybody's real records."""

import gc
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random

import platformdirs
import pytest
from hypothesis import HealthCheck, settings

BUSY_MACHINE = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("busy machine", BUSY_MACHINE, max_examples=25)
settings.register_profile("tenth", BUSY_MACHINE, max_examples=50)
settings.register_profile("long", BUSY_MACHINE, max_examples=500)
settings.load_profile("busy machine")

MEMORY_DISK, ROOM = Path("/dev/shm"), 1_000_000_000
if MEMORY_DISK.is_dir() and os.access(MEMORY_DISK, os.W_OK) and shutil.disk_usage(MEMORY_DISK).free > ROOM:
    # Thousands of small records are each written through to the disk: in memory nobody waits for that.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY_DISK))

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("SDL_AUDIODRIVER", "dummy")

REAL_RECORDS = platformdirs.user_data_path("drumlin", appauthor=False)

forbidden = {str(REAL_RECORDS)}

pytest_plugins = ("tests.screens.fixtures",)


def _refuse(event: str, arguments: tuple[object, ...]) -> None:
    if event in ("sqlite3.connect", "os.mkdir") and isinstance(arguments[0], str | os.PathLike):
        place = os.fspath(arguments[0])
        if any(place == folder or place.startswith(folder + os.sep) for folder in forbidden):
            pytest.fail(f"a test reached for the real records in {place}; give it a folder of its own")


sys.addaudithook(_refuse)


def pytest_addoption(parser: pytest.Parser) -> None:
    """What ``python -m tests.long --tenth`` asks for."""
    parser.addoption("--tenth", metavar="SEED", help="of the cases marked long only a tenth, drawn by this seed")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """Let nobody look for rubbish meanwhile: all that is made here stays, and looking takes a quarter of the time."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()  # nor again and again during the tests
        gc.set_threshold(20_000)
        gc.enable()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out nine in ten of the long cases where a tenth is asked for."""
    seed = config.getoption("tenth")
    if seed is not None:
        items[:] = [item for item in items if not item.get_closest_marker("long") or _drawn(seed, item.nodeid)]


def _drawn(seed: str, name: str) -> bool:
    return Random(f"{seed}/{name}").random() < 0.1


@pytest.fixture(scope="session")
def real_records() -> Path:
    """The data folder of whoever runs the tests, which no test may touch."""
    return REAL_RECORDS


@pytest.fixture(autouse=True, scope="session")
def no_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Programs that a test starts find no usual data folder either: where it would lie there is a file."""
    wall = tmp_path_factory.mktemp("no-home") / "a-file"
    wall.touch()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(wall))
        forbidden.add(str(wall / "drumlin"))
        yield
