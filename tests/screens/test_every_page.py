"""What holds for every page that the walks come to.

Its keys are in the manual, making it reads nothing, and a language of longer words finds room on it.
"""

import re
import shutil
from collections.abc import Callable, Iterator
from functools import wraps
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from game.app import SMALLEST
from game.learning.coach import Coach
from game.records import Records
from game.records.folders import RECORDS_NAME
from game.screens.base import Screen
from game.sessions.settings.bindings import FIXED
from game.widgets.keycaps import title
from game.widgets.look import Look
from game.widgets.theme import PROJECTOR, THEMES, Theme
from tests.screens import test_walk, test_walk_library, test_walk_sessions
from tests.screens.coaches import shared_coaches
from tests.screens.longer import faults_in_longer_words
from tests.screens.window import Window

ROOT = Path(__file__).parents[2]
MANUAL = "".join((ROOT / page).read_text(encoding="utf-8") for page in ("README.md", "levels/TEACHERS.md"))

EVERY_PAGE = "every page"
"""The row of the keys that mean the same on every page."""

pytestmark = pytest.mark.timeout(400)  # one walk of all pages, for all that follows

WALKS = (test_walk, test_walk_library, test_walk_sessions)
PAGES = tuple(page for walk in WALKS for page in walk.PAGES)
ROWS = {name: rows for walk in WALKS for name, rows in walk.ROWS.items()}

WIDE = (test_walk.practice, test_walk_sessions.exam_room, test_walk_sessions.class_collect)
"""Pages with as many keys as their level has figures."""


class Met(NamedTuple):
    """What the walks met: the keys of every screen by its name, what was read while one was being made, and faults."""

    keys: dict[str, set[str]]
    reads: set[str]
    in_longer_words: list[str]


class Watched:
    """Records that note for whom and what they were asked."""

    def __init__(self, records: Records, page: str, reads: set[str]) -> None:
        self.records, self._page, self._reads = records, page, reads

    def __getattr__(self, name: str) -> Any:
        self._reads.add(f"{self._page} asks the records for {name}")
        return getattr(self.records, name)


def _lived(folder: Path, records: Path) -> Window:
    """The smallest window, on a copy of records; Ash plays."""
    shutil.copy(records, folder / RECORDS_NAME)
    window = Window(folder, SMALLEST, level="stage-4")
    window.play_as("Ash (demo)")
    return window


def _keys(screen: Screen) -> set[str]:
    """What stands on the keys that do something on a screen: its own and its widgets'."""
    own = screen.keys()
    return {title(key.name) for key in own} | {title(widget.key) for widget in screen.widgets if widget.key}


def _screens(base: type[Screen] = Screen) -> Iterator[type[Screen]]:
    """The program's own screens and those they are derived from."""
    for kind in base.__subclasses__():
        if kind.__module__.startswith("game."):
            yield kind
        yield from _screens(kind)


def _watching(make: Callable[..., None], making: list[str], reads: set[str]) -> Callable[..., None]:
    """A constructor during which the records are watched; ``making`` names the page that is being made."""

    @wraps(make)
    def watched(screen: Screen, context: Any, *args: Any, **named: Any) -> None:
        records = context.records
        if not isinstance(records, Watched):
            context.records = Watched(records, type(screen).__name__, reads)
        making.append(type(screen).__name__)
        try:
            make(screen, context, *args, **named)
        finally:
            making.pop()
            context.records = records

    return watched


@pytest.fixture(scope="module")
def met(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Met:
    """Come to every page of the walks."""
    keys: dict[str, set[str]] = {}
    reads: set[str] = set()
    making: list[str] = []
    longer: list[str] = []
    replay = Coach.replay

    def replayed(*args: Any) -> Coach:
        reads.update(f"{page} replays a coach" for page in making)
        return replay(*args)

    with shared_coaches(), pytest.MonkeyPatch.context() as patch:
        patch.setattr(Coach, "replay", replayed)
        for kind in {kind for kind in _screens() if "__init__" in vars(kind)}:
            patch.setattr(kind, "__init__", _watching(kind.__init__, making, reads))
        for page, wide in [*((page, False) for page in PAGES), *((page, True) for page in WIDE)]:
            window = _lived(tmp_path_factory.mktemp("walk"), demo_file)
            if wide:
                window.context.level = test_walk_library.own_level(window)
            page(window)
            assert window.app is not None
            window.app.paint()
            for screen in window.app.stack:
                keys.setdefault(type(screen).__name__, set()).update(_keys(screen))
            longer += [] if wide else _in_longer_words(window, page, PROJECTOR)
            window.close()
    return Met(keys, reads, longer)


def _in_longer_words(window: Window, page: test_walk.Page, *themes: Theme) -> list[str]:
    """The faults of a page in longer words, in some themes."""
    assert window.app is not None
    found = []
    for theme in themes:
        window.app.look = Look(SMALLEST, theme)
        found += [f"{page.__name__}, {theme.name}: {fault}" for fault in faults_in_longer_words(window.app)]
    return found


def _told(page: str) -> set[str]:
    """The keys in a row of the manual: each in back quotes, several with blanks between, or from one to another."""
    rows = [line for line in MANUAL.splitlines() if line.startswith(f"| {page} |")]
    assert len(rows) == 1, f"{len(rows)} rows for {page}"
    told: set[str] = set()
    for caps in re.findall("`([^`]+)`", rows[0]):
        first, _, last = caps.partition(" to ")
        several = all(len(cap) == 1 for cap in caps.split())
        told |= {chr(k) for k in range(ord(first), ord(last) + 1)} if last else set(caps.split()) if several else {caps}
    return told


def test_every_screen_is_met(met: Met) -> None:
    """The walks leave no screen out, so that all that follows holds for each."""
    assert {kind.__name__ for kind in _screens() if not kind.__subclasses__()} <= set(met.keys)


def test_every_key_is_in_the_manual(met: Met) -> None:
    """Whatever key does something on a screen stands in the manual's row for it, or in that for every page."""
    fixed = {title(key) for key in FIXED}
    assert fixed <= _told(EVERY_PAGE)
    for screen, keys in met.keys.items():
        told = fixed.union(*map(_told, ROWS.get(screen, ())))
        assert keys <= told, f"{screen}: {sorted(keys - told)} not in {ROWS.get(screen, 'any row')}"


def test_every_key_in_the_manual_does_something(met: Met) -> None:
    """No row tells a key that none of its screens has."""
    fixed = {title(key) for key in FIXED}
    for row in {row for rows in ROWS.values() for row in rows}:
        keys = fixed.union(*(met.keys[screen] for screen, rows in ROWS.items() if row in rows))
        assert {key.removeprefix("Ctrl+") for key in _told(row)} <= keys


def test_making_a_page_reads_nothing(met: Met) -> None:
    """A page is made of what it is handed: no record is read and no coach replayed by a constructor."""
    assert met.reads == set()


def test_longer_words_find_room(met: Met) -> None:
    """In a language of words 40 % longer nothing is cut, overlaps or shrinks below 80 %, in the largest type."""
    assert "\n".join(met.in_longer_words) == ""


@pytest.mark.long
@pytest.mark.usefixtures("one_coach_a_log")
@pytest.mark.parametrize("page", PAGES, ids=test_walk.named)
def test_longer_words_find_room_in_any_theme(page: test_walk.Page, tmp_path: Path, demo_file: Path) -> None:
    """As above, on each page by itself in all themes."""
    window = _lived(tmp_path, demo_file)
    try:
        page(window)
        assert _in_longer_words(window, page, *THEMES.values()) == []
    finally:
        window.close()
