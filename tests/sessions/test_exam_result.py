"""Exam arithmetic, worked by hand."""

from typing import Any

import pytest

from game.sessions import SessionError
from game.sessions.exam.exam import ExamSession
from game.sessions.exam.result import BELOW, ExamResult, needed, result_of
from tests.sessions.lessons import NOW, STAGE_3, figure

RULES = {
    "questions": 10, "hearings": 2, "pass_mark": 0.7, "merit_mark": 0.8, "distinction_mark": 0.9,
    "title": "By hand", "compound": False,
}  # fmt: skip


def kept(right: int, beats: int, wrong: str | None = "1 & a") -> list[dict[str, Any]]:
    """Bars of one beat each, of which the first ``right`` are right."""
    row = {"bar": "1", "asked": [0], "hearings": 1, "orchestration": "snare", "tempo": 80.0, "heard": ["1 e &"]}
    return [{**row, "said": ["1 e &" if k < right else wrong]} for k in range(beats)]


@pytest.mark.parametrize(
    ("right", "beats", "band", "short_of"),
    [
        (40, 40, "distinction", None),
        (36, 40, "distinction", None),  # 36 / 40 = 0.9
        (35, 40, "merit", ("distinction", 1)),  # 0.875
        (32, 40, "merit", ("distinction", 4)),  # 0.8
        (31, 40, "pass", ("merit", 1)),  # 0.775
        (28, 40, "pass", ("merit", 4)),  # 0.7, although 0.7 x 40 is 28.000000000000004 with floats
        (27, 40, BELOW, ("pass", 1)),  # 0.675
        (0, 40, BELOW, ("pass", 28)),
        (25, 35, "pass", ("merit", 3)),  # 24.5 and 28 are needed: 25 and 28
        (24, 35, BELOW, ("pass", 1)),
    ],
)
def test_bands(right: int, beats: int, band: str, short_of: tuple[str, int] | None) -> None:
    """Marks at 70, 80 and 90 %, by the count of beats."""
    result = result_of(RULES, kept(right, beats))
    assert (result.right, result.mark, result.band) == (right, right / beats, band)
    assert result.short_of == short_of


def test_rounding_never_costs_a_grade() -> None:
    """Every mark that is reached exactly is reached: for all marks in whole per cent and up to 100 beats."""
    for per_cent in range(101):
        for beats in range(1, 101):
            assert needed(per_cent / 100, beats) == -(-per_cent * beats // 100)


def test_mix_ups_and_gaps_are_told_apart() -> None:
    """Three wrong and two left open of ten."""
    result = result_of(RULES, kept(5, 8) + kept(0, 2, wrong=None))
    assert [(row.heard, row.said, row.times) for row in result.mix_ups] == [(figure("1 e &"), figure("1 & a"), 3)]
    assert sum(beat.said is None for beat in result.beats) == 2


def test_an_exam_without_beats_has_no_grade() -> None:
    """An exam broken off before its first bar has a mark of 0 and no band."""
    result = result_of(RULES, [])
    assert (result.mark, result.band) == (0.0, BELOW)


def _sat(right_bars: int) -> ExamResult:
    exam = ExamSession(STAGE_3, 3)
    for number in range(10):
        exam.play()
        for place, asked in enumerate(exam.question.asked_figures):
            if number < right_bars:
                exam.pick(place, asked)
        exam.hand_in(NOW)
    return result_of(exam.rules, exam.detail)


def test_a_session_leads_to_its_result() -> None:
    """Seven of ten bars of four beats, all right: 28 of 40, a pass; the beats are in their order."""
    result = _sat(7)
    assert (result.right, len(result.beats), result.band) == (28, 40, "pass")
    assert sum(beat.said is None for beat in result.beats) == 12
    assert [(beat.question, beat.beat) for beat in result.beats[:5]] == [(1, 1), (1, 2), (1, 3), (1, 4), (2, 1)]
    assert result.title == "Two short, one long"


ROW = {"asked": [0], "hearings": 1, "heard": ["1 e &"], "said": ["1"]}


@pytest.mark.parametrize(
    ("rules", "detail"),
    [
        ({}, []), (RULES, None), (RULES, {"a": 1}), (RULES, [[]]), (RULES, [{}]), ({**RULES, "pass_mark": "x"}, [ROW]),
        ({**RULES, "pass_mark": 1e308}, [ROW] * 10), (RULES, [{**ROW, "heard": ["zz"]}]),
        (RULES, [{**ROW, "heard": [1]}]), (RULES, [{**ROW, "asked": ["a"]}]), (RULES, [{**ROW, "said": []}]),
        (RULES, [{**ROW, "playing": "at sight", "spread": "x"}]),
    ],
)  # fmt: skip
def test_rows_of_another_shape_are_no_result(rules: dict[str, Any], detail: Any) -> None:
    """A history of another machine may hold anything: what is no exam is refused in a sentence, at once."""
    assert result_of(RULES, [ROW, {**ROW, "playing": "at sight", "spread": None}]).mark == 0
    with pytest.raises(SessionError, match="can't be read here"):
        result_of(rules, detail)
