"""A commit that lands and yet reports an error: what is handed in again is kept once, whichever way one plays."""

from collections import Counter
from collections.abc import Sequence

import pytest

from game.learning.evidence import Answer
from game.records import Player, Records, RecordsError
from game.screens.exam.start import ExamStart
from game.screens.home.home import Home
from game.screens.lesson.room import open_class_room
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import open_practice
from game.screens.practice.reveal import Reveal
from game.sessions.exam.exam import ExamStage
from game.sessions.lesson.lesson import Stage
from game.sessions.practice.drill import PairDrill
from game.sessions.practice.round import PracticeRound
from game.sessions.settings.bindings import TILE_KEYS
from tests.screens.window import Opened, Window


@pytest.fixture
def window(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> Window:
    """A window whose records keep each bar and then report an error, every other time."""
    append, tries = Records.append, [0]

    def lands_late(self: Records, player: Player, question: str, answers: Sequence[Answer]) -> int:
        added = append(self, player, question, answers)
        tries[0] += 1
        if tries[0] % 2:
            raise RecordsError("the disk reports a fault")
        return added

    monkeypatch.setattr(Records, "append", lands_late)
    return opened((1024, 640))


def rows(window: Window, player: Player | None = None) -> Counter[Answer]:
    """What is in the records."""
    return Counter(window.context.records.answers(player or window.context.player))


def again(window: Window) -> None:
    """Leave the page that tells of the error, to try again."""
    assert isinstance(window.top, Unkept)
    window.click("stay")


@pytest.mark.parametrize("drill", [False, True])
def test_practice_keeps_a_bar_once(window: Window, drill: bool) -> None:
    """In a round of the coach's, and in one of two figures against each other."""
    coach = window.context.coach()
    asker = PairDrill(coach, *coach.level.figures[:2], seed=1) if drill else coach
    window.show(open_practice(window.context, asker), Home(window.context))
    for number in range(1, 4):
        window.say_right()
        window.press("return")
        again(window)
        window.press("return")
        assert isinstance(window.top, Reveal)
        window.press("return")
        assert (len(rows(window)), rows(window).total()) == (4 * number, 4 * number)


def test_a_lesson_keeps_a_bar_once(window: Window) -> None:
    """The class's answers, by shares."""
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    window.show(open_class_room(window.context, room), Home(window.context))
    window.press("space", "space", "a", "9", "c", "3")
    while window.top.session.stage is not Stage.READY:
        window.press("space")
    window.clock.now += 1.1
    window.press("space")
    again(window)
    window.press("space")
    assert window.top.session.stage is Stage.SHOWN
    assert (len(rows(window, room)), rows(window, room).total()) == (2, 2)


def test_an_exam_keeps_a_bar_once(window: Window) -> None:
    """To its last bar, whose answers are handed in with the result."""
    window.show(ExamStart(window.context), Home(window.context))
    window.press("return")
    session = window.top.session
    asked = sum(len(question.asked) for question in session.paper)
    while session.stage is ExamStage.ASKING:
        window.device.where = None
        window.press("space")
        window.device.where = None
        figures = window.context.level.figures
        window.press(*(TILE_KEYS[figures.index(figure)] for figure in session.question.asked_figures))
        window.press("return")
        if isinstance(window.top, Unkept):
            again(window)
    assert (len(rows(window)), rows(window).total()) == (asked, asked)


def test_the_terminal_keeps_a_bar_once(window: Window) -> None:
    """By the same round and the same service as the game in the terminal."""
    service = window.context
    practised = PracticeRound(service.coach(), service.keep, service.now())
    for figure in practised.question.asked_figures:
        practised.sheet.pick(figure)
    with pytest.raises(RecordsError, match="the disk reports a fault"):
        practised.answer(service.now())
    practised.answer(service.now() + 1)
    assert (len(rows(window)), rows(window).total()) == (4, 4)
