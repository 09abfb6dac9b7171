"""``drumlin`` alone opens the window."""

from types import SimpleNamespace

import pytest


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[SimpleNamespace]:
    """What the window was opened with, in place of a window."""
    calls: list[SimpleNamespace] = []
    monkeypatch.setattr("game.app.open_window", lambda options: calls.append(options) or 0)
    return calls


def test_opens_with_what_was_asked(drumlin, opened: list[SimpleNamespace]) -> None:
    """Player, level, data folder and full screen reach the window."""
    words = ("--player", "Wren", "--level", "stage-3", "--full-screen", "--data-dir", "room")
    assert drumlin(*words).code == 0
    (asked,) = opened
    assert (asked.player, asked.level, asked.full_screen, asked.data_dir) == ("Wren", "stage-3", True, "room")


def test_opens_without_a_word(drumlin, opened: list[SimpleNamespace]) -> None:
    """Nothing need be said."""
    assert drumlin().code == 0
    (asked,) = opened
    assert (asked.player, asked.level, asked.full_screen, asked.data_dir) == (None, None, False, None)


@pytest.mark.usefixtures("short_demo")
def test_the_demo_opens_its_own_records(drumlin, opened: list[SimpleNamespace]) -> None:
    """The demo opens the window on the demo's folder."""
    assert drumlin("demo", "--data-dir", "room").code == 0
    (asked,) = opened
    assert asked.data_dir.endswith("demo")
    assert (asked.player, asked.level, asked.full_screen) == (None, None, False)


def test_no_display(drumlin, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no window can be opened, one line says what needs none."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "nonesuch")
    ending = drumlin()
    assert ending.code == 1
    assert ending.line.startswith("drumlin: no window can be opened")
    assert "`drumlin listen` needs none" in ending.line


def test_an_unknown_level(drumlin) -> None:
    """A level that there is not is one line, before any window."""
    ending = drumlin("--level", "stage-33")
    assert ending.code == 1
    assert ending.line.startswith("drumlin: level 'stage-33': there is none of that name")


def test_version(drumlin) -> None:
    """``--version`` prints one line and leaves."""
    ending = drumlin("--version")
    assert (ending.code, ending.err) == (0, "")
    assert ending.out.startswith("drumlin ")
