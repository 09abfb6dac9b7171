"""The coach's contract: what it asks, how it marks, and what it refuses."""

import math
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from game.learning import CoachError
from game.learning.coach import Coach
from shared.figures import Figure
from shared.levels import Level, find_level

NOW = 1_700_000_000.0


@pytest.fixture
def level() -> Level:
    return find_level("stage-3")


@pytest.fixture
def coach(level):
    return Coach(level, seed=7)


def answer_all_right(coach, bars, now=NOW, gap=10.0, each=1):
    """Play some bars, each so often, without a mistake; return the log's rows."""
    rows = []
    for bar in range(bars):
        if bar % each == 0:
            question = coach.ask(now + bar * gap)
        rows += coach.mark(question, question.asked_figures, now + bar * gap + 5, seconds=4.0).answers
    return rows


def test_question_fits_level(coach, level):
    """A question holds the level's figures on its asked beats, played as the level allows."""
    question = coach.ask(NOW)
    assert question.choices == level.figures
    assert question.bar.meter == level.meter
    assert set(question.asked_figures) <= set(level.figures)
    assert question.setting.orchestration in level.orchestrations
    assert question.setting.groove_bars in level.groove_bars
    assert level.tempo.low <= question.setting.tempo <= level.tempo.high
    assert question.reason.words.endswith(".")
    assert set(question.reason.figures) <= set(level.figures)


def test_mark_tells_right_from_wrong(coach, level):
    """Each asked beat is marked, and each gives a row for the log."""
    question = coach.ask(NOW)
    wrong = next(figure for figure in level.figures if figure != question.asked_figures[0])
    mark = coach.mark(question, [wrong, None, *question.asked_figures[2:]], NOW + 5, seconds=[1.0, None, 2.0, 3.0])
    assert mark.right == (False, False, True, True)
    assert [row.said for row in mark.answers][:2] == [wrong.count, None]
    assert [row.seconds for row in mark.answers] == [1.0, None, 2.0, 3.0]
    assert [row.beat for row in mark.answers] == list(question.asked)


def test_bar_time_shared_out(coach):
    """One time for the whole bar is shared out among its beats."""
    question = coach.ask(NOW)
    mark = coach.mark(question, question.asked_figures, NOW, seconds=2.4)
    assert [row.seconds for row in mark.answers] == pytest.approx([0.6] * 4)


def test_confusion_rows_sum_to_one(coach):
    """Every row of the confusion table is a distribution, before and after answers."""
    for bars in (0, 15):
        answer_all_right(coach, bars)
        table = coach.confusion()
        assert np.all(table >= 0)
        assert table.sum(axis=1) == pytest.approx(np.ones(len(table)))


def test_right_answers_raise_recall(coach):
    """Answering right raises recall, and days away lower it again."""
    before = coach.recall(NOW)
    answer_all_right(coach, 20)
    after = coach.recall(NOW + 400)
    assert np.all(after > before)
    assert np.all(coach.recall(NOW + 30 * 86400) < after)


def test_a_level_holds_once_every_figure_is_known(coach, level):
    """Not before anything was answered, not while one figure is always wrong, but after sixty bars all right."""
    assert not coach.holds(NOW)
    rows = answer_all_right(coach, 60)
    assert coach.holds(rows[-1].at)
    never = Coach(level, seed=7)
    for bar in range(60):
        question = never.ask(NOW + 10 * bar)
        picks = [None if figure == level.figures[2] else figure for figure in question.asked_figures]
        never.mark(question, picks, NOW + 10 * bar + 5)
    assert not never.holds(NOW + 600)


def test_same_bar_never_twice(coach):
    """No bar follows itself, whether the last one was answered or not."""
    last = None
    for turn in range(60):
        question = coach.ask(NOW + turn)
        assert question.bar != last
        last = question.bar
        if turn % 3:
            coach.mark(question, question.asked_figures, NOW + turn)


def test_replay_gives_same_coach(coach, level):
    """A coach replayed from the log believes, forecasts and asks the same, to the bit."""
    rows = answer_all_right(coach, 25)
    again = Coach.replay(level, rows, seed=7)
    assert np.array_equal(again.confusion(), coach.confusion())
    assert again.forecast(20, 0.7, NOW + 1000) == coach.forecast(20, 0.7, NOW + 1000)
    assert again.ask(NOW + 1000) == coach.ask(NOW + 1000)


def test_replay_leaves_out_foreign_rows(coach, level):
    """Rows of figures that the level no longer holds are left out, the others are kept."""
    rows = answer_all_right(coach, 10)
    smaller = replace(level, figures=level.figures[:4], new=())
    again = Coach.replay(smaller, rows)
    assert np.all(again.recall(NOW + 1000) > Coach(smaller).recall(NOW))


BAD_MARKS = {
    "too many picks": (lambda q: [*q.asked_figures, q.choices[0]], {}, "picks: found 5; give 4"),
    "picks by place": (lambda q: dict(enumerate(q.asked_figures)), {}, "give a list"),
    "unknown figure": (
        lambda q: [Figure((0,), compound=True), *q.asked_figures[1:]],
        {},
        "beat 1: .* not a figure of this level",
    ),
    "NaN seconds": (lambda q: q.asked_figures, {"seconds": math.nan}, "seconds: found nan"),
    "negative seconds": (lambda q: q.asked_figures, {"seconds": [-1.0, 1, 1, 1]}, "seconds: found -1"),
    "too few seconds": (lambda q: q.asked_figures, {"seconds": [1.0]}, "seconds: found 1"),
    "time backwards": (lambda q: q.asked_figures, {"now": NOW - 50}, "before the last question or answer"),
    "NaN time": (lambda q: q.asked_figures, {"now": math.nan}, "now: found nan"),
    "no hearing": (lambda q: q.asked_figures, {"hearings": 0}, "hearings: found 0"),
    "empty hands": (lambda q: [{q.choices[0]: 0}, *q.asked_figures[1:]], {}, "beat 1: nobody answered"),
    "half a hand": (lambda q: [{q.choices[0]: 0.5}, *q.asked_figures[1:]], {}, "whole number"),
    "less than no hand": (
        lambda q: [{q.choices[0]: 2, q.choices[1]: -1}, *q.asked_figures[1:]],
        {},
        "beat 1 for .*: found -1",
    ),
    "no kind of ours": (lambda q: q.asked_figures, {"kind": "quiz"}, "kind: found 'quiz'; choose from practice, exam"),
}


@pytest.mark.parametrize("case", BAD_MARKS)
def test_bad_answer_refused(coach, case):
    """What cannot be an answer is refused in plain words, and the coach stays as it was."""
    answer_all_right(coach, 3)
    question = coach.ask(NOW + 100)
    before = coach.confusion()
    picks, options, words = BAD_MARKS[case]
    arguments = {"now": NOW + 105, **options}
    with pytest.raises(CoachError, match=words):
        coach.mark(question, picks(question), **arguments)
    assert np.array_equal(coach.confusion(), before)
    coach.mark(question, question.asked_figures, NOW + 105)


def test_time_backwards_refused_by_ask(coach):
    """No question is asked before the last answer."""
    answer_all_right(coach, 3)
    with pytest.raises(CoachError, match="before the last question or answer"):
        coach.ask(NOW)


def test_answer_before_question_refused(coach):
    """No answer is older than its question."""
    question = coach.ask(NOW)
    with pytest.raises(CoachError, match="before the last question"):
        coach.mark(question, question.asked_figures, NOW - 1)


def test_years_of_the_same_answers(level):
    """Thousands of answers all alike leave the coach's beliefs finite, without a warning."""
    coach = Coach(level, seed=1)
    question = coach.ask(NOW)
    for turn in range(400):
        coach.mark(question, [level.figures[turn % 2]] * 4, NOW + turn, seconds=1e-9 if turn % 3 else 1e9)
    assert np.all(np.isfinite(coach.confusion()))
    assert 0 <= coach.forecast(20, 0.75, NOW + 1e9).probability <= 1


def test_two_figures_one_asked_beat(level):
    """A level of two figures in fills of one beat still never repeats a bar."""
    coach = Coach(replace(level, figures=level.figures[:2], new=(), orchestrations=("fill-1",)), seed=1)
    bars = [coach.ask(NOW + turn).bar for turn in range(50)]
    assert all(first != second for first, second in pairwise(bars))


def test_empty_level_refused(level):
    """A level without figures cannot be coached."""
    with pytest.raises(CoachError, match="no figures"):
        Coach(replace(level, figures=(), new=()))


def test_question_of_other_level_refused(coach):
    """A question of another level is not marked."""
    other = Coach(find_level("stage-4")).ask(NOW)
    with pytest.raises(CoachError, match="another level"):
        coach.mark(other, other.asked_figures, NOW)


def test_class_answers_by_shares(coach, level):
    """A show of hands becomes shares, and the class is right where more than half is."""
    question = coach.ask(NOW)
    first = question.asked_figures[0]
    other = next(figure for figure in level.figures if figure != first)
    mark = coach.mark(question, [{first: 6, other: 14}, *question.asked_figures[1:]], NOW + 5, kind="class")
    assert mark.right == (False, True, True, True)
    assert [(row.said, row.share) for row in mark.answers[:2]] == [(first.count, 0.3), (other.count, 0.7)]
    assert mark.score == pytest.approx((0.3 + 3) / 4)
    mistakes = coach.confusion()[level.figures.index(first)]
    mistakes[level.figures.index(first)] = 0
    assert mistakes.argmax() == level.figures.index(other)


def test_forecast_within_bounds(coach):
    """A forecast is a probability and an interval of marks, better for a lower pass mark."""
    answer_all_right(coach, 5)
    easy, hard = (coach.forecast(questions=20, pass_mark=mark, now=NOW + 500) for mark in (0.5, 0.95))
    assert 0 <= hard.probability < easy.probability <= 1
    assert 0 <= easy.low <= easy.expected <= easy.high <= 1
    assert easy.by_chance < 0.01


@pytest.mark.parametrize(("questions", "pass_mark"), [(0, 0.7), (1001, 0.7), (2.5, 0.7), (20, math.nan), (20, 1.5)])
def test_impossible_exam_refused(coach, questions, pass_mark):
    """An exam without questions, or with a mark that cannot be, is refused."""
    with pytest.raises(CoachError, match="found"):
        coach.forecast(questions, pass_mark, NOW)


@pytest.mark.parametrize("questions", [200, pytest.param(1000, marks=pytest.mark.long)])
def test_long_exams_are_forecast(coach, questions):
    """More questions than anybody asks, up to the thousand that are allowed, can still be forecast."""
    assert 0 <= coach.forecast(questions, 0.7, NOW).probability <= 1


def test_fill_asks_last_beats_only(level):
    """In a fill only the last beats are asked; the groove's own figure fills the others."""
    coach = Coach(replace(level, orchestrations=("fill-2",), new=()), seed=1)
    question = coach.ask(NOW)
    assert question.asked == (2, 3)
    assert [figure.count for figure in question.bar.figures[:2]] == ["1 &", "1 &"]
    with pytest.raises(CoachError, match=r"found 1; give 2, one for each asked beat \(3, 4\)"):
        coach.mark(question, question.asked_figures[:1], NOW + 5)
    assert len(coach.mark(question, question.asked_figures, NOW + 5).right) == 2


def test_long_log_keeps_what_matters(coach, level):
    """Of a log too long to be lived through, the memory over days keeps what came before."""
    rows = answer_all_right(coach, 400, gap=86400.0, each=4)
    now = rows[-1].at + 60 * 86400
    again, short = Coach.replay(level, rows), Coach.replay(level, rows[-40:])
    assert again.recall(now) == pytest.approx(coach.recall(now), abs=0.05)
    assert again.due_at() == coach.due_at()
    assert sum(at <= now for at in short.due_at()) > sum(at <= now for at in again.due_at())


def test_what_is_right_in_the_table_is_recall(coach):
    """The diagonal of the confusion table is what is recalled at the last answer, the rest the mistakes."""
    rows = answer_all_right(coach, 12)
    assert np.diagonal(coach.confusion()) == pytest.approx(coach.recall(rows[-1].at))


def test_replay_keeps_the_clock(level):
    """After a replay no question is asked before the log's last row."""
    row = answer_all_right(Coach(level), 1)[0]
    coach = Coach.replay(level, [row, replace(row, at=row.at + 100, bar="1 2 3 4")])
    with pytest.raises(CoachError, match="before the last question or answer"):
        coach.ask(row.at + 99)
    assert coach.ask(row.at + 100).bar.count != "1 2 3 4"


def test_short_exams_ask_any_figure(level):
    """One question asks any figure as likely; as many as there are figures ask each, the two always mistaken too."""
    coach = Coach(replace(level, new=()), seed=1)
    question = coach.ask(NOW)
    for turn in range(40):
        asked = question.asked_figures
        wrong = {level.figures[0]: level.figures[1], level.figures[1]: level.figures[0]}
        coach.mark(question, [wrong.get(figure, figure) for figure in asked], NOW + 10 * turn)
        question = coach.ask(NOW + 10 * turn)
    recall = coach.recall(NOW + 400)
    assert recall[:2].max() < recall[2:].min() - 0.3
    assert coach.forecast(1, 0.5, NOW + 400).expected == pytest.approx(recall.mean(), abs=0.05)
    once_each = coach.forecast(len(recall), 1.0, NOW + 400)
    assert once_each.expected == pytest.approx(recall.mean(), abs=0.03)
    assert once_each.probability < 0.05


def test_new_figures_are_heard_the_easy_way_three_times(level):
    """A new figure comes the level's easiest way until it was heard three times, and later in other ways too."""
    coach, heard, later = Coach(level, seed=2), dict.fromkeys(level.new, 0), []
    for turn in range(40):
        question = coach.ask(NOW + 10 * turn)
        new = set(level.new) & set(question.asked_figures)
        if any(heard[figure] < 3 for figure in new):
            assert question.setting.tempo == level.tempo.low
        elif new:
            later.append(question.setting.tempo)
        coach.mark(question, question.asked_figures, NOW + 10 * turn + 5)
        for figure in question.asked_figures:
            if figure in heard:
                heard[figure] += 1
    assert max(later) > level.tempo.low


def test_half_a_class_is_not_most(coach):
    """Where half of the hands are right and half are not, the class is not."""
    question = coach.ask(NOW)
    first = question.asked_figures[0]
    other = next(figure for figure in question.choices if figure != first)
    mark = coach.mark(question, [{first: 5, other: 5}, *question.asked_figures[1:]], NOW + 5, kind="class")
    assert mark.right == (False, True, True, True)


def test_the_package_opens_without_numpy():
    """What the records need of the coach's package comes without the coach, which is slow to load when asked for."""
    says = (
        "import sys, game.learning; from game.learning import Answer, CoachError, Mark, Question; "
        "print('numpy' in sys.modules); game.learning.Coach, game.learning.Forecast; print('numpy' in sys.modules)"
    )
    ended = subprocess.run(
        [sys.executable, "-c", says], cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True
    )
    assert ended.stdout.split() == ["False", "True"]
