"""Reading on the screen."""

import pytest

from game.screens.reading.reading import PICK_KEYS, Reading, ReadingStart, open_reading
from game.sessions.reading.reading import Task
from tests.screens.window import Window


@pytest.mark.parametrize(("key", "task"), [("1", Task.WHICH_BAR), ("2", Task.WHICH_BEAT)])
def test_a_round_all_right(window: Window, key: str, task: Task) -> None:
    """Hear everything, pick the right one, ten times; another round begins with Enter."""
    window.show(ReadingStart(window.context))
    window.press(key)
    first = window.top
    assert isinstance(first, Reading)
    assert first.task is task
    for _ in range(10):
        for _ in first.round.question.heard:
            window.press("space")
        window.press(PICK_KEYS[first.round.question.answer], "return")
    assert "10 of 10 right" in window.texts()
    window.press("return")
    assert window.top is not first


def test_every_bar_must_be_heard(window: Window) -> None:
    """A pick before is refused in words."""
    window.show(open_reading(window.context, Task.WHICH_BAR))
    window.press("space", "a")
    assert "Hear every bar first." in window.texts()
    assert not window.top.round.results


def test_the_changed_beat_is_named(window: Window) -> None:
    """The reveal says which beat was otherwise and what was played there."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    question = window.top.round.question
    wrong = (question.answer + 1) % 4
    window.press("space", PICK_KEYS[wrong])
    played = question.heard[0].figures[question.answer].count_on(question.answer + 1)
    assert f"Not this one. Beat {question.answer + 1} was {played}." in window.texts()


def test_beats_are_picked_with_the_focus_too(window: Window) -> None:
    """Tab to a beat of the bar and Enter picks it."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    window.press("space")
    window.top.set_focus("beat 2")
    window.press("return")
    assert window.top.round.results[0].picked == 2


def test_reading_leaves_the_log_as_it_is(window: Window) -> None:
    """Picks among three bars are no answers to figures: nothing goes to the log."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    window.press("space", "a", "return")
    assert window.context.records.count_answers(window.context.player) == 0
