"""The loop: it draws when something changed, follows the window, and survives a fault."""

import os
import subprocess
import sys
from pathlib import Path

import pygame
import pytest
from pygame import Rect

from game.app import NoDisplayError, open_display
from game.records import RecordsError
from game.screens.base import Heading, Key, Screen
from game.screens.exam.start import ExamStart
from game.screens.home.home import Home
from game.screens.lesson.start import ClassStart
from game.screens.notices.error import ErrorPage
from game.screens.notices.restore import RestoreOffer
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice
from game.screens.progress.plan import PlanPage
from game.screens.progress.progress import open_progress
from game.screens.settings.settings import SettingsScreen
from game.screens.settings.tap_delay import clicks
from game.sessions.inputs import Input
from game.widgets.base import Widget
from game.widgets.controls import Button
from game.widgets.lettering import READABLE
from game.widgets.look import Look
from game.widgets.moves import Next
from tests.screens.window import Opened, Window, faults, key_down


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


@pytest.mark.parametrize(("size", "at_left"), [((10_000, 300), True), ((5760, 1080), False)])
def test_a_strip_of_a_window_shows_its_page_at_the_left(opened: Opened, size: tuple[int, int], at_left: bool) -> None:
    """Of a window wider than any screen the middle can't be seen; one over three screens is centred."""
    window = opened(size)
    window.show(Home(window.context))
    page = window.top.page(window.app.look)
    assert page.x < 100 if at_left else page.centerx in range(size[0] // 2 - 1, size[0] // 2 + 2)


def test_records_that_fail_while_a_page_moves_on_are_told_in_that_frame(window: Window) -> None:
    """The page that tells of it is painted at once, not a frame later."""
    page = Faulty(window.context)
    window.show(page)

    def refuse(now: float) -> list[Rect]:
        raise RecordsError(f"locked at {now}")

    page.tick = refuse
    window.app.step(1.0)
    assert isinstance(window.top, Unkept)
    assert not window.top.stale


def test_huge_type_is_as_large_as_the_page_has_room_for(window: Window) -> None:
    """In a small window huge type is set smaller, larger than usual still, and whole; it doesn't jump with words."""
    window.context.change_settings(type_size=250)
    window.show(ClassStart(window.context, [], [window.context.level]))
    window.lay_out((1024, 640))
    small = window.app.look.type_factor
    assert 1 < small < 2.5
    assert list(faults(window.app)) == []
    window.write("B")
    window.lay_out((1024, 640))
    assert window.app.look.type_factor <= small
    window.lay_out((1024, 2000))
    assert window.app.look.type_factor > small


def test_huge_type_leaves_the_pair_its_room(window: Window) -> None:
    """Whoever needs huge type reads the figures too: they had lain over the words below."""
    window.context.change_settings(type_size=200, theme="projector")
    window.show(open_progress(window.context))
    for size in ((1024, 640), (1536, 864), (1920, 1080)):
        window.lay_out(size)
        assert window.app.look.type_factor > 1
        # Eight staff spaces, for a note and the count under it, of at least 5 units each.
        assert window.widget("pair").rect.h >= window.app.look.u(40)


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


class Take(Screen):
    """A page that takes strokes down, all but those of Escape."""

    def __init__(self, window: Window) -> None:
        super().__init__(window.context)
        self.strokes: list[Input] = []
        self.others: list[str] = []

    taking = True  # type: ignore[assignment]

    def heading(self) -> Heading:
        return Heading("Take")

    def body(self, look: Look, box: Rect) -> list[Widget]:  # noqa: ARG002
        return []

    def keys(self) -> tuple[Key, ...]:
        return (Key("escape", "stop", lambda: self.others.append("escape")),)

    def strike(self, stroke: Input) -> bool:
        self.strokes.append(stroke)
        return stroke.name != "escape"


def test_a_stroke_has_the_time_at_which_it_was_read(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its time is on the sound's clock, less what has passed since the loop read it; other keys go on as keys."""
    take = Take(window)
    window.show(take)
    window.context.sound.play(clicks())
    window.device.where = 2.0
    monkeypatch.setattr("game.app.time.perf_counter", lambda: 10.005)
    window.app.handle(key_down("f"), came=10.0)
    window.app.handle(key_down("escape"), came=10.0)
    assert [(one.source, one.name) for one in take.strokes] == [("keys", "f"), ("keys", "escape")]
    assert take.strokes[0].seconds == pytest.approx(1.995)
    assert take.others == ["escape"]


def test_in_silence_a_key_is_a_key(window: Window) -> None:
    """A stroke to no sound has no time."""
    take = Take(window)
    window.show(take)
    window.press("f")
    assert take.strokes == []


def test_a_key_held_down_acts_once(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its repeats do nothing on the page it has led to; once it was up it acts again."""
    window.show(Home(window.context))
    held = {pygame.K_p}
    monkeypatch.setattr(pygame.key, "get_pressed", lambda: {key: key in held for key in (pygame.K_p, pygame.K_b)})
    window.press("p", "p")
    assert isinstance(window.top, Practice)
    held.add(pygame.K_b)
    window.press("b")
    window.end_sound()
    hearings = window.top.round.sheet.hearings
    window.press("p", "p")
    assert window.top.round.sheet.missing == window.top.round.question.asked
    pygame.event.post(pygame.Event(pygame.KEYUP, key=pygame.K_b, mod=0, unicode="", scancode=0))
    window.press("b")
    window.end_sound()
    assert window.top.round.sheet.hearings == hearings + 1


def test_repeats_that_waited_for_a_slow_page_do_nothing(window: Window) -> None:
    """A key let go while a page was opening is up by the keyboard's state before its last repeats are read."""
    window.show(PlanPage(window.context))
    window.press("home", "down", "b")
    assert isinstance(window.top, Practice)
    window.frames(3)
    heard = window.top.round.sheet.hearings
    for _ in range(2):
        pygame.event.post(key_down("b"))
    pygame.event.post(pygame.Event(pygame.KEYUP, key=pygame.K_b, mod=0, unicode="", scancode=0))
    window.frames(1)
    assert window.top.round.sheet.hearings == heard
    window.press("b")
    assert window.top.round.sheet.hearings == heard + 1


def test_a_held_key_is_one_stroke(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a take the repeats of a key that is down are no strokes."""
    take = Take(window)
    window.show(take)
    window.context.sound.play(clicks())
    window.device.where = 1.0
    monkeypatch.setattr(pygame.key, "get_pressed", lambda: {pygame.K_f: True})
    window.press("f", "f", "f")
    assert len(take.strokes) == 1


def test_huge_type_leaves_no_sentence_small(window: Window) -> None:
    """Where headings in huge type would leave the rules of an exam little room, all is set smaller, and readable."""
    window.context.change_settings(type_size=200)
    window.show(ExamStart(window.context))
    window.frames(100)
    window.lay_out((1024, 640))
    rules = [widget for widget in window.top.widgets if widget.name.startswith("rule ")]
    sizes = {widget.lettering(window.app.look)[0].fitted.size for widget in rules}
    assert min(sizes) >= round(READABLE * window.app.look.type_size("body"))


def test_the_offer_that_enter_takes_stands_out(window: Window) -> None:
    """What has the focus at first and what is filled are the same answer."""
    home = Home(window.context)
    window.show(RestoreOffer(window.context, Path("records-2026-11-24.sqlite"), False, home), home)
    assert window.widget("go").focused
    assert window.widget("go").main
    assert not window.widget("stay").main
