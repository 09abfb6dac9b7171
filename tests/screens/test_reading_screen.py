"""Reading on the screen."""

from dataclasses import replace

import pytest

from game.screens.reading.reading import ReadingPage, ReadingStart, open_reading
from game.sessions.reading.reading import Task
from game.sessions.settings.bindings import TILE_KEYS
from shared.difference import difference
from tests.screens.window import Window


@pytest.mark.parametrize(("key", "task"), [("1", Task.WHICH_BAR), ("2", Task.WHICH_BEAT)])
def test_a_round_all_right(window: Window, key: str, task: Task) -> None:
    """Hear everything, pick the right one, ten times; another round begins with Enter."""
    window.show(ReadingStart(window.context))
    assert window.widget("staff").layout.beats
    window.press(key)
    first = window.top
    assert isinstance(first, ReadingPage)
    assert first.task is task
    for _ in range(10):
        for _ in first.round.question.heard:
            window.press("space")
        window.press(TILE_KEYS[first.round.question.answer], "return")
    assert "10 of 10 right" in window.texts()
    assert "Nothing was taken for anything else." in window.texts()
    window.press("return")
    assert window.top is not first


def test_the_end_tells_what_was_not_told_apart(window: Window) -> None:
    """The most frequent pairs are drawn with what to listen for, and a key plays the two in turn."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    for _ in range(10):
        wrong = (window.top.round.question.answer + 1) % 4
        window.press("space", TILE_KEYS[wrong], "return")
    assert difference(*window.top.round.missed[0]).sentence in window.texts()
    before = len(window.device.played)
    window.press("1")
    assert len(window.device.played) == before + 1


def test_every_bar_must_be_heard(window: Window) -> None:
    """A pick before is refused in words."""
    window.show(open_reading(window.context, Task.WHICH_BAR))
    window.press("space", "1")
    assert "Hear every bar first." in window.texts()
    assert not window.top.round.results


def test_the_changed_beat_is_named(window: Window) -> None:
    """The reveal says which beat was otherwise, and draws it as it is written and as it was played."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    question = window.top.round.question
    wrong = (question.answer + 1) % 4
    window.press("space", TILE_KEYS[wrong])
    assert f"Not this one. Beat {question.answer + 1} is not as it is written." in window.texts()
    assert "It is written so\nIt was played so" in window.texts()
    assert "apart" in window.names()


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
    window.press("space", "1", "return")
    assert window.context.records.count_answers(window.context.player) == 0


def test_it_shows_which_bars_were_heard(window: Window) -> None:
    """Each bar says how often it was heard, and the line over them which ones are left."""
    window.show(open_reading(window.context, Task.WHICH_BAR))
    number = len(window.top.round.question.heard)
    window.press("space", "space", "b")
    assert window.widget("hear 0").text == "Bar 1: heard once"
    assert window.widget("hear 1").text == "Bar 2: heard twice"
    assert window.widget("hear 2").text == "Hear bar 3"
    assert window.widget("hear 2").main
    assert f"Still to hear: {', '.join(map(str, range(3, number + 1)))}." in window.texts()
    window.press(*["space"] * (number - 2))
    assert "Which bar is the one that is written?" in window.texts()


def test_the_bar_that_sounds_is_lit(window: Window) -> None:
    """While a bar sounds its button shows it; after it has ended, no button does."""
    window.show(open_reading(window.context, Task.WHICH_BAR))
    window.press("space")
    window.frames(2)
    bar = window.context.as_chosen(window.top.round.question.setting)
    window.device.where = 60 / bar.tempo * 4.5
    window.frames(2)
    assert window.widget("hear 0").lit
    window.device.where = None
    window.frames(2)
    assert not any(window.widget(f"hear {k}").lit for k in range(3))


def test_it_is_heard_slower(window: Window) -> None:
    """S plays the last bar again at three quarters of the tempo, which the head tells; a new round is at full tempo."""
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    tempo = window.top.round.question.setting.tempo
    assert f"crotchet = {tempo:.0f}" in window.texts()
    window.press("space", "s")
    assert f"Three-quarter tempo: {tempo * 0.75:.0f} of {tempo:.0f}" in window.texts()
    assert len(window.device.played) == 2
    assert window.top.round.sheet.hearings == 2
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    assert f"crotchet = {tempo:.0f}" in window.widget("head left").text


def test_a_loop_is_heard_and_stopped(window: Window) -> None:
    """Over and over, where that was chosen, until the key that hears stops it."""
    window.context.listening = replace(window.context.listening, loop=True)
    window.show(open_reading(window.context, Task.WHICH_BEAT))
    window.press("space")
    window.device.where = 1.0
    window.frames(1)
    assert window.top.loudspeaker.loops
    window.press("space")
    assert window.device.where is None
    assert window.top.round.sheet.hearings == 1
