"""Whatever page plays a bar, the player's own hand, feel and swing hold; a mock exam sounds the same to everyone."""

from dataclasses import replace

import pytest

from game.screens.exam.room import open_exam_room
from game.screens.home.first_start import BARS, EXAMPLE, TEMPO, FirstStart
from game.screens.lesson.room import open_class_room
from game.screens.practice.question import open_practice
from game.screens.reading.reading import open_reading
from game.sessions.hearing.hearing import repeated
from game.sessions.practice.meeting import on_every_beat
from game.sessions.reading.reading import Task
from shared.bars import METERS
from shared.orchestration import Setting, arrange
from shared.passages import Passage
from tests.screens.window import Window

OWN = {"hand": "L", "feel": "loose", "swing": 62}


@pytest.fixture
def played(window: Window, monkeypatch: pytest.MonkeyPatch) -> list[Passage]:
    """The passages that were played to a left-handed player who swings."""
    found: list[Passage] = []
    window.context.change_settings(**OWN)
    monkeypatch.setattr(window.context.sound, "play", found.append)
    return found


def own(setting: Setting) -> tuple[str, float, float]:
    return setting.lead, setting.feel, setting.swing


def test_the_settings_hold_for_a_level(window: Window, played: list[Passage]) -> None:
    """One function says it for all: hand, feel, and the swing that blurs nothing here."""
    assert own(window.context.heard(Setting())) == ("L", 1.0, 62)
    assert not played


def test_practice_and_class_hear_them(window: Window, played: list[Passage]) -> None:
    """A bar of practice and one of a lesson."""
    practice = open_practice(window.context)
    window.show(practice)
    window.press("space")
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    lesson = open_class_room(window.context, room)
    window.show(lesson)
    window.press("space")
    asked = practice.round.question, lesson.session.question
    assert played == [arrange(one.bar, window.context.heard(one.setting)) for one in asked]


def test_reading_hears_them(window: Window, played: list[Passage]) -> None:
    """A bar to find among others."""
    reading = open_reading(window.context, Task.WHICH_BAR)
    window.show(reading)
    window.press("space")
    question = reading.round.question
    assert played == [arrange(question.heard[0], window.context.heard(question.setting))]


def test_the_first_page_hears_them(window: Window, played: list[Passage]) -> None:
    """The figure to set the volume by."""
    window.show(FirstStart(window.context))
    window.press("h")
    figure = on_every_beat(EXAMPLE, METERS["4/4"], window.context.heard(Setting(tempo=TEMPO)))
    assert played == [repeated(figure, BARS).passage]


def test_an_exam_is_exact(window: Window, played: list[Passage]) -> None:
    """Of an exam's bar only the hand is the player's: marks of two players can be compared."""
    exam = open_exam_room(window.context)
    window.show(exam)
    window.press("space")
    question = exam.session.question
    assert played == [arrange(question.bar, replace(question.setting, lead="L"))]
    assert played != [arrange(question.bar, window.context.heard(question.setting))]
