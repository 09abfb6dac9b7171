"""Forecasts in plain words."""

from dataclasses import replace

import pytest

from game.learning.coach import Coach
from game.learning.forecast import Forecast
from game.learning.marking import marked
from game.sessions.exam.outlook import answers_to, exam_beats, forecast_of, forecast_words, surprise, tries, verdict
from game.sessions.exam.paper import draw_paper
from game.sessions.progress.standing import heard_times
from shared.levels import find_level
from tests.sessions.lessons import NOW, STAGE_3, answer


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (1.0, "in more than 99 tries of 100"),
        (0.97, "in about 97 tries of 100"),
        (0.949, "in about 19 tries of 20"),
        (0.76, "in about 15 tries of 20"),
        (0.72, "in about 7 tries of 10"),
        (0.06, "in about 1 try of 20"),
        (0.05, "in about 1 try of 20"),
        (0.1, "in about 1 try of 10"),
        (0.012, "in about 1 try of 100"),
        (0.004, "in fewer than 1 try of 100"),
        (0.0, "in fewer than 1 try of 1000"),
    ],
)
def test_probabilities_in_tries(probability: float, words: str) -> None:
    """Neither certain success nor certain failure is ever promised."""
    assert tries(probability) == words


def test_words_carry_the_uncertainty() -> None:
    """The interval, the pass mark, chance, how much it rests on, and whose word it is not."""
    words = " ".join(forecast_words(Forecast(0.72, 0.625, 0.88, 0.75, 0.0001), 0.7, 40))
    for part in ("7 tries of 10", "62%", "88%", "pass mark is 70%", "only guesses", "40 answers, which is few"):
        assert part in words
    assert "not the exam board's word" in words


CLEAR = Forecast(0.7, 0.6, 0.9, 0.75, 0.01)


def test_many_answers_need_no_warning() -> None:
    """With enough answers the hint to practise some more goes."""
    assert not any("few:" in line or "is few" in line for line in forecast_words(CLEAR, 0.7, 60))
    assert any("is few" in line for line in forecast_words(CLEAR, 0.7, 59))


def test_an_exam_asks_so_many_beats() -> None:
    """Stage 3 asks all four beats of ten bars; stage 4 asks two in a quarter of them: 10 x 3.5."""
    assert exam_beats(STAGE_3) == 40
    assert exam_beats(find_level("stage-4")) == 35


def test_the_forecast_is_for_the_levels_rules() -> None:
    """It is what the coach says of forty beats and a pass mark of 70 %."""
    coach = Coach(STAGE_3)
    assert forecast_of(coach, NOW) == coach.forecast(40, 0.7, NOW)


def test_only_answers_to_the_level_count() -> None:
    """An answer to a figure that the level lacks supports no forecast."""
    assert answers_to(STAGE_3, [answer("1", "1"), answer("1 e a", "1")]) == 1


def test_a_beat_of_another_kind_does_not_count() -> None:
    """The "1" of 4/4 is a crotchet, that of 12/8 a dotted one: to have heard one says nothing of the other."""
    compound = find_level("stage-7")
    assert "1" in [figure.count for figure in compound.figures]
    rows = [answer("1", "1"), replace(answer("1", "1"), meter="12/8", at=NOW + 10)]
    assert answers_to(compound, rows) == 1
    assert sum(heard_times(compound, rows)) == 1


@pytest.mark.parametrize(("mark", "words"), [(0.5, "below what"), (0.625, ""), (0.88, ""), (0.95, "above what")])
def test_marks_out_of_the_interval_are_named(mark: float, words: str) -> None:
    """A mark outside 62.5 to 88 % is told to be unlikely; one on the border is not."""
    told = " ".join(surprise(Forecast(0.74, 0.625, 0.88, 0.75, 0.0001), mark, 200))
    assert words in told
    assert bool(told) == bool(words)


def test_few_answers_make_no_mark_unlikely() -> None:
    """Somebody who has hardly practised is not told what that practice makes likely."""
    assert not surprise(Forecast(0.74, 0.625, 0.88, 0.75, 0.0001), 0.5, 40)


@pytest.mark.parametrize(
    ("probability", "answers", "passed", "words"),
    [
        (0.97, 200, True, "Ready, as far"),
        (0.97, 200, None, "Ready, as far"),
        (0.97, 200, False, "this exam says not"),
        (0.8, 200, True, "Nearly ready"),
        (0.5, 200, False, "could go either way"),
        (0.21, 200, True, "could go either way"),
        (0.19, 200, True, "Not ready yet."),
        (0.97, 59, True, "Too early"),
        (0.97, 59, False, "Too early"),
    ],
)
def test_the_answer_is_straight(probability: float, answers: int, passed: bool | None, words: str) -> None:
    """Yes, nearly, either way, no; never yes after a failed exam or on a few answers."""
    assert words in verdict(Forecast(probability, 0.5, 0.9, 0.7, 0.0), answers, passed)


def test_a_failed_exam_on_little_practice_is_not_told_that_practice_says_ready() -> None:
    """Where most answers are the exam's own, it is not practice that speaks."""
    told = verdict(Forecast(0.97, 0.5, 0.9, 0.7, 0.0), 61, passed=False, practised=21)
    assert told == "Not shown yet: this exam says not. Sit another before the day."


def test_a_failed_exam_outweighs_a_strong_record() -> None:
    """Four hundred right answers promise a pass; an exam answered by one figure throughout takes that back."""
    practice = [
        row
        for number, question in enumerate(draw_paper(STAGE_3, 1, 100))
        for row in marked(question, question.asked_figures, NOW + 60 * number, STAGE_3.name).answers
    ]
    sat = [
        row
        for number, question in enumerate(draw_paper(STAGE_3, 2, 10), 200)
        for row in marked(question, STAGE_3.figures[:1] * 4, NOW + 60 * number, STAGE_3.name, kind="exam").answers
    ]
    later = NOW + 60 * 300
    assert forecast_of(Coach.replay(STAGE_3, practice), later).probability > 0.95
    assert forecast_of(Coach.replay(STAGE_3, practice + sat), later).probability < 0.5
