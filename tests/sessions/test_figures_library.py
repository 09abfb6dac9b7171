"""Which figures a figure is likeliest mixed up with."""

import numpy as np
import pytest

from game.learning.coach import Coach
from game.sessions.figures.library import neighbours
from shared.levels import Level, shipped_levels, vocabulary
from tests.sessions.lessons import STAGE_3, figure

FIGURES = STAGE_3.figures


def test_the_table_decides_where_there_is_one() -> None:
    """Who takes 1 & a for 1 is shown 1 first, however unlike the two sound."""
    table = np.eye(len(FIGURES))
    here, there = FIGURES.index(figure("1 & a")), FIGURES.index(figure("1"))
    table[here] = 0.0
    table[here, there] = 1.0
    assert neighbours(FIGURES[here], FIGURES, table)[0] == FIGURES[there]


def test_a_mix_up_counts_either_way() -> None:
    """A figure that is said where this one was not heard is a mix-up of this one as well."""
    table = np.eye(len(FIGURES))
    table[0] = [0.4, 0, 0, 0.6, 0, 0]
    assert neighbours(FIGURES[3], FIGURES, table)[0] == FIGURES[0]


def test_likeness_decides_for_a_new_player() -> None:
    """One stroke moved by a quarter of the beat is nearer than a stroke alone."""
    found = neighbours(figure("1 e &"), FIGURES)
    assert len(found) == 3
    assert figure("1 & a") in found or figure("1 e & a") in found
    assert figure("1") not in found


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_a_new_coach_names_others(level: Level) -> None:
    """On every level the coach's first table gives each figure two or three others, never itself."""
    table = Coach(level).confusion()
    for one in level.figures:
        found = neighbours(one, level.figures, table)
        assert len(found) == min(3, len(level.figures) - 1)
        assert one not in found


def test_only_one_kind_of_beat() -> None:
    """A figure of dotted crotchets is never beside one of crotchets, although they may sound alike."""
    for one in vocabulary().figures:
        assert all(other.compound == one.compound for other in neighbours(one, vocabulary().figures))
