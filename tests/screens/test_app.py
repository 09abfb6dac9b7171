"""The loop: it draws when something changed, follows the window, and survives a fault."""

import os
import subprocess
import sys
from pathlib import Path

import pygame
import pytest
from pygame import Rect

from game.app import NoDisplayError, open_display
from game.screens.base import Heading, Key, Screen
from game.screens.home.home import Home
from game.screens.notices.error import ErrorPage
from game.screens.settings.settings import SettingsScreen
from game.widgets.base import Widget
from game.widgets.controls import Button
from game.widgets.look import Look
from game.widgets.moves import Next
from tests.screens.window import Window


class Faulty(Screen):
    """A page whose button fails."""

    def heading(self) -> Heading:
        return Heading("Faulty")

    def body(self, look: Look, box: Rect) -> list[Widget]:
        return [Button("go", Rect(box.topleft, (look.u(200), look.u(50))), "Go", self._fail)]

    def keys(self) -> tuple[Key, ...]:
        return ()

    def _fail(self) -> Next:
        raise RuntimeError("the drum is loose")


def count_paints(window: Window, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A list that grows with every whole painting."""
    painted: list[int] = []
    paint = window.app.paint

    def counted() -> None:
        painted.append(1)
        paint()

    monkeypatch.setattr(window.app, "paint", counted)
    return painted


def test_nothing_is_drawn_while_nothing_changes(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page at rest is not painted again; a key paints it once, in the same round of the loop."""
    window.show(SettingsScreen(window.context))
    painted = count_paints(window, monkeypatch)
    window.frames(30)
    assert painted == []
    window.press("tab")
    assert painted == [1]


def test_mouse_without_target_draws_nothing(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Moving over empty paper costs no painting."""
    window.show(SettingsScreen(window.context))
    painted = count_paints(window, monkeypatch)
    for x in range(5):
        pygame.event.post(pygame.Event(pygame.MOUSEMOTION, pos=(x, 300), rel=(1, 0), buttons=(0, 0, 0)))
    window.frames()
    assert painted == []


def test_keys_of_one_frame_are_taken_in_turn(window: Window) -> None:
    """Keys that arrive together each meet the page as the one before has left it."""
    window.show(Home(window.context))
    window.press("s")
    for name in ("tab", "tab"):
        pygame.event.post(pygame.Event(pygame.KEYDOWN, key=pygame.key.key_code(name), mod=0, unicode="", scancode=0))
    window.frames()
    assert window.top.focus == "terms"


def test_failing_page_becomes_an_error_page(window: Window) -> None:
    """The fault is said in a line, kept as a report, and home is one key away."""
    window.expects_error = True
    window.show(Faulty(window.context), Home(window.context))
    window.press("return")
    assert isinstance(window.top, ErrorPage)
    assert "the drum is loose" in window.texts()
    report = window.context.data_folder / "last-error.txt"
    assert "RuntimeError: the drum is loose" in report.read_text("utf-8")
    window.press("return")
    assert isinstance(window.top, Home)


def test_resized_window_is_laid_out_anew(window: Window) -> None:
    """After a resize the page fills the new window."""
    window.show(SettingsScreen(window.context))
    pygame.display.set_mode((1024, 640), pygame.RESIZABLE)
    pygame.event.post(pygame.Event(pygame.VIDEORESIZE, size=(1024, 640), w=1024, h=640))
    window.frames()
    assert window.app.look.size == (1024, 640)
    assert all(Rect(0, 0, 1024, 640).contains(widget.rect) for widget in window.top.widgets)


def test_closing_the_window_ends(window: Window) -> None:
    """The window's own close button ends the loop."""
    window.show(Home(window.context))
    pygame.event.post(pygame.Event(pygame.QUIT))
    window.frames()
    assert window.app.stack == []


def test_text_input_runs_only_in_fields(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """The keyboard writes text only while a field has the focus, and only there keys repeat."""
    state = {"on": False}
    monkeypatch.setattr(pygame.key, "start_text_input", lambda: state.update(on=True))
    monkeypatch.setattr(pygame.key, "stop_text_input", lambda: state.update(on=False))
    window.show(Home(window.context))
    window.press("n")
    assert state["on"]
    assert pygame.key.get_repeat() != (0, 0)
    window.press("escape", "tab", "tab")
    window.press("escape")
    assert not state["on"]


def test_missing_display_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where SDL would draw for nobody, the window is refused, with what works instead."""
    monkeypatch.delenv("SDL_VIDEODRIVER")
    monkeypatch.setenv("DISPLAY", ":none")
    monkeypatch.setattr(pygame.display, "init", lambda: None)
    monkeypatch.setattr(pygame.display, "get_driver", lambda: "offscreen")
    with pytest.raises(NoDisplayError, match="drumlin listen"):
        open_display()


def test_window_without_display_ends_with_one_line(tmp_path: Path) -> None:
    """The whole command, without any display: exit code 1 and one line."""
    bare = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    bare.pop("SDL_VIDEODRIVER", None)
    ended = subprocess.run(
        [sys.executable, "-m", "game", "--data-dir", str(tmp_path / "data")],
        env=bare, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert ended.returncode == 1
    (line,) = ended.stderr.strip().splitlines()
    assert "no display" in line or "no window" in line
