"""The rules of a mock exam, and its papers."""

import json
from collections import Counter
from itertools import chain

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.sessions import SessionError
from game.sessions.exam.exam import ExamSession, ExamStage
from game.sessions.exam.paper import draw_paper
from shared.levels import Level, shipped_levels
from tests.sessions.lessons import NOW, STAGE_3, figure

LEVELS = shipped_levels()


@given(st.sampled_from(LEVELS), st.integers(0, 2**31))
def test_papers_are_fair(level: Level, seed: int) -> None:
    """No figure, orchestration or number of groove bars comes more than once more often than another."""
    paper = draw_paper(level, seed)
    counts = [
        [Counter(chain.from_iterable(question.asked_figures for question in paper))[f] for f in level.figures],
        [Counter(question.setting.orchestration for question in paper)[name] for name in level.orchestrations],
        [Counter(question.setting.groove_bars for question in paper)[bars] for bars in level.groove_bars],
    ]
    assert len(paper) == level.exam.questions
    assert all(max(kinds) - min(kinds) <= 1 for kinds in counts)
    assert all(level.tempo.low <= question.setting.tempo <= level.tempo.high for question in paper)


def test_papers_follow_their_seed() -> None:
    """The same seed draws the same paper, another seed another."""
    assert draw_paper(STAGE_3, 1) == draw_paper(STAGE_3, 1)
    assert draw_paper(STAGE_3, 1) != draw_paper(STAGE_3, 2)


def test_every_place_sees_every_figure() -> None:
    """Over 300 papers each figure falls on beat 1 a sixth of the time: within four standard errors."""
    firsts = Counter(q.bar.figures[0] for seed in range(300) for q in draw_paper(STAGE_3, seed))
    shares = [firsts[f] / 3000 for f in STAGE_3.figures]
    assert max(abs(share - 1 / 6) for share in shares) < 4 * (1 / 6 * 5 / 6 / 3000) ** 0.5


def test_hearings_are_counted() -> None:
    """Stage 3 allows two hearings of a bar; a third is refused and counts nothing."""
    exam = ExamSession(STAGE_3, 0)
    exam.play()
    exam.play()
    with pytest.raises(SessionError, match="heard 2 times"):
        exam.play()
    assert (exam.hearings, exam.hearings_left) == (2, 0)


def test_a_bar_is_handed_in_only_once_it_was_heard() -> None:
    """An answer without a hearing is refused."""
    exam = ExamSession(STAGE_3, 0)
    assert not exam.may_hand_in
    with pytest.raises(SessionError, match="not heard yet"):
        exam.hand_in(NOW)


def test_picks_are_changed_until_handed_in() -> None:
    """The last pick for a beat counts, and the next bar begins empty."""
    exam = ExamSession(STAGE_3, 0)
    exam.play()
    exam.pick(0, figure("1"))
    exam.pick(0, figure("1 &"))
    exam.pick(1, figure("1"))
    exam.pick(1, None)
    rows = exam.hand_in(NOW)
    assert [row.said for row in rows] == ["1 &", None, None, None]
    assert {row.kind for row in rows} == {"exam"}
    assert exam.picks == [None] * 4
    assert (exam.number, exam.hearings) == (2, 0)


def test_foreign_figures_are_refused() -> None:
    """A figure that the level lacks is no answer."""
    with pytest.raises(SessionError, match="1 e a is not a figure of this level"):
        ExamSession(STAGE_3, 0).pick(0, figure("1 e a"))


def test_nothing_of_the_mark_shows_before_the_end() -> None:
    """Two exams, one all right and one all wrong, look the same until they are over."""
    good, bad = ExamSession(STAGE_3, 5), ExamSession(STAGE_3, 5)
    for exam, shift in ((good, 0), (bad, 1)):
        for _ in range(5):
            exam.play()
            for place, asked in enumerate(exam.question.asked_figures):
                exam.pick(place, STAGE_3.figures[(STAGE_3.figures.index(asked) + shift) % 6])
            exam.hand_in(NOW)

    def shows(exam: ExamSession) -> object:
        return exam.stage, exam.number, exam.question, exam.hearings, exam.hearings_left, exam.may_hand_in, exam.picks

    assert shows(good) == shows(bad)


def test_an_exam_ends_after_its_last_bar() -> None:
    """After ten bars nothing can be played, picked, handed in or broken off."""
    exam = ExamSession(STAGE_3, 0)
    for _ in range(10):
        exam.play()
        exam.hand_in(NOW)
    assert exam.stage is ExamStage.FINISHED
    for act in (exam.play, exam.interrupt, lambda: exam.hand_in(NOW), lambda: exam.pick(0, None)):
        with pytest.raises(SessionError, match="this exam is finished"):
            act()


def test_a_broken_off_exam_keeps_what_was_handed_in() -> None:
    """An interruption is final, and the bars before it stay."""
    exam = ExamSession(STAGE_3, 0)
    exam.play()
    exam.hand_in(NOW)
    exam.interrupt()
    assert exam.stage is ExamStage.INTERRUPTED
    assert len(exam.detail) == 1
    with pytest.raises(SessionError, match="interrupted"):
        exam.play()


def test_rules_and_detail_are_json() -> None:
    """What is kept of an exam survives JSON unchanged."""
    exam = ExamSession(STAGE_3, 0)
    exam.play()
    exam.hand_in(NOW)
    kept = {"rules": exam.rules, "detail": exam.detail}
    assert json.loads(json.dumps(kept)) == kept
