"""The manual says what is true: every command, option and level key is in it, and shown output is what is printed."""

import argparse
import re
import shutil
import tomllib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from game.__main__ import main
from game.cli.parser import COMMANDS
from game.records.folders import RECORDS_NAME
from game.screens.base import Screen
from game.sessions.settings.bindings import FIXED
from game.widgets.keycaps import title
from shared.level_table import Exam, Level
from shared.levels import level_from_text
from tests.screens import test_walk, test_walk_library, test_walk_sessions
from tests.screens.window import Window

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TEACHERS = (ROOT / "levels" / "TEACHERS.md").read_text(encoding="utf-8")

SHOWN = re.compile(r"^\$ drumlin (.+)\n((?:(?!\$ |```).*\n)*)", re.MULTILINE)
"""A command of the manual and the lines it prints."""

EVERY_PAGE = "every page"
"""The row of the keys that mean the same on every page."""

ROWS = {
    "Home": ("first page",),
    "DemoHome": ("first page",),
    "Practice": ("practice, mock exam", "practice besides"),
    "ListeningPanel": ("practice besides", "practice, mock exam"),
    "ExamRoom": ("practice, mock exam",),
    "Reveal": ("answered bar",),
    "RoundEnd": ("end of a round",),
    "ExamEnd": ("exam result",),
    "Progress": ("progress",),
    "PlanPage": ("plan",),
    "ReadingStart": ("reading",),
    "Reading": ("reading",),
    "Library": ("figures",),
    "OwnBars": ("own bars",),
    "BarDesk": ("own bars",),
    "BarFiles": ("own bars",),
    "SettingsScreen": ("settings, welcome",),
    "TapDelay": ("settings, welcome",),
    "FirstStart": ("settings, welcome",),
    "ClassStart": ("class",),
    "ClassRoom": ("class",),
    "ClassEnd": ("end of a lesson",),
    "Levels": ("levels",),
    "LevelEditor": ("level editor",),
}
"""The rows of the manual that tell a screen's keys.  One that has only the keys of every page needs none."""

WIDE = (test_walk.practice, test_walk_sessions.exam_room, test_walk_sessions.class_collect)
"""Pages with as many keys as their level has figures."""


def options_of(parser: argparse.ArgumentParser) -> Iterator[str]:
    """The options that a parser, and the parsers under it, declare."""
    for action in parser._actions:
        yield from (option for option in action.option_strings if option not in ("-h", "--help"))
        if isinstance(action, argparse._SubParsersAction):
            for under in action.choices.values():
                yield from options_of(under)


def declared(command: str) -> argparse.ArgumentParser:
    """The parser of one command, its options declared."""
    parser = argparse.ArgumentParser()
    import_module(f"game.cli.{command or 'window'}").add(parser)
    return parser


def row(command: str) -> str:
    """The row of the README's table for a command."""
    starts = f"| `{' '.join(['drumlin', command]).strip()}"
    return next((line for line in README.splitlines() if line.startswith((starts + "`", starts + " "))), "")


def words(shown: str) -> list[str]:
    """The words of a shown command; a text in double quotes is one word."""
    return [quoted or plain for quoted, plain in re.findall(r'"([^"]*)"|(\S+)', shown)]


@pytest.mark.parametrize(("shown", "printed"), SHOWN.findall(README) + SHOWN.findall(TEACHERS))
def test_shown_output_is_printed(
    shown: str, printed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A command of the manual prints just what the manual shows."""
    monkeypatch.chdir(tmp_path)
    main(words(shown))
    out, err = capsys.readouterr()
    assert out + err == printed


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_command_and_option_is_in_the_readme(command: str) -> None:
    """Each command has its row, and in it stand its options and no others."""
    assert set(re.findall(r"--[a-z-]+", row(command))) == set(options_of(declared(command)))


def test_commands_of_commands_are_in_the_readme() -> None:
    """What ``levels`` and ``history`` can do is named in their rows."""
    for command in COMMANDS:
        for action in declared(command)._actions:
            if isinstance(action, argparse._SubParsersAction):
                assert not [name for name in action.choices if f"`{name}" not in row(command)]


def test_every_level_key_is_in_the_teachers_page() -> None:
    """Each key of a level file and of its exam is explained."""
    keys = {"format", "low", "high", *Level.__dataclass_fields__, *Exam.__dataclass_fields__} - {"name"}
    assert not [key for key in keys if f"`{key}`" not in TEACHERS and f"`[{key}]`" not in TEACHERS]


def test_the_shown_level_is_a_level() -> None:
    """The teacher's example reads without a fault and shows every key."""
    text = TEACHERS.split("```toml\n")[1].split("```")[0]
    assert level_from_text(text, "example").words
    assert set(tomllib.loads(text)) == {"format", *Level.__dataclass_fields__} - {"name"}


def test_pictures_are_there() -> None:
    """Every picture and page that the manual links lies in the project."""
    for page in (README, TEACHERS):
        for link in re.findall(r"\]\(([^)]+)\)", page):
            assert (ROOT / link).is_file(), link


def _lived(folder: Path, records: Path) -> Window:
    """A window on a copy of records; Ash plays."""
    shutil.copy(records, folder / RECORDS_NAME)
    window = Window(folder, level="stage-4")
    window.play_as("Ash (demo)")
    return window


def _keys(screen: Screen) -> set[str]:
    """What stands on the keys that do something on a screen: its own and its widgets'."""
    own = screen.keys()
    return {title(key.name) for key in own} | {title(widget.key) for widget in screen.widgets if widget.key}


@pytest.fixture(scope="module")
def met(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> dict[str, set[str]]:
    """The keys of every screen that the walks come to, by the screen's name."""
    found: dict[str, set[str]] = {}
    pages = (*test_walk.PAGES, *test_walk_library.PAGES, *test_walk_sessions.PAGES)
    for page, wide in [*((page, False) for page in pages), *((page, True) for page in WIDE)]:
        window = _lived(tmp_path_factory.mktemp("walk"), demo_file)
        if wide:
            window.context.level = test_walk_library.own_level(window)
        page(window)
        assert window.app is not None
        window.app.paint()
        for screen in window.app.stack:
            found.setdefault(type(screen).__name__, set()).update(_keys(screen))
        window.close()
    return found


def _told(page: str) -> set[str]:
    """The keys in a row of the manual: each in back quotes, several with blanks between, or from one to another."""
    rows = [line for line in (README + TEACHERS).splitlines() if line.startswith(f"| {page} |")]
    assert len(rows) == 1, f"{len(rows)} rows for {page}"
    told: set[str] = set()
    for caps in re.findall("`([^`]+)`", rows[0]):
        first, _, last = caps.partition(" to ")
        several = all(len(cap) == 1 for cap in caps.split())
        told |= {chr(k) for k in range(ord(first), ord(last) + 1)} if last else set(caps.split()) if several else {caps}
    return told


def _screens(base: type[Screen] = Screen) -> Iterator[str]:
    """The names of the program's own screens that nothing is derived from."""
    for kind in base.__subclasses__():
        if not kind.__subclasses__() and kind.__module__.startswith("game."):
            yield kind.__name__
        yield from _screens(kind)


def test_every_key_is_in_the_manual(met: dict[str, set[str]]) -> None:
    """Whatever key does something on a screen stands in the manual's row for it, or in that for every page."""
    fixed = {title(key) for key in FIXED}
    assert fixed <= _told(EVERY_PAGE)
    for screen, keys in met.items():
        told = fixed.union(*map(_told, ROWS.get(screen, ())))
        assert keys <= told, f"{screen}: {sorted(keys - told)} not in {ROWS.get(screen, 'any row')}"


def test_every_key_in_the_manual_does_something(met: dict[str, set[str]]) -> None:
    """No row tells a key that none of its screens has."""
    fixed = {title(key) for key in FIXED}
    for row in {row for rows in ROWS.values() for row in rows}:
        keys = fixed.union(*(met[screen] for screen, rows in ROWS.items() if row in rows))
        assert {key.removeprefix("Ctrl+") for key in _told(row)} <= keys


def test_every_screen_is_met(met: dict[str, set[str]]) -> None:
    """The walks leave no screen out, so that no key of one can be missing from the manual."""
    assert set(_screens()) <= set(met)
