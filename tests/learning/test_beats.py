"""The log's rows in the level's own terms."""

from dataclasses import replace

import pytest

from game.learning.beats import ELSEWHERE, SKIPPED, AnswerReader, Beat
from game.learning.evidence import Answer
from game.learning.recent import REMEMBERED, MixUps, RecentAnswers
from shared.counting import parse_figure
from shared.levels import find_level

LEVEL = replace(find_level("stage-3"), figures=tuple(map(parse_figure, ("1", "1 &", "1 e a"))), new=())
AS_PLAYED = {"hearings": 1, "tempo": 80.0, "quick": 1 / 18}
"""How the rows were heard: once, two of the level's thirty-six beats a minute above its middle, in its first way."""

ROW = Answer(10.0, "stage-3", "4/4", "1 & 2 3 4", 0, "1 &", "1 e a", 2.0, "snare", 80.0)


@pytest.fixture
def reader():
    return AnswerReader(LEVEL)


def test_rows_become_beats(reader):
    """Places in the level stand for figures; what was skipped or lies outside the level is told apart."""
    rows = [
        ROW,
        replace(ROW, beat=1, heard="1", said=None, kind="exam"),
        replace(ROW, beat=3, heard="1", said="1 trip let"),
    ]
    (bar,) = reader.bars(rows)
    assert bar == (
        [
            Beat(10.0, 1, ((2, 1.0),), 2.0, **AS_PLAYED),
            Beat(10.0, 0, ((SKIPPED, 1.0),), 2.0, exam=True, **AS_PLAYED),
            Beat(10.0, 0, ((ELSEWHERE, 1.0),), 2.0, **AS_PLAYED),
        ],
        [0, 1, 3],
    )
    assert SKIPPED != ELSEWHERE


def test_hands_on_one_beat_are_one_beat(reader):
    """The rows of a class that share a beat make one beat with shares."""
    (bar,) = reader.bars([replace(ROW, share=0.25), replace(ROW, said="1 &", share=0.75)])
    assert bar == ([Beat(10.0, 1, ((2, 0.25), (1, 0.75)), 2.0, **AS_PLAYED)], [0])
    assert bar[0][0].right == 0.75


def test_a_bar_ends_where_the_next_begins(reader):
    """Another time, or another bar at the same time, is another bar."""
    rows = [ROW, replace(ROW, at=11.0), replace(ROW, at=11.0, bar="1 & 2 & 3 4")]
    assert [places for _, places in reader.bars(rows)] == [[0], [0], [0]]


STRANGERS = [replace(ROW, heard="1 trip let"), replace(ROW, meter="6/8")]


def test_bars_of_strangers_are_left_out(reader):
    """A row of which the figure is not the level's, or is in the other kind of beat, is not read."""
    assert [reader.reads(row) for row in (*STRANGERS, ROW)] == [False, False, True]


def test_old_rows_are_read_by_what_most_said(reader):
    """A class named what more than half the hands said; half is not most.  A second try is passed over."""
    most = [replace(ROW, share=0.3), replace(ROW, said="1 &", share=0.7)]
    tie = [replace(ROW, at=20.0, share=0.5), replace(ROW, at=20.0, said="1 &", share=0.5)]
    rows = [*most, *tie, replace(ROW, at=30.0), replace(ROW, at=31.0, attempt=2)]
    assert list(reader.glance(rows)) == [[(1, True, 10.0)], [(1, False, 20.0)], [(1, False, 30.0)]]


def test_recent_counts_the_last_ten_answers():
    """Only the last ten answers to either figure are counted, the latest of both together; a class by its shares."""
    recent = RecentAnswers(figures=3, beats=4)
    for number in range(8):
        recent.note([Beat(number, 0, ((1, 1.0),), None), Beat(number, 1, ((2, 0.4), (1, 0.6)), None)], [0, 1])
    assert recent.right(0) == (0, 8)
    assert recent.right(1) == (pytest.approx(0.6 * 8), 8)
    assert recent.mix_ups(0, 1) == MixUps(mixed=5, answers=REMEMBERED, since=1)
    assert recent.mix_ups(1, 2) == MixUps(mixed=pytest.approx(0.4 * 8), answers=8)
    for number in range(REMEMBERED):
        recent.note([Beat(number, 0, ((0, 1.0),), None)], [3])
    assert recent.right(0) == (REMEMBERED, REMEMBERED)
    assert recent.places.tolist() == [[8, 0, 0, 10], [0, 8, 0, 0], [0, 0, 0, 0]]


def test_beats_beyond_the_meter_have_no_place():
    """A log may hold longer bars than the level's: their last beats count as answers, but not as places."""
    recent = RecentAnswers(figures=2, beats=2)
    recent.note([Beat(0.0, 0, ((0, 1.0),), None), Beat(0.0, 1, ((0, 1.0),), None)], [1, 2])
    assert recent.places.tolist() == [[0, 1], [0, 0]]
    assert recent.right(1) == (0, 1)
