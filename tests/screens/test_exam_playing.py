"""The playing part of a mock exam on the screen: once each, no word before the end, marked by figures."""

from dataclasses import replace

import pytest

from game.records import RecordsError
from game.reports.exam_report import exam_report
from game.screens.exam.playing import ExamPlaying
from game.screens.exam.result import ExamEnd
from game.screens.exam.start import ExamStart, exam_words
from game.screens.notices.dialog import Dialog
from game.screens.notices.unkept import Unkept
from game.sessions.exam.playing_part import draw_playing
from tests.screens.test_exam import answer
from tests.screens.test_playing_screen import STRAY, play, strike_at
from tests.screens.window import Window


def to_playing(window: Window, bars: int = 3) -> ExamPlaying:
    """Hear an exam of two bars, to the first bar that is to be played."""
    level = window.context.level
    window.context.level = replace(level, exam=replace(level.exam, questions=2, playing=bars))
    window.show(ExamStart(window.context))
    assert f"Then {bars} bar" in window.texts()
    window.press("return")
    for _ in range(2):
        answer(window, right=True)
    assert isinstance(window.top, ExamPlaying)
    return window.top


def test_a_playing_part(window: Window) -> None:
    """Two bars as written and one without its last stroke; the grade is of what was heard, the other beside it."""
    page = to_playing(window)
    assert "Played bar 1 of 3, at sight" in window.texts()
    assert "staff" in window.names()
    play(window, late=0.003)
    assert "Played bar 2 of 3, played back" in window.texts()
    assert "staff" not in window.names()
    assert "written is" not in window.texts()
    play(window, late=0.003)
    play(window, late=0.003, left_out=1)
    assert "That was the last bar." in window.texts()
    window.press("return")
    assert isinstance(window.top, ExamEnd)
    assert "8 of 8 beats right: distinction." in window.texts()
    assert "Played: 11 of 12 beats as written. Timing, which is not marked: " in window.texts()
    (exam,) = window.context.records.exams(window.context.player)
    assert (exam.state, exam.mark) == ("finished", 1.0)
    assert [row.get("playing") for row in exam.detail] == [None, None, "at sight", "played back", "at sight"]
    rows = window.context.records.answers(window.context.player)
    # What is played at sight, the first time, tells of reading.
    assert {(row.kind, row.ability) for row in rows} == {
        ("exam", "hearing"), ("exam", "reading"), ("exam", "playing"),
    }  # fmt: skip
    result = window.top.result
    assert exam_report(result, "Wren", page.context.level, window.clock.now, ()).startswith(b"%PDF")


def test_bars_that_can_hardly_be_read_give_no_grade(window: Window) -> None:
    """All was heard right, but of what was played next to nothing is known: the page says so, and gives no band."""
    to_playing(window)
    for _ in range(3):
        strike_at(window, STRAY)
    window.press("return")
    assert isinstance(window.top, ExamEnd)
    assert "8 of 8 beats right by ear. Hardly a played beat could be read, so there is no grade." in window.texts()
    assert "of 12 beats could be read for sure." in window.texts()
    assert "distinction" not in window.texts()
    (exam,) = window.context.records.exams(window.context.player)
    assert exam_words(exam) == "100% by ear, no grade"


def test_an_empty_take_may_be_begun_once_more(window: Window) -> None:
    """Keys that do not work are no mistake the first time; the second time the bar counts as not played."""
    page = to_playing(window)
    play(window, left_out=100)
    assert "Nothing came in." in window.texts()
    assert page.number == 0
    play(window, left_out=100)
    assert page.number == 1


def test_breaking_off(window: Window) -> None:
    """It asks first; a bar that was begun is over by then; what was done is kept as interrupted."""
    page = to_playing(window)
    window.press("space")
    window.device.where = 1.0
    window.frames()
    window.press("f", "escape")
    assert isinstance(window.top, Dialog)
    window.press("escape")
    assert window.top is page
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ExamEnd)
    (exam,) = window.context.records.exams(window.context.player)
    assert exam.state == "interrupted"
    assert "there is no grade" in window.texts()


def test_records_that_fail_lose_no_bar(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bar that can't be kept is tried again until it is."""
    page = to_playing(window)
    save = window.context.records.save_exam
    failing = [True]

    def fails(*arguments: object) -> None:
        if failing[0]:
            raise RecordsError("the disk is full; make room")
        save(*arguments)

    monkeypatch.setattr(window.context.records, "save_exam", fails)
    play(window, late=0.003)
    assert isinstance(window.top, Unkept)
    failing[0] = False
    window.press("return")
    window.frames(2)
    assert window.top is page
    (exam,) = window.context.records.exams(window.context.player)
    assert len(exam.detail) == 3


def test_the_bars_are_drawn_evenly(window: Window) -> None:
    """As many as the rules say, at sight and played back in turn, each figure as often as any other or once more."""
    level = replace(window.context.level, exam=replace(window.context.level.exam, playing=6))
    tasks = draw_playing(level, 5)
    assert [task.how for task in tasks] == ["at sight", "played back"] * 3
    figures = [figure for task in tasks for figure in task.bar.figures]
    counts = [figures.count(figure) for figure in level.figures]
    assert max(counts) - min(counts) <= 1
    assert all(level.tempo.low <= task.tempo <= level.tempo.high for task in tasks)
    assert draw_playing(level, 5) == tasks != draw_playing(level, 6)


def test_no_stroke_is_shown_while_a_bar_is_examined(window: Window) -> None:
    """The beat that sounds is lit; strokes under the notes would say what is right before the end."""
    page = to_playing(window)
    window.press("space")
    assert page.run
    window.device.where = page.run.begins + 0.1
    window.press("j")
    assert len(page.struck) == 1
    assert window.widget("line").so_far() == (0, ())
