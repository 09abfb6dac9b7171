"""A page is made of what it is handed: making it reads no record and replays no coach, so that it shows at once."""

import importlib
import pkgutil
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest

import game.screens
from game.learning import Coach
from game.records import Exam, Player, RecordsError
from game.screens.bars.desk import BarDesk
from game.screens.bars.files import BarFiles
from game.screens.bars.shelf import OwnBars
from game.screens.base import Screen
from game.screens.context import Context
from game.screens.exam.result import ExamEnd
from game.screens.exam.room import ExamRoom
from game.screens.exam.start import ExamStart
from game.screens.figures.library import Library
from game.screens.hearing.listening_panel import ListeningPanel
from game.screens.home.demo import DemoHome, DemoStart
from game.screens.home.first_start import FirstStart
from game.screens.home.home import Home
from game.screens.lesson.end import ClassEnd
from game.screens.lesson.room import ClassRoom
from game.screens.lesson.start import ClassStart
from game.screens.levels.editor import LevelEditor
from game.screens.levels.levels import Levels
from game.screens.notices.dialog import Dialog
from game.screens.notices.error import ErrorPage
from game.screens.notices.name_prompt import NamePrompt
from game.screens.notices.restore import RestoreOffer
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice
from game.screens.practice.reveal import Reveal
from game.screens.practice.round_end import RoundEnd
from game.screens.progress.plan import PlanPage
from game.screens.progress.progress import Progress
from game.screens.reading.reading import Reading, ReadingStart
from game.screens.settings.keys import KeyChoice
from game.screens.settings.settings import SettingsScreen
from game.screens.settings.tap_delay import TapDelay
from game.sessions.exam.exam import ExamSession
from game.sessions.lesson.lesson import ClassSession
from game.sessions.lesson.summary import summarise
from game.sessions.practice.round import PracticeRound
from game.sessions.reading.reading import ReadingRound, Task
from game.widgets.moves import Pop
from shared.counting import parse_bar
from shared.levels import find_level
from shared.orchestration import Setting
from tests.screens.window import NOW, Window

LEVEL = find_level("stage-3")
ROOM = Player(1, "", "Millrace Drum Room", "class", NOW)
BAR = parse_bar("1 e a 2 & 3 4")


def a_round(bars: int = 0) -> PracticeRound:
    """A round of which so many bars are answered."""
    made = PracticeRound(Coach(LEVEL), lambda *_: None, NOW)
    for _ in range(bars):
        made.answer(NOW)
    return made


MADE: dict[type[Screen], Callable[[Context], Screen]] = {
    BarDesk: BarDesk,
    BarFiles: lambda context: BarFiles(context, "Rain", BAR, Setting()),
    ClassEnd: lambda context: ClassEnd(context, ROOM, summarise(LEVEL, [], [], NOW)),
    ClassRoom: lambda context: ClassRoom(context, ROOM, ClassSession(Coach(LEVEL), lambda *_: None, NOW), lambda: NOW),
    ClassStart: lambda context: ClassStart(context, [ROOM]),
    DemoHome: DemoHome,
    DemoStart: DemoStart,
    Dialog: lambda context: Dialog(context, "Leave?", "Stay", "Leave", Pop),
    ErrorPage: lambda context: ErrorPage(context, ValueError("spoilt")),
    ExamEnd: lambda context: ExamEnd(context, Exam("", LEVEL.name, NOW, rules=ExamSession(LEVEL, 7).rules)),
    ExamRoom: lambda context: ExamRoom(context, ExamSession(LEVEL, 7), Exam("", LEVEL.name, NOW)),
    ExamStart: ExamStart,
    FirstStart: FirstStart,
    Home: Home,
    ListeningPanel: lambda context: ListeningPanel(context, lambda: None, lambda: "Hear it"),
    KeyChoice: KeyChoice,
    LevelEditor: lambda context: LevelEditor(context, LEVEL),
    Levels: Levels,
    Library: lambda context: Library(context, np.eye(len(LEVEL.figures))),
    NamePrompt: lambda context: NamePrompt(context, "Which name?", "Rain", lambda _: ""),
    OwnBars: OwnBars,
    PlanPage: PlanPage,
    Practice: lambda context: Practice(context, a_round()),
    Progress: lambda context: Progress(context, []),
    Reading: lambda context: Reading(context, Task.WHICH_BAR, ReadingRound(LEVEL, Task.WHICH_BAR, 7)),
    ReadingStart: ReadingStart,
    RestoreOffer: lambda context: RestoreOffer(context, Path("records-2026-11-24.sqlite"), True, Home(context)),
    Reveal: lambda context: Reveal(context, a_round(1), lambda: Home(context)),
    RoundEnd: lambda context: RoundEnd(context, a_round(1), None, lambda: Home(context)),
    SettingsScreen: SettingsScreen,
    TapDelay: TapDelay,
    Unkept: lambda context: Unkept(context, RecordsError("the disk is full")),
}
"""Every page, made of what it is handed."""


class Closed:
    """Records that may not be touched."""

    def __getattr__(self, name: str) -> NoReturn:
        raise AssertionError(f"the page asked the records for {name}")


def pages() -> set[type[Screen]]:
    """Every class of the program that has a page of its own."""
    found: set[type[Screen]] = set()
    for module in pkgutil.walk_packages(game.screens.__path__, "game.screens."):
        for thing in vars(importlib.import_module(module.name)).values():
            if isinstance(thing, type) and issubclass(thing, Screen) and thing.body is not Screen.body:
                found.add(thing)
    return found


def test_every_page_is_tried() -> None:
    """A new page is added to the table above."""
    assert set(MADE) == pages()


@pytest.mark.parametrize("page", MADE, ids=lambda page: page.__name__)
def test_making_a_page_reads_nothing(window: Window, monkeypatch: pytest.MonkeyPatch, page: type[Screen]) -> None:
    """No record is read, no coach replayed, no answer kept."""
    with monkeypatch.context() as closed:
        closed.setattr(window.context, "records", Closed())
        closed.setattr(Coach, "replay", lambda *_: pytest.fail("a coach was replayed"))
        assert isinstance(MADE[page](window.context), page)
