"""The sheet on which a bar is answered, whatever asks it."""

import pytest

from game.sessions.answering.sheet import QUICKEST, Sheet
from shared.counting import parse_figure

ONE, TWO, THREE = (parse_figure(count) for count in ("1", "1 &", "1 e a"))


def sheet(*asked: int) -> Sheet:
    """A sheet for some beats, whose bar is over 10 s after the clock's start."""
    new = Sheet(asked or (0, 1, 2, 3), (ONE, TWO, THREE))
    new.hear(6.0, until_end=4.0)
    return new


def test_each_beat_has_its_own_time() -> None:
    """The time of a beat runs from the bar's end, or from the answer before it; coming back to it adds up."""
    one = sheet(0, 1)
    one.pick(ONE, 11.5)
    one.pick(TWO, 12.0)
    one.go_to(0)
    one.pick(THREE, 14.0)
    how = one.how(20.0)
    assert how["seconds"] == [pytest.approx(3.5), pytest.approx(0.5)]
    assert how["changes"] == [1, 0]


def test_an_answer_before_the_end_took_no_time() -> None:
    """Who answers while the bar still sounds gets the shortest time that is believed; the next counts from the end."""
    one = sheet(0, 1)
    one.pick(ONE, 8.0)
    one.pick(ONE, 11.0)
    assert one.how(12.0)["seconds"] == [QUICKEST, pytest.approx(1.0)]


def test_without_times_the_bar_has_one() -> None:
    """Answers that come all at once, as typed in the terminal, have one time for the bar."""
    one = sheet()
    one.pick(ONE)
    assert one.how(13.0)["seconds"] == pytest.approx(3.0)
    assert Sheet((0,), (ONE, TWO)).how(13.0)["seconds"] is None


def test_the_same_again_is_no_change() -> None:
    """Taking back and saying the same is none, saying another is; "not sure" is something said."""
    one = sheet(0)
    one.pick(ONE)
    one.take_back()
    one.pick(ONE)
    assert one.how(11.0)["changes"] == [0]
    one.not_sure()
    one.pick(TWO)
    assert one.how(11.0)["changes"] == [2]


def test_not_sure_fills_a_beat() -> None:
    """It counts as said, moves on, and is told beside the picks."""
    one = sheet(0, 2)
    one.not_sure(11.0)
    assert (one.place, one.missing) == (2, (2,))
    one.pick(TWO, 12.0)
    assert one.full
    assert one.answers == (None, TWO)
    assert one.how(12.0)["unsure"] == [True, False]
    one.go_to(0)
    one.take_back()
    assert one.missing == (0,)


def test_hearings_are_told_apart() -> None:
    """How often it was heard, how often a beat alone, and how often slower."""
    one = sheet(0, 1)
    one.hear(20.0, beat=1)
    one.hear(21.0, beat=1, slower=True)
    how = one.how(30.0)
    assert (how["hearings"], how["alone"], how["slower"]) == (3, [0, 2], 1)


def test_what_is_not_offered_is_not_taken() -> None:
    """Neither a figure that is not on offer nor, at a second try, what was wrong at the first."""
    again = Sheet((1, 3), (ONE, TWO), {1: ONE, 3: None})
    assert not again.pick(THREE)
    assert not again.pick(ONE)
    assert again.pick(TWO)
    assert again.pick(ONE)
    assert again.answers == (TWO, ONE)


def test_a_closed_sheet_stays() -> None:
    """Once it was handed in nothing changes it."""
    one = sheet(0, 1)
    one.pick(ONE)
    one.closed = True
    for act in (lambda: one.pick(TWO), one.not_sure, one.take_back, lambda: one.hear(30.0)):
        act()
    assert (one.answers, one.hearings) == ((ONE, None), 1)


def test_steps_go_round() -> None:
    """The cursor walks the open beats only."""
    one = sheet(1, 3)
    one.step(1)
    assert one.place == 3
    one.step(1)
    assert one.place == 1
    one.go_to(2)
    assert one.place == 1
