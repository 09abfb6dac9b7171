"""What holds for every page that the walks come to.

Nothing on it is cut or overlaps, in longer words neither; Tab travels; its keys are in the manual; making it reads
nothing.
"""

import re
import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from _pytest.mark import ParameterSet

from game.app import SMALLEST
from game.learning.coach import Coach
from game.records import Records
from game.records.folders import RECORDS_NAME
from game.screens.base import Screen
from game.sessions.settings.bindings import FIXED
from game.widgets.base import Label
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

pytestmark = pytest.mark.timeout(400)  # the first test that asks for all pages walks to them

WALKS = (test_walk, test_walk_library, test_walk_sessions)
PAGES = tuple(page for walk in WALKS for page in walk.PAGES)
ROWS = {name: rows for walk in WALKS for name, rows in walk.ROWS.items()}

WIDE = (test_walk.practice, test_walk_sessions.exam_room, test_walk_sessions.class_collect)
"""Pages with as many keys as their level has figures."""

FURTHER = (
    "home_with_results", "home_with_a_task", "home_with_a_day", "meeting_again", "practice_half_answered",
    "practice_incomplete", "practice_looped", "practice_from_memory", "reveal_first_of_two", "reveal_right",
    "round_end_closed", "round_piece_whole", "settings_straight", "tapped_unevenly", "key_taken",
    "first_page_sounding", "unkept_locked", "library_all", "fill_desk_two_bars", "fill_desk_faulty",
    "fill_nothing_played", "levels_faults", "editor_spelling", "editor_words",
    "class_start_first", "class_own_bar_read", "class_teams_shown", "class_teams_in_turn", "class_who_had_it",
    "exam_day_asked", "exam_played", "reading_bar_shown", "reading_beat",
    "chart_sixteen", "chart_otherwise", "chart_by_ear", "calls_unmet",
    "calls_ready", "calls_picked", "playing_pads", "playing_recording_read",
    "playing_seen_take", "playing", "played_otherwise", "played_nothing", "progress_weeks", "progress_month",
    "plan_last_step",
)  # fmt: skip
"""Pages that only the long run takes: in the suite is another of the same screen, laid out much alike, and each key."""

CASES = tuple((page, False) for page in PAGES if page.__name__ not in FURTHER) + tuple((page, True) for page in WIDE)
"""Each page of the suite, and whether it is to have as many keys as can be."""

FURTHER_CASES = tuple((page, False) for page in PAGES if page.__name__ in FURTHER)


def _params(cases: Sequence[tuple[test_walk.Page, bool]], *marks: pytest.MarkDecorator) -> list[ParameterSet]:
    return [pytest.param(page, wide, marks=marks, id=f"{page.__name__}-{wide}") for page, wide in cases]


class Met(NamedTuple):
    """What was met on the way to a page.

    The keys of every screen by its name, what was read while one was being made, what is wrong with how the page is
    laid out, in longer words and for the keys alone, its words, and those at its head.
    """

    keys: dict[str, set[str]]
    reads: set[str]
    faults: list[str]
    words: str
    head: str


class Watched:
    """Records that note for whom and what they were asked."""

    def __init__(self, records: Records, page: str, reads: set[str]) -> None:
        self.records, self._page, self._reads = records, page, reads

    def __getattr__(self, name: str) -> Any:
        self._reads.add(f"{self._page} asks the records for {name}")
        return getattr(self.records, name)


def _lived(folder: Path, records: Path, size: tuple[int, int] = SMALLEST) -> Window:
    """A window on a copy of records; Ash plays."""
    shutil.copy(records, folder / RECORDS_NAME)
    window = Window(folder, size, level="stage-4")
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


@contextmanager
def _watched() -> Iterator[set[str]]:
    """Watch the constructors of all screens; gives what they read."""
    reads: set[str] = set()
    making: list[str] = []
    replay = Coach.replay

    def replayed(*args: Any) -> Coach:
        reads.update(f"{page} replays a coach" for page in making)
        return replay(*args)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Coach, "replay", replayed)
        for kind in {kind for kind in _screens() if "__init__" in vars(kind)}:
            patch.setattr(kind, "__init__", _watching(kind.__init__, making, reads))
        yield reads


class Tour:
    """Comes to each page once, for all tests that ask for it."""

    def __init__(self, folders: pytest.TempPathFactory, demo_file: Path) -> None:
        self._folders, self._demo_file = folders, demo_file
        self._met: dict[tuple[test_walk.Page, bool], Met] = {}

    def met(self, page: test_walk.Page, wide: bool) -> Met:
        """What is met on the way to a page, on a level of more figures where it is to be wide."""
        if (page, wide) not in self._met:
            with shared_coaches(), _watched() as reads:
                self._met[page, wide] = self._come_to(page, wide, reads)
        return self._met[page, wide]

    def all(self) -> list[Met]:
        """What is met on all pages of the suite."""
        return [self.met(page, wide) for page, wide in CASES]

    def _come_to(self, page: test_walk.Page, wide: bool, reads: set[str]) -> Met:
        walk = next(walk for walk in WALKS if page in walk.PAGES)
        place = walk.PAGES.index(page)
        window = self._opened(walk is test_walk_sessions or wide, test_walk.SIZES[place % 3])
        try:
            if wide:
                window.context.level = test_walk_library.own_level(window)
                page(window)
                found = []
            else:
                found = test_walk.in_turn(window, page, place)
            assert window.app is not None
            keys: dict[str, set[str]] = {}
            for screen in window.app.stack:
                keys.setdefault(type(screen).__name__, set()).update(_keys(screen))
            if not wide:
                window.lay_out(SMALLEST)
                found += _in_longer_words(window, page, PROJECTOR)
                window.lay_out(test_walk.SIZES[1])
                found += test_walk.without_a_mouse(window)
            head = " ".join(one.text for one in window.top.widgets if isinstance(one, Label) and "head" in one.name)
            return Met(keys, reads, found, window.texts(), head)
        finally:
            window.close()

    def _opened(self, lived: bool, size: tuple[int, int]) -> Window:
        """A window of the three smaller sizes, which open soonest, with empty records or with lived ones."""
        folder = self._folders.mktemp("walk")
        return _lived(folder, self._demo_file, size) if lived else Window(folder / "data", size)


@pytest.fixture(scope="module")
def tour(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Tour:
    """One tour for all tests here."""
    return Tour(tmp_path_factory, demo_file)


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


def test_a_page_that_is_left_to_the_long_run_is_there() -> None:
    """No name in that list has been left behind by its page."""
    assert len(FURTHER_CASES) == len(FURTHER)


def test_every_screen_is_met(tour: Tour) -> None:
    """The walks leave no screen out, so that all that follows holds for each."""
    met = {screen for page in tour.all() for screen in page.keys}
    assert {kind.__name__ for kind in _screens() if not kind.__subclasses__()} <= met


def test_every_key_in_the_manual_does_something(tour: Tour) -> None:
    """No row tells a key that none of its screens has."""
    fixed = {title(key) for key in FIXED}
    met = tour.all()
    for row in {row for rows in ROWS.values() for row in rows}:
        keys = fixed.union(*(page.keys.get(name, ()) for page in met for name, rows in ROWS.items() if row in rows))
        assert {key.removeprefix("Ctrl+") for key in _told(row)} <= keys


def test_keys_of_every_page_are_in_the_manual() -> None:
    """What means the same everywhere stands in a row of its own."""
    assert {title(key) for key in FIXED} <= _told(EVERY_PAGE)


@pytest.mark.parametrize(("page", "wide"), [*_params(CASES), *_params(FURTHER_CASES, pytest.mark.long)])
def test_a_page_is_whole(tour: Tour, page: test_walk.Page, wide: bool) -> None:
    """Whatever the window, theme and type, nothing is cut or overlaps, and Tab travels; nor in words 40 % longer, in
    the largest type, where nothing shrinks below 80 %.

    Whatever key does something stands in the manual's row for its screen, or in that for every page.  A page is made
    of what it is handed: no record is read and no coach replayed by a constructor.
    """
    met = tour.met(page, wide)
    assert "\n".join(met.faults) == ""
    fixed = {title(key) for key in FIXED}
    for screen, keys in met.keys.items():
        told = fixed.union(*map(_told, ROWS.get(screen, ())))
        assert keys <= told, f"{screen}: {sorted(keys - told)} not in {ROWS.get(screen, 'any row')}"
    assert met.reads == set()


@pytest.mark.parametrize(
    "page",
    [
        pytest.param(page, marks=pytest.mark.long if page.__name__ in FURTHER else ())
        for page in test_walk_sessions.PAGES
    ],
    ids=test_walk.named,
)
def test_days_are_in_words(tour: Tour, page: test_walk.Page) -> None:
    """A day has its month in letters and its year, wherever it stands; none is in digits alone."""
    words = tour.met(page, wide=False).words
    assert bool(re.search(r"\b\d\d? (May|June) 2025\b", words)) == (page in test_walk_sessions.DATED)
    assert re.findall(r"\d{4}-\d\d|\b\d\d?\.\d\d?\.", words) == []


def test_a_tempo_is_written_alike_at_every_head(tour: Tour) -> None:
    """As at the head of printed music: the note that is a beat, and how many come in a minute."""
    heads = [page.head for page in tour.all()]
    assert [head for head in heads if "a minute" in head] == []
    assert sum(bool(re.search(r"(crotchet|quarter) = \d+", head)) for head in heads) > 20


@pytest.mark.long
@pytest.mark.usefixtures("one_coach_a_log")
@pytest.mark.parametrize("page", PAGES, ids=test_walk.named)
def test_longer_words_find_room_in_any_theme(page: test_walk.Page, tmp_path: Path, demo_file: Path) -> None:
    """In a language of words 40 % longer nothing is cut, overlaps or shrinks below 80 %, in all themes."""
    window = _lived(tmp_path, demo_file)
    try:
        page(window)
        assert _in_longer_words(window, page, *THEMES.values()) == []
    finally:
        window.close()
