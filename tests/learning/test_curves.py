"""The filter over learning curves is exact, and believes what it should."""

from itertools import product

import numpy as np
import pytest

from game.learning.curves import Curves
from game.learning.paces import ABILITIES, LOSSES, PACES, SHARES_KNOWN, drop, players, starts

ANSWERS = [(0, True, 0.0), (1, False, 0.0), (0, False, 0.1), (1, False, 0.02), (1, True, 0.0), (0, True, 0.3)]
"""Figure heard, whether named right, and how much was forgotten since."""


def absorbed(answers, figures=3):
    """A filter that has taken in the answers one by one."""
    curves = Curves(figures)
    for heard, right, forgot in answers:
        chance = ABILITIES if right else 1 - ABILITIES
        curves.absorb(np.array([heard]), chance[None], np.array([forgot]))
    return curves


def chain(answers, figure, loss, pace, start):
    """P(ability now, answers to the figure) of one hidden chain, step by step."""
    path = starts()[start]
    for heard, right, forgot in answers:
        if heard == figure:
            lost = min(0.9, loss * forgot)
            path = (1 - lost) * path + lost * path @ drop()
            path = path * (ABILITIES if right else 1 - ABILITIES) @ pace.lift()
    return path


def by_brute_force(answers, figures=3):
    """P(ability) of each figure, by adding up every combination of player, pace and start in plain loops."""
    total, mixed = 0.0, np.zeros((figures, len(ABILITIES)))
    for loss in LOSSES:
        chains = [
            [[chain(answers, f, loss, pace, start) for start in (0, 1)] for pace in PACES] for f in range(figures)
        ]
        for kind, share in product(players(), SHARES_KNOWN):
            joint = np.array(
                [
                    sum(c * ((1 - share) * new + share * old) for c, (new, old) in zip(kind, f, strict=True))
                    for f in chains
                ]
            )
            weight = np.prod(joint.sum(axis=1))
            total += weight
            mixed += weight * joint / joint.sum(axis=1, keepdims=True)
    return mixed / total


def test_posterior_by_brute_force():
    """Three figures, six answers: the posterior is that of adding up every combination."""
    assert absorbed(ANSWERS).abilities(np.zeros(3)) == pytest.approx(by_brute_force(ANSWERS), abs=1e-9)


def test_batches_are_answers_in_turn():
    """Several answers at once, one figure among them twice, are the same as one after the other."""
    curves = Curves(3)
    heard, right, forgot = (np.array(column) for column in zip(*ANSWERS, strict=True))
    curves.absorb(heard, np.where(right[:, None], ABILITIES, 1 - ABILITIES), forgot)
    assert curves.abilities(np.zeros(3)) == pytest.approx(absorbed(ANSWERS).abilities(np.zeros(3)))


def test_one_figure_tells_of_another():
    """A player who learns one figure quickly is thought to learn another, as often heard, the better for it."""
    slow = [(0, False, 0.0)] * 8
    quick = [(0, False, 0.0)] * 2 + [(0, True, 0.0)] * 6
    other = [(1, False, 0.0)] * 3
    right = [absorbed(first + other).abilities(np.zeros(3))[1] @ ABILITIES for first in (slow, quick)]
    assert right[0] < right[1]


def test_forgetting_lowers_ability():
    """The more is forgotten, the less likely is a right answer."""
    curves = absorbed([(0, True, 0.0)] * 6)
    right = [(curves.abilities(np.full(3, forgot)) @ ABILITIES)[0] for forgot in (0.0, 0.1, 0.5)]
    assert right[0] > right[1] > right[2]


def test_tables_are_distributions():
    """What a hearing and a loss do to an ability adds up to 1; hearing never lowers, loss never lifts."""
    for table in [drop(), *(pace.lift() for pace in PACES)]:
        assert table.sum(axis=1) == pytest.approx(np.ones(len(ABILITIES)))
    assert np.allclose(np.triu(drop(), 1), 0)
    assert all(np.allclose(np.tril(pace.lift(), -1), 0) for pace in PACES)


def test_draws_have_the_posterior_mean():
    """Draws scatter around the posterior mean."""
    curves = absorbed(ANSWERS)
    drawn = curves.draws(np.full(3, 0.1), 20_000, np.random.default_rng(1))
    assert drawn.mean(axis=0) == pytest.approx(curves.abilities(np.full(3, 0.1)) @ ABILITIES, abs=0.01)


def test_draws_hang_together():
    """In a draw the figures share a player: how fast one forgets goes with how fast another does."""
    answers = [(figure, True, 0.0) for figure in (0, 1, 2)] * 6
    drawn = absorbed(answers).draws(np.full(3, 0.2), 20_000, np.random.default_rng(1))
    assert np.corrcoef(drawn, rowvar=False)[0, 1] > 0.05


def test_draws_reach_the_surest():
    """Of a figure that was always named right some draws are at the surest ability."""
    drawn = absorbed([(0, True, 0.0)] * 60).draws(np.zeros(3), 500, np.random.default_rng(1))
    assert drawn[:, 0].max() == ABILITIES[-1]


def test_long_evidence_is_not_lost():
    """After two thousand answers, every other one right, a right one is expected about every other time."""
    right = absorbed([(0, turn % 2 == 0, 0.0) for turn in range(2000)]).abilities(np.zeros(3))[0] @ ABILITIES
    assert right == pytest.approx(0.5, abs=0.15)
