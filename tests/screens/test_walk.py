"""How to come to the pages of practice and to those around it, and what can be wrong with how a page is laid out.

``test_every_page.py`` opens each page of the walks in one window and one theme, in turn, and pulls it to others; the
long run opens it in each window and paints it in every theme.

With ``DRUMLIN_PICTURES`` set to a folder, the pictures are written there to be looked at.
"""

import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from game.learning.staircase import TWO_BARS
from game.records import DamagedRecordsError, LockedRecordsError, RecordsError, Round
from game.records.errors import IN_USE
from game.screens.home.first_start import FirstStart
from game.screens.home.home import Home
from game.screens.notices.dialog import Dialog
from game.screens.notices.error import ErrorPage
from game.screens.notices.restore import RestoreOffer
from game.screens.notices.unkept import Unkept
from game.screens.practice.beginning import Beginning
from game.screens.practice.meeting import MeetingPage
from game.screens.practice.question import Practice, open_closing, open_practice
from game.screens.practice.reveal import Reveal
from game.screens.practice.round_end import RoundEnd
from game.screens.practice.round_piece import RoundPiece
from game.screens.settings.keys import KeyChoice
from game.screens.settings.settings import SettingsScreen
from game.screens.settings.tap_delay import TapDelay
from game.sessions.hearing.listening import Listening
from game.sessions.practice.round import State
from game.widgets.moves import Pop
from game.widgets.theme import THEMES
from shared.levels import find_level, shipped_names
from tests.sampling import some
from tests.screens.window import NOW, Opened, Window, faults, key_down

SIZES = ((1024, 640), (1366, 768), (1920, 1080), (3840, 2160))
BETWEEN = ((1100, 900), (1280, 640), (2560, 1080), (1024, 1366), (1601, 917))
"""Sizes that a window has on its way from one to another."""

BIG = (SIZES[0], *BETWEEN)
"""The windows in which pages are opened in the largest type."""

LONGEST_NAME = "Wilhelmina-Alexandra of the Old Millrace"


def home(window: Window) -> None:
    records = window.context.records
    for name in ("Wren", "Ash", LONGEST_NAME):
        window.context.choose_player(records.player_named(name) or records.add_player(name, 0.0))
    window.show(Home(window.context))


def home_with_notices(window: Window) -> None:
    window.context.notice = "The records can't be read: /somewhere/records.sqlite is damaged. It was set aside."
    window.show(Home(window.context))
    window.press("n")


def home_with_results(window: Window) -> None:
    window.show(open_practice(window.context))
    window.say_wrong()
    window.press("return")
    for k, score in enumerate((980, 1000, 990)):
        at = NOW - 1000 + 100 * k
        kept = Round(window.context.level.name, at, at + 90, 40, 40, 10, score, 10)
        window.context.records.save_round(window.context.player, kept)
    window.clock.now += 3 * 86_400
    window.show(Home(window.context))
    window.frames(3)


def practice(window: Window) -> None:
    window.show(open_practice(window.context))
    window.device.where = 1.2


def beginning(window: Window) -> None:
    window.begin(None)
    records = window.context.records
    window.context.player = records.add_player(f"Linden {len(records.players())}", 0.0)
    window.show(open_practice(window.context))
    assert isinstance(window.top, Beginning)


def meeting(window: Window) -> None:
    beginning(window)
    window.press("1")
    assert isinstance(window.top, MeetingPage)


def meeting_beside(window: Window) -> None:
    meeting(window)
    window.press("return", "return", "s", "c")
    window.device.where = 0.1
    window.frames()
    assert len(window.widget("met").figures) == 2


def meeting_again(window: Window) -> None:
    """Two mistakes running between the same two."""
    meeting(window)
    window.press("return", "return")
    for _ in range(12):
        if isinstance(window.top, MeetingPage) and window.top.meeting.again:
            break
        if isinstance(window.top, Practice):
            window.say_wrong_of_two()
        window.press("return")
    assert window.top.meeting.again


def practice_step(window: Window) -> None:
    meeting(window)
    window.press("return", "return", "return")
    assert len(window.top.sheet.choices) == 2


def practice_half_answered(window: Window) -> None:
    window.show(open_practice(window.context))
    window.say(*window.context.level.figures[:2])
    window.press("return", "return")


def practice_incomplete(window: Window) -> None:
    window.show(open_practice(window.context))
    window.widget("done").press()


def practice_again(window: Window) -> None:
    window.give_second_tries(True)
    window.show(open_practice(window.context))
    window.say_wrong()
    window.press("return")
    assert window.top.round.state is State.AGAIN


def practice_from_memory(window: Window) -> None:
    coach = window.context.coach()
    coach.staircase = replace(coach.staircase, memory=TWO_BARS)
    coach.holds = lambda _now: True  # type: ignore[method-assign]
    window.show(open_practice(window.context, coach))
    assert window.top.round.question.then


def practice_second_bar(window: Window) -> None:
    practice_from_memory(window)
    window.say_right()
    window.press("return")
    assert window.top.round.second


def reveal_first_of_two(window: Window) -> None:
    practice_second_bar(window)
    window.press("n", "n", "n", "n", "return")
    assert window.top.round.has_second


def practice_looped(window: Window) -> None:
    window.context.listening = Listening(0.75, count_in=False, click=True, hats_down=True, loop=True)
    practice(window)


def listening_panel(window: Window) -> None:
    practice(window)
    window.press("l")


def reveal_wrong(window: Window) -> None:
    window.show(open_practice(window.context))
    window.say_wrong()
    window.press("return")


def reveal_writing(window: Window) -> None:
    reveal_wrong(window)
    window.press("m")
    window.write("a rather long word of the player's own")


def reveal_right(window: Window) -> None:
    window.context.settings = replace(window.context.settings, count_system="takadimi", terms="us", hand="L")
    window.show(open_practice(window.context))
    window.say_right()
    window.press("return")


def to_round_end(window: Window, say: Callable[[], object]) -> None:
    """Answer the ten bars of a round, each in the same way."""
    window.show(open_practice(window.context))
    with window.unseen():
        for _ in range(10):
            say()
            window.press("return")
            window.press("return")
    window.frames()
    assert isinstance(window.top, RoundEnd)


def round_end(window: Window) -> None:
    to_round_end(window, window.say_wrong)


def round_end_closed(window: Window) -> None:
    window.show(open_closing(window.context))
    while isinstance(window.top, Practice | Reveal):
        if isinstance(window.top, Practice):
            window.say_right()
        window.press("return")
    assert isinstance(window.top, RoundEnd)


def round_end_perfect(window: Window) -> None:
    to_round_end(window, window.say_right)


def round_piece(window: Window) -> None:
    round_end(window)
    window.press("m")
    assert isinstance(window.top, RoundPiece)


def round_piece_whole(window: Window) -> None:
    round_end_perfect(window)
    window.press("m", "space")
    window.device.where = 9.0
    window.frames(2)


def settings(window: Window) -> None:
    window.show(SettingsScreen(window.context))


def settings_straight(window: Window) -> None:
    window.context.level = find_level("stage-5")
    settings(window)


def tapping(window: Window) -> None:
    window.show(TapDelay(window.context))


def tapped_unevenly(window: Window) -> None:
    tapping(window)
    window.press("space")
    for k in range(16):
        window.device.where = 0.75 * k + 0.04 * (k % 3)
        window.press("space")
    window.device.where = None
    window.frames(2)


def key_choice(window: Window) -> None:
    window.show(KeyChoice(window.context))


def key_taken(window: Window) -> None:
    key_choice(window)
    window.press("return", "4")


def first_page(window: Window) -> None:
    window.show(FirstStart(window.context))


def first_page_sounding(window: Window) -> None:
    first_page(window)
    window.click("hear")
    window.device.where = 1.0
    window.frames()


def last_page(window: Window) -> None:
    window.show(FirstStart(window.context))
    window.press("page down")


def dialog(window: Window) -> None:
    question = "Leave this round? The answers of 9 bars are kept; the round itself gets no score."
    below = SettingsScreen(window.context)
    window.show(Dialog(window.context, question, "Stay", "Leave the round", Pop), below)


def error_page(window: Window) -> None:
    error = ValueError("a rather long account of something that nobody has foreseen, " * 4)
    window.expects_error = True
    window.show(ErrorPage(window.context, error, Path("/somewhere/deep/in/the/data/folder/last-error.txt")))


def unkept(window: Window) -> None:
    error = RecordsError("/somewhere/deep/in/the/data/folder/records.sqlite can't be written: the disk is full")
    window.show(Unkept(window.context, error), Home(window.context))


def unkept_damaged(window: Window) -> None:
    error = DamagedRecordsError(
        "/somewhere/deep/in/the/data/folder/records.sqlite is damaged; start Drumlin again to set it aside and offer a "
        "backup"
    )
    window.show(Unkept(window.context, error), Home(window.context))


def unkept_locked(window: Window) -> None:
    error = LockedRecordsError(f"/somewhere/deep/in/the/data/folder/records.sqlite {IN_USE}")
    window.context.records.is_free = lambda: False  # type: ignore[method-assign]
    window.show(Unkept(window.context, error), Home(window.context))


def restore_offer(window: Window) -> None:
    home = Home(window.context)
    window.show(RestoreOffer(window.context, Path("backups/records-2026-11-24.sqlite"), False, home), home)


PAGES = (
    home, home_with_notices, home_with_results, beginning, meeting, meeting_beside, meeting_again, practice_step,
    practice, practice_half_answered, practice_again,
    practice_incomplete, practice_looped,
    practice_from_memory, practice_second_bar, reveal_first_of_two,
    listening_panel, reveal_wrong, reveal_writing, reveal_right, round_end,
    round_end_perfect, round_end_closed, round_piece, round_piece_whole,
    settings, settings_straight, tapping, tapped_unevenly, key_choice, key_taken, first_page, first_page_sounding,
    last_page, dialog, error_page, unkept, unkept_damaged, unkept_locked, restore_offer,
)  # fmt: skip
"""How to come to each page.  A new screen is added here."""

ROWS = {
    "Home": ("first page",),
    "Practice": ("practice, mock exam", "practice besides"),
    "ListeningPanel": ("practice besides", "practice, mock exam"),
    "MeetingPage": ("a new figure",),
    "Beginning": ("first visit of a level",),
    "Reveal": ("answered bar",),
    "RoundEnd": ("end of a round",),
    "RoundPiece": ("round as music", "practice, mock exam"),
    "SettingsScreen": ("settings, welcome",),
    "TapDelay": ("settings, welcome",),
    "FirstStart": ("settings, welcome",),
    "Unkept": ("records not kept",),
}
"""The rows of the manual that tell these screens' keys.  One that has only the keys of every page needs none."""

Page = Callable[[Window], None]


def named(what: Page | tuple[int, int] | str | bool) -> str:
    """The name, in a case, of a page, a window's size or a level; of a switch, whether it is on."""
    if isinstance(what, str | bool):
        return str(what)
    return "x".join(map(str, what)) if isinstance(what, tuple) else what.__name__


def walked(window: Window, page: Page, *themes: str, type_size: int = 100) -> list[str]:
    """Come to a page in the first of some themes, show it in each of them, and list its faults."""
    window.context.change_settings(theme=themes[0], type_size=type_size)
    page(window)
    assert window.app is not None
    found = []
    for theme in themes:
        # A page may choose settings of its own, so those of the walk come once more.
        window.context.change_settings(theme=theme, type_size=type_size)
        window.app.paint()
        keep_picture(window, f"{page.__name__}-{theme}-{type_size}")
        found += [f"{theme}: {fault}" for fault in faults(window.app)]
    return found


def in_turn(window: Window, page: Page, place: int) -> list[str]:
    """Come to a page in a theme, in turn by its place in a walk, and pull it to other windows; lists what is wrong."""
    found = walked(window, page, [*THEMES][place // 3 % len(THEMES)])
    return [*found, *in_other_windows(window, place)]


def in_other_windows(window: Window, place: int) -> Iterator[str]:
    """Lay the open page out in other windows and larger type; returns what is wrong there.

    Where room is least always, in a larger window or in larger type in turn by its place.
    """
    in_larger_window = ("projector", 100, SIZES[1 + place // 2 % 3])
    in_larger_type = ("dark", 130, BIG[place // 2 % len(BIG)])
    others = (
        ("projector", 100, SIZES[0]),
        in_larger_window if place % 2 else in_larger_type,
        ("light", 250, SIZES[0]),  # the largest type that the settings keep
    )
    for theme, type_size, size in others:
        window.context.change_settings(theme=theme, type_size=type_size)
        app = window.lay_out(size)
        yield from (f"{theme} {type_size} % in {size}: {fault}" for fault in faults(app))
    window.context.change_settings(theme="light", type_size=100)
    window.lay_out(SIZES[1])


def without_a_mouse(window: Window) -> Iterator[str]:
    """What is wrong for the keys alone: one widget has the focus, and Tab comes to all; what can be pressed is 44
    pixels high or more (WCAG 2.2, 2.5.5)."""
    assert window.app is not None
    window.frames()
    if len(focused := [widget.name for widget in window.top.widgets if widget.focused]) != 1:
        yield f"{focused} have the focus"
    yield from (f"{widget.name} is too small" for widget in window.top.focusable() if min(widget.rect.size) < 44)
    seen = []
    for _ in range(len(window.top.focusable())):
        window.app.handle(key_down("tab"))
        window.lay_out()
        seen.append(window.top.focus)
    if sorted(seen) != sorted(widget.name for widget in window.top.focusable()):
        yield f"Tab comes to {seen}"


def keep_picture(window: Window, name: str) -> None:
    folder = os.environ.get("DRUMLIN_PICTURES")
    if folder:
        size = "x".join(map(str, window.canvas.get_size()))
        Path(folder).mkdir(parents=True, exist_ok=True)
        pygame.image.save(window.canvas, Path(folder) / f"{name}-{size}.png")


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, SIZES), ids=named)
def test_a_page_opens_in_any_window(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """Opened in the window's size and painted in every theme, nothing is cut and nothing overlaps."""
    assert walked(opened(size), page, *THEMES) == []


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, BIG), ids=named)
def test_largest_type_fits(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """The largest type size, on the way between window sizes too, cuts nothing."""
    assert walked(opened(size), page, "dark", type_size=130) == []


@pytest.mark.parametrize(
    ("page", "level"),
    some(14, [home, beginning, meeting_beside, practice, reveal_wrong, round_end, round_piece], shipped_names()),
    ids=named,
)
def test_every_level_fits(opened: Opened, page: Page, level: str) -> None:
    """Every shipped level, from 2 figures to 20, can be seen whole in the smallest window."""
    assert walked(opened((1024, 640), level=level), page, "light") == []


def test_damaged_records_offer_no_way_that_leads_back_to_them(window: Window) -> None:
    """To try again would only open the same page again: the one button goes on without them."""
    unkept_damaged(window)
    assert "stay" not in window.names()
    assert window.widget("go").text == "Go on, not kept"
