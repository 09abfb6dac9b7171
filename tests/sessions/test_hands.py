"""What hands can do: abilities by their own evidence, what is played for what, timing with its interval."""

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
from scipy import stats

from game.learning.evidence import Answer
from game.sessions.playing.report import Deviation, timing_of
from game.sessions.progress.hands import ENOUGH, LATEST, abilities, by_week, needs, played_for, weeks_of
from shared.levels import find_level

LEVEL = find_level("stage-4")
MONDAY = 1_750_000_000.0 - 86_400 * 2


def row(ability: str, heard: int, said: int | None, at: float = MONDAY, unsure: bool = False) -> Answer:
    figures = LEVEL.figures
    told = None if said is None else figures[said].count
    return Answer(
        at,
        LEVEL.name,
        "4/4",
        "1 2 3 4",
        0,
        figures[heard].count,
        told,
        None,
        "snare",
        60,
        unsure=unsure,
        ability=ability,
    )


def test_each_ability_has_its_own_evidence() -> None:
    """Right by ear says nothing of the hands; a beat that could not be read says nothing at all."""
    answers = [row("hearing", 0, 0)] * 8 + [row("playing", 0, 1)] * 6 + [row("playing", 0, None, unsure=True)] * 5
    first = abilities(LEVEL.figures, answers)[0]
    assert [(one.name, one.right, one.total) for one in first.abilities] == [
        ("hearing", 8, 8), ("reading", 0, 0), ("playing", 0, 6),
    ]  # fmt: skip
    assert [one.words() for one in first.abilities] == ["8/8 firm", "not tried", "0/6 not yet"]


def test_only_the_latest_answers_tell() -> None:
    """Old mistakes are forgotten, few answers claim nothing."""
    answers = [row("playing", 0, 1)] * 20 + [row("playing", 0, 0)] * LATEST
    assert abilities(LEVEL.figures, answers)[0].of("playing").firm
    few = abilities(LEVEL.figures, [row("playing", 0, 0)] * (ENOUGH - 1))[0].of("playing")
    assert (few.firm, few.words()) == (False, "5/5")


def test_what_is_played_for_what() -> None:
    """The most frequent first; once is chance; and whether the ear has it."""
    answers = [row("hearing", 2, 2)] * 8 + [row("playing", 2, 3)] * 2 + [row("playing", 1, 0)] * 4
    answers += [row("playing", 4, 5), row("hearing", 5, 6), row("hearing", 5, 6)]
    found = played_for(LEVEL, answers)
    assert [(one.figure, one.played, one.times, one.heard) for one in found] == [
        (LEVEL.figures[1], LEVEL.figures[0].count, 4, False), (LEVEL.figures[2], LEVEL.figures[3].count, 2, True),
    ]  # fmt: skip


def test_what_is_played_in_another_kind_of_beat_has_no_place() -> None:
    """A 1 is a figure of twos and of threes: what was played for it in 6/8 is none of a level in 4/4."""
    answers = [replace(row("playing", 1, 0), meter="6/8", said="1 la li")] * 4
    assert played_for(LEVEL, answers) == ()
    assert len(played_for(LEVEL, [row("playing", 1, 0)] * 4)) == 1


def test_what_hands_lack_comes_most_often() -> None:
    """A figure played right is needed least; one of a mix-up needs as much as the other; the ear says nothing."""
    answers = [row("playing", 0, 0)] * LATEST + [row("playing", 1, 2)] * 4 + [row("playing", 2, 2)] * LATEST
    answers += [row("hearing", 3, 4)] * 8
    need = needs(LEVEL.figures, answers)
    assert need[0] < need[3] == need[4] < need[1] == need[2]
    assert 0 < need[0] < 0.25


def test_the_interval_of_a_spread() -> None:
    """Within 3 % of the exact one for normal deviations, from the chi-square distribution (scipy) at 100 strokes."""
    late = np.random.default_rng(2).normal(0.004, 0.02, 100)
    kept = by_week([(MONDAY, timing_of(Deviation(0, "&", float(one), "L") for one in late))])
    (week,) = weeks_of(kept)
    assert week.spread == pytest.approx(late.std(ddof=1))
    exact = [week.spread * sqrt(99 / stats.chi2.ppf(chance, 99)) for chance in (0.975, 0.025)]
    assert [week.low, week.high] == pytest.approx(exact, rel=0.03)
    assert weeks_of(kept, "left hand")[0].strokes == 100
    assert weeks_of(kept, "right hand") == ()


def test_weeks_come_together_from_takes() -> None:
    """Takes of one week add up, those of another are apart; few strokes tell no spread."""
    strokes = [Deviation(0, "&", 0.01 * (-1) ** k, None) for k in range(8)]
    takes = [(MONDAY + days * 86_400, timing_of(strokes)) for days in (0, 1, 8)]
    assert [week.strokes for week in weeks_of(by_week(takes[:2]))] == [16]
    kept = by_week(takes)
    assert len(kept) == 2
    assert [week.strokes for week in weeks_of(kept)] == [16]
