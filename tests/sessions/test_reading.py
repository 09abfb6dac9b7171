"""Reading the other way."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.sessions import SessionError
from game.sessions.reading.reading import ReadingRound, Task, reading_questions
from shared.bars import Bar
from shared.levels import Level, shipped_levels
from tests.sessions.lessons import NOW, STAGE_3, figure

LEVELS = shipped_levels()


def differing(first: Bar, second: Bar) -> list[int]:
    """The places at which two bars differ."""
    return [k for k, (a, b) in enumerate(zip(first.figures, second.figures, strict=True)) if a != b]


@given(st.sampled_from(LEVELS), st.integers(0, 2**31))
def test_one_bar_is_the_one_written(level: Level, seed: int) -> None:
    """Three or four different bars, one of them as written, the others off by one beat."""
    for question in reading_questions(level, Task.WHICH_BAR, seed):
        assert 3 <= len(question.heard) <= 4
        assert question.heard[question.answer] == question.shown
        others = [bar for bar in question.heard if bar != question.shown]
        assert len(set(others)) == len(question.heard) - 1
        assert all(len(differing(question.shown, bar)) == 1 for bar in others)


@given(st.sampled_from(LEVELS), st.integers(0, 2**31))
def test_one_beat_is_changed(level: Level, seed: int) -> None:
    """What is heard differs from what is written on the answer's beat and on no other."""
    for question in reading_questions(level, Task.WHICH_BEAT, seed):
        assert differing(question.shown, question.heard[0]) == [question.answer]
        assert question.options == level.meter.beats


def test_no_answer_is_favoured() -> None:
    """Over 100 rounds each beat is the changed one equally often, and each bar the right one about so."""
    beats = Counter(q.answer for seed in range(100) for q in reading_questions(STAGE_3, Task.WHICH_BEAT, seed))
    assert max(beats.values()) - min(beats.values()) < 80
    bars = Counter(
        q.answer for seed in range(100) for q in reading_questions(STAGE_3, Task.WHICH_BAR, seed) if q.options == 4
    )
    shares = np.array(list(bars.values())) / bars.total()
    assert np.abs(shares - 0.25).max() < 4 * (0.25 * 0.75 / bars.total()) ** 0.5


def test_wrong_bars_hold_what_is_mixed_up() -> None:
    """A player who takes 1 & a for 1 e & meets 1 & a where 1 e & is written."""
    confusion = np.eye(6)
    confusion[5] = [0, 0, 0, 0, 1, 0]
    found = Counter[str]()
    for seed in range(20):
        for question in reading_questions(STAGE_3, Task.WHICH_BEAT, seed, confusion):
            if question.shown.figures[question.answer] == figure("1 e &"):
                found[question.heard[0].figures[question.answer].count] += 1
    assert set(found) == {"1 & a"}


def test_a_round_from_start_to_end() -> None:
    """Ten questions, each heard whole and picked right: ten right, and the round is over."""
    game = ReadingRound(STAGE_3, Task.WHICH_BAR, seed=4)
    for number in range(1, 11):
        assert game.number == number
        for option in range(game.question.options):
            game.hear(option, NOW)
        assert game.pick(game.question.answer).right
        assert not game.finished
        game.go_on()
    assert game.finished
    assert game.right == 10
    assert game.missed == ()


@pytest.mark.parametrize("task", Task)
def test_what_was_not_told_apart(task: Task) -> None:
    """Each wrong pick tells the figure that was written and the one that was heard in its place, and no right one."""
    game = ReadingRound(STAGE_3, task, seed=4)
    pairs = []
    for number in range(10):
        question = game.question
        for option in range(len(question.heard)):
            game.hear(option, NOW)
        wrong = (question.answer + 1) % question.options
        game.pick(wrong if number < 3 else question.answer)
        if number < 3:
            other = question.heard[wrong if task is Task.WHICH_BAR else 0]
            (place,) = (k for k, figure in enumerate(other.figures) if figure != question.shown.figures[k])
            pairs.append((question.shown.figures[place], other.figures[place]))
        game.go_on()
    assert set(game.missed) == set(pairs)


def test_every_bar_is_heard_before_one_is_picked() -> None:
    """A pick before the last bar was heard is refused."""
    game = ReadingRound(STAGE_3, Task.WHICH_BAR, seed=4)
    for option in range(game.question.options - 1):
        game.hear(option, NOW)
    assert not game.may_pick
    with pytest.raises(SessionError, match="hear every bar"):
        game.pick(0)


def test_a_wrong_pick_is_kept_as_such() -> None:
    """The result tells what was picked, what was right and how many hearings it took."""
    game = ReadingRound(STAGE_3, Task.WHICH_BEAT, seed=1)
    game.hear(0, NOW)
    game.hear(0, NOW)
    result = game.pick((game.question.answer + 1) % 4)
    assert (result.right, result.hearings, game.right) == (False, 2, 0)


def test_hearings_after_the_answer_are_free() -> None:
    """Listening again to a revealed question changes nothing."""
    game = ReadingRound(STAGE_3, Task.WHICH_BEAT, seed=1)
    game.hear(0, NOW)
    game.pick(0)
    game.hear(0, NOW)
    assert game.sheet.hearings == 1


@pytest.mark.parametrize("option", [-1, 1, 9])
def test_bars_that_are_not_there(option: int) -> None:
    """Hearing a bar that is not on offer is refused."""
    with pytest.raises(SessionError, match="choose from 1 to 1"):
        ReadingRound(STAGE_3, Task.WHICH_BEAT, seed=1).hear(option, NOW)


@pytest.mark.parametrize("option", [-1, 4])
def test_answers_that_are_not_there(option: int) -> None:
    """Of a bar's four beats there is no fifth to pick, and the question stays open."""
    game = ReadingRound(STAGE_3, Task.WHICH_BEAT, seed=1)
    game.hear(0, NOW)
    with pytest.raises(SessionError, match=f"answer {option + 1}: choose from 1 to 4"):
        game.pick(option)
    assert game.may_pick


def test_no_question_is_passed_over() -> None:
    """The next question comes after an answer to this one."""
    game = ReadingRound(STAGE_3, Task.WHICH_BEAT, seed=1)
    with pytest.raises(SessionError, match="answer this one first"):
        game.go_on()
    assert game.number == 1
