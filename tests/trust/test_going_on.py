"""In the window: what is asked when the records fail, the backup that is offered, a clock set back, an error page."""

import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random

import pygame
import pytest

from game.app import App
from game.learning.evidence import Answer
from game.records import Records, RecordsError
from game.screens.context import Context, open_context
from game.screens.exam.result import ExamEnd
from game.screens.exam.start import ExamStart
from game.screens.home.first_start import FirstStart
from game.screens.home.home import Home, first_screens
from game.screens.notices.error import ErrorPage
from game.screens.notices.restore import RestoreOffer
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from game.screens.settings.settings import SettingsScreen
from game.sessions.clock import SteadyClock
from game.sessions.settings.bindings import TILE_KEYS
from game.wording import day_words
from tests.screens.window import NOW, Opened, Window, faults

DAY = 86_400.0


@pytest.fixture
def window(opened: Opened) -> Window:
    """A window of the smallest size."""
    return opened((1024, 640))


def forbid_writing(window: Window) -> None:
    """From now on SQLite refuses every change of the records file."""
    window.context.records.database.connection.execute("PRAGMA query_only = ON")


def test_practice_goes_on_without_a_disk(window: Window) -> None:
    """Asked once, then the round goes on in memory, and the home page says that nothing more is kept."""
    window.show(open_practice(window.context), Home(window.context))
    forbid_writing(window)
    for _ in range(10):
        window.say_right()
        window.press("return")
        if isinstance(window.top, Unkept):
            window.click("go")
            assert isinstance(window.top, Practice)
            window.press("return")
        assert isinstance(window.top, Reveal)
        window.press("return")
    records = window.context.records
    assert (records.lasting, records.count_answers(window.context.player)) == (False, 40)
    window.press("escape")
    assert "nothing of this session is kept" in window.texts()


def test_a_setting_that_cannot_be_kept_is_asked_about(window: Window) -> None:
    """A fault of the disk in the settings brings the same question, no error page."""
    window.show(SettingsScreen(window.context), Home(window.context))
    forbid_writing(window)
    window.widget("theme")
    window.press("right")
    window.press("right")
    assert isinstance(window.top, Unkept)
    window.press("escape")
    assert isinstance(window.top, SettingsScreen)


def test_an_exam_is_finished_without_a_disk(window: Window) -> None:
    """What fails at the last bar leads to the question, and from there to the result."""
    window.show(ExamStart(window.context), Home(window.context))
    window.press("return")
    figures = window.context.level.figures
    for number in range(window.context.level.exam.questions):
        window.device.where = None
        window.press("space")
        window.device.where = None
        window.press(*(TILE_KEYS[figures.index(figure)] for figure in window.top.session.question.asked_figures))
        if number == window.context.level.exam.questions - 1:
            forbid_writing(window)
        window.press("return")
    assert isinstance(window.top, Unkept)
    window.click("stay")
    assert isinstance(window.top, Unkept)
    window.click("go")
    assert isinstance(window.top, ExamEnd)
    window.frames(3)


def test_a_broken_file_does_not_stop_play(window: Window) -> None:
    """Where not even a copy can be read, the player plays on under the same name."""
    window.show(open_practice(window.context), Home(window.context))
    path = window.context.records.path
    assert path is not None
    window.say_right()
    path.write_bytes(b"Dear diary" * 20_000)
    window.press("return")
    assert isinstance(window.top, Unkept)
    name = window.context.player.name
    window.click("go")
    window.press("return")
    assert isinstance(window.top, Reveal)
    assert window.context.player.name == name


def overwrite(path: Path) -> None:
    """Random bytes in place of the records, as many as there were."""
    path.write_bytes(Random(7).randbytes(path.stat().st_size))


def cut(path: Path) -> None:
    """All but the first hundred bytes is gone."""
    path.write_bytes(path.read_bytes()[:100])


@pytest.mark.parametrize("damage", [overwrite, cut])
@pytest.mark.parametrize("leave", ["escape", "return"])
def test_damage_under_the_home_page_is_one_page(window: Window, damage: Callable[[Path], None], leave: str) -> None:
    """It paints at once, says what can be done, never comes twice, and one key leads back to the home page."""
    window.show(Home(window.context))
    path = window.context.records.path
    assert path is not None
    damage(path)
    window.press("2")
    for _ in range(120):
        window.frames(1)
        assert window.app is not None
        assert len(window.app.stack) <= 3
    assert isinstance(window.top, Unkept)
    assert not window.top.stale
    assert "is damaged" in window.texts() or "is no database" in window.texts()
    window.press(leave)
    window.frames(3)
    assert not isinstance(window.top, Unkept)
    assert not window.context.records.lasting
    window.press("escape")
    window.frames(3)
    assert not isinstance(window.top, Unkept)


def test_the_demonstrations_own_records_may_fail_too(window: Window) -> None:
    """Where the player's records are in memory already, those of the demonstration are told of by the same page."""
    window.context.go_on_in_memory("the disk is full")
    demo = open_context(window.clock, lambda: 7, level="stage-3", folder=window.context.data_folder / "demo")
    try:
        window.show(SettingsScreen(demo), Home(window.context))
        demo.records.database.connection.execute("PRAGMA query_only = ON")
        window.widget("theme")
        window.press("right", "right")
        assert isinstance(window.top, Unkept)
        window.click("go")
        assert isinstance(window.top, SettingsScreen)
        assert not demo.records.lasting
    finally:
        demo.close()


def test_nothing_ticks_under_the_page(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page below is neither asked nor painted while this one stands."""
    window.show(Unkept(window.context, RecordsError("the disk is full")), Home(window.context))
    monkeypatch.setattr(Home, "tick", broken)
    monkeypatch.setattr(Home, "paint", broken)
    window.top.stale = True
    window.frames(5)
    assert isinstance(window.top, Unkept)


def test_what_fails_again_takes_the_place_of_what_was_told(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error on the page itself is told by one page, not by a pile of them."""
    app = window.show(Unkept(window.context, RecordsError("the disk is full")), Home(window.context))

    def fails(_: Context, _reason: str) -> None:
        raise RecordsError("the folder has gone")

    monkeypatch.setattr(Context, "go_on_in_memory", fails)
    for _ in range(5):
        window.click("go")
        assert [type(page) for page in app.stack] == [Home, Unkept]
    assert "the folder has gone" in window.texts()


def test_a_lock_is_waited_for_off_the_frame(window: Window) -> None:
    """Within a blink the page says who holds the records; it goes by itself when they are free; nothing is lost."""
    window.show(open_practice(window.context), Home(window.context))
    path = window.context.records.path
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        window.say_right()
        began = time.monotonic()
        window.press("return")
        window.frames(1)
        assert time.monotonic() - began < 0.2 + 1.0  # the wait, and a frame on a busy machine
        assert isinstance(window.top, Unkept)
        assert "is in use by another program" in window.texts()
        window.frames(60)
        assert isinstance(window.top, Unkept)
        other.execute("ROLLBACK")
    window.frames(30)
    assert isinstance(window.top, Practice)
    window.press("return")
    assert isinstance(window.top, Reveal)
    assert window.context.records.lasting
    assert window.context.records.count_answers(window.context.player) == 4


def test_a_lock_can_be_left_without_waiting(window: Window) -> None:
    """Who does not want to wait goes on in memory at once, though nothing can be copied from the locked file."""
    window.show(open_practice(window.context), Home(window.context))
    path = window.context.records.path
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        window.say_right()
        window.press("return")
        began = time.monotonic()
        window.press("n")
        assert time.monotonic() - began < 3.0
        window.press("return")
        assert isinstance(window.top, Reveal)
        assert not window.context.records.lasting


@pytest.mark.parametrize("size", [(1024, 640), (1920, 1080)])
@pytest.mark.parametrize("type_size", [100, 130])
def test_questions_fit_their_box(opened: Opened, size: tuple[int, int], type_size: int) -> None:
    """The longest reason, with a long path in it, is whole in the smallest window and the largest type."""
    window = opened(size)
    window.context.change_settings(type_size=type_size)
    error = RecordsError(
        "/home-of-the-drummers/wilhelmina-alexandra/.local/share/drumlin/records.sqlite can't be read or written: "
        "the disk reports a fault; check it, keep a copy"
    )
    home = Home(window.context)
    for dialog in (
        Unkept(window.context, error),
        RestoreOffer(window.context, Path("backups/records-2026-11-24.sqlite"), False, home),
    ):
        app = window.show(dialog, home)
        assert list(faults(app)) == []


def lived_in(folder: Path) -> None:
    """Records with a player and an answer, and their backup of the day, then damaged."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        answer = Answer(NOW, "stage-3", "4/4", "1 2 3 4", 0, "1", "1", 2.0, "snare", 80.0)
        records.append(wren, "12345678-1234-4234-8234-123456789abc", [answer])
        records.save_settings(wren, type(records.settings(wren))(first_start_done=True, level="stage-3"))
    Records.open(folder, NOW).close()
    (folder / "records.sqlite").write_bytes(b"Dear diary" * 2000)


def start(window: Window) -> App:
    """Show what a start shows."""
    *below, top = first_screens(window.context)
    return window.show(top, *below)


def test_a_backup_is_brought_back_with_one_key(tmp_path: Path, opened: Opened) -> None:
    """After damage the window offers the backup; Enter brings back player, answers and settings."""
    lived_in(tmp_path / "data")
    window = opened()
    start(window)
    assert isinstance(window.top, RestoreOffer)
    assert "The records were damaged" in window.texts()
    assert f"There is a backup of {day_words(NOW)}." in " ".join(window.texts().split())
    window.press("return")
    assert isinstance(window.top, Home)
    assert window.context.player.name == "Wren"
    assert window.context.level.name == "stage-3"
    assert window.context.records.count_answers(window.context.player) == 1
    assert "was brought back" in window.texts()


def test_a_backup_can_be_declined(tmp_path: Path, opened: Opened) -> None:
    """Escape begins anew: the first start's pages, empty records, and the backup stays where it is."""
    lived_in(tmp_path / "data")
    window = opened()
    start(window)
    window.press("escape")
    assert isinstance(window.top, FirstStart)
    assert window.context.records.count_answers(window.context.player) == 0
    assert len(list((tmp_path / "data" / "backups").iterdir())) == 1


def test_a_backup_that_has_gone_is_told(tmp_path: Path, opened: Opened) -> None:
    """What was offered may be gone a moment later: one line, and the new records hold."""
    lived_in(tmp_path / "data")
    window = opened()
    start(window)
    for backup in (tmp_path / "data" / "backups").iterdir():
        backup.unlink()
    window.press("return", "escape")
    assert isinstance(window.top, Home)
    assert "is no sound backup" in window.texts()


def test_the_clock_never_runs_back() -> None:
    """Set back by a day it goes on from where it was, at the same pace; set forward it follows."""
    machine = iter((100.0, 101.0, 41.0, 43.0, 200.0, 300.0))
    clock = SteadyClock(lambda: next(machine))
    assert [clock() for _ in range(6)] == [100.0, 101.0, 101.0, 103.0, 260.0, 360.0]


def test_answers_of_tomorrow_are_borne(window: Window) -> None:
    """A record whose last answers lie a day ahead, because the clock was set back since, is practised on."""
    window.clock.now = NOW + DAY
    window.show(open_practice(window.context), Home(window.context))
    window.say_right()
    window.press("return", "escape")
    window.click("go")
    later: Context = open_context(lambda: NOW, lambda: 7, level="stage-3", folder=window.context.data_folder)
    try:
        coach = later.coach()
        assert len(coach.recall(later.now())) == len(later.level.figures)
        coach.ask(later.now())
    finally:
        later.records.close()


def broken(_: object) -> None:
    raise RuntimeError("the drum is loose")


@pytest.mark.parametrize("where", ["tick", "body", "paint", "handle"])
def test_an_unforeseen_error_is_one_calm_page(window: Window, monkeypatch: pytest.MonkeyPatch, where: str) -> None:
    """Wherever a screen fails: one page, the place of the report, the record kept, and home one key away."""
    window.show(open_practice(window.context), Home(window.context))
    window.say_right()
    window.press("return")
    window.expects_error = True
    fails: Callable[..., None] = lambda *_: broken(None)  # noqa: E731
    with monkeypatch.context() as patch:
        patch.setattr(Reveal, where, fails)
        window.top.stale = True
        window.press("right")
        window.frames(2)
    assert isinstance(window.top, ErrorPage)
    assert str(window.context.data_folder / "last-error.txt").replace("/", "") in window.texts().replace("/", "")
    assert "the drum is loose" in (window.context.data_folder / "last-error.txt").read_text("utf-8")
    assert "is kept" in window.texts()
    assert window.context.records.count_answers(window.context.player) == 4
    window.press("return")
    assert isinstance(window.top, Home)
    window.press("p")
    assert isinstance(window.top, Practice)
    pygame.event.clear()
