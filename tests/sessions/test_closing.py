"""The closing round: every figure, each bar heard once, and nine in ten right."""

from collections import Counter

import pytest

from game.learning.coach import Coach
from game.sessions.practice.closing import EACH, Closing
from game.sessions.practice.round import PracticeRound
from shared.levels import find_level, ladder_names

NOW = 1_700_000_000.0


@pytest.mark.parametrize("name", ladder_names())
def test_every_figure_is_asked_twice(name: str) -> None:
    """Whatever its ways of playing, a level's closing round asks each of its figures at least twice."""
    level = find_level(name)
    asked = Counter(figure for question in Closing(Coach(level), 5, NOW).paper for figure in question.asked_figures)
    assert set(asked) == set(level.figures)
    assert min(asked.values()) >= EACH


def played(wrong: int) -> PracticeRound:
    """A closing round of the first level in which so many beats are answered wrongly."""
    level = find_level("stage-1")
    asker = Closing(Coach(level), 1, NOW)
    done = PracticeRound(asker, lambda *_: None, NOW, len(asker.paper), closing=True)
    left = wrong
    while not done.complete:
        for place, figure in zip(done.question.asked, done.question.asked_figures, strict=True):
            slip = left > 0
            left -= slip
            done.sheet.go_to(place)
            done.sheet.pick(next(other for other in level.figures if (other != figure) == slip))
        done.answer(NOW + 10)
        done.go_on()
    return done


def test_all_right_is_passed_and_much_wrong_is_not() -> None:
    """A round without a fault closes the level; one with more than a tenth of its beats wrong does not."""
    assert played(wrong=0).passed
    assert not played(wrong=4).passed


def test_no_second_try() -> None:
    """A wrong beat is not opened again, whatever the settings say: the round is to show what is known."""
    level = find_level("stage-4")
    asker = Closing(Coach(level), 1, NOW)
    done = PracticeRound(asker, lambda *_: None, NOW, len(asker.paper), second_tries=True, closing=True)
    done.answer(NOW + 5)
    assert len(done.results) == 1
