"""The filter over learning curves is exact, and believes what it should."""

from itertools import product

import numpy as np
import pytest

from game.learning.curves import Curves
from game.learning.rates import ABILITIES, RATES, SHARES_KNOWN, TRAIT_SHARES, TRAITS, drop, players, starts

ANSWERS = [(0, True, 0.0), (1, False, 0.0), (0, False, 0.1), (1, False, 0.02), (1, True, 0.0), (0, True, 0.3)]
"""Figure heard, whether named right, and how much was forgotten since."""


def absorbed(answers, figures=3):
    """A filter that has taken in the answers one by one."""
    curves = Curves(figures)
    for heard, right, forgot in answers:
        chance = ABILITIES if right else 1 - ABILITIES
        curves.absorb(np.array([heard]), told(chance), np.array([forgot]), np.ones(1))
    return curves


def told(*chances):
    """The likelihood of answers, the same whatever the player's trait."""
    return np.repeat(np.array(chances)[:, None], len(TRAITS), axis=1)


def abilities(curves, forgot=(0.0, 0.0, 0.0)):
    """P(ability) of each figure, by the rates that are believed."""
    return curves.rated_abilities(np.array(forgot)).sum(axis=0)


def chain(answers, figure, loss, rate, start):
    """P(ability now, answers to the figure) of one hidden chain, step by step."""
    path = starts(rate)[start]
    for heard, right, forgot in answers:
        if heard == figure:
            lost = min(0.9, loss * forgot)
            path = (1 - lost) * path + lost * path @ drop()
            path = path * (ABILITIES if right else 1 - ABILITIES) @ rate.lift()
    return path


def by_brute_force(answers, figures=3, rarer=1):
    """P(ability) of each figure, by adding up every combination of player, rate and start in plain loops."""
    total, mixed = 0.0, np.zeros((figures, len(ABILITIES)))
    for (loss, _), trait_share in zip(TRAITS, TRAIT_SHARES, strict=True):
        chains = [
            [[chain(answers, f, loss, rate, start) for start in (0, 1)] for rate in RATES] for f in range(figures)
        ]
        for kind, share in product(players(), SHARES_KNOWN):
            joint = np.array(
                [
                    sum(c * ((1 - share) * new + share * old) for c, (new, old) in zip(kind, f, strict=True))
                    for f in chains
                ]
            )
            weight = trait_share**rarer * np.prod(joint.sum(axis=1))
            total += weight
            mixed += weight * joint / joint.sum(axis=1, keepdims=True)
    return mixed / total


def test_posterior_by_brute_force():
    """Three figures, six answers: the posterior is that of adding up every combination."""
    assert abilities(absorbed(ANSWERS)) == pytest.approx(by_brute_force(ANSWERS), abs=1e-9)


def test_batches_are_answers_in_turn():
    """Several answers at once, one figure among them twice, are the same as one after the other."""
    curves = Curves(3)
    heard, right, forgot = (np.array(column) for column in zip(*ANSWERS, strict=True))
    curves.absorb(heard, told(*np.where(right[:, None], ABILITIES, 1 - ABILITIES)), forgot, np.ones(len(heard)))
    assert abilities(curves) == pytest.approx(abilities(absorbed(ANSWERS)))


def test_one_figure_tells_of_another():
    """A player who learns one figure quickly is thought to learn another, as often heard, the better for it."""
    slow = [(0, False, 0.0)] * 8
    quick = [(0, False, 0.0)] * 2 + [(0, True, 0.0)] * 6
    other = [(1, False, 0.0)] * 3
    right = [abilities(absorbed(first + other))[1] @ ABILITIES for first in (slow, quick)]
    assert right[0] < right[1]


def test_forgetting_lowers_ability():
    """The more is forgotten, the less likely is a right answer."""
    curves = absorbed([(0, True, 0.0)] * 6)
    right = [(abilities(curves, [forgot] * 3) @ ABILITIES)[0] for forgot in (0.0, 0.1, 0.5)]
    assert right[0] > right[1] > right[2]


def test_tables_are_distributions():
    """What a hearing and a loss do to an ability adds up to 1; hearing never lowers, loss never lifts."""
    for table in [drop(), *(rate.lift() for rate in RATES)]:
        assert table.sum(axis=1) == pytest.approx(np.ones(len(ABILITIES)))
    assert np.allclose(np.triu(drop(), 1), 0)
    assert all(np.allclose(np.tril(rate.lift(), -1), 0) for rate in RATES)


def test_draws_have_the_posterior_mean():
    """Draws scatter around the posterior mean, where rare traits need so much more evidence to be believed in."""
    drawn = absorbed(ANSWERS).draws(np.zeros(3), 20_000, np.random.default_rng(1))
    assert drawn.mean(axis=0) == pytest.approx(by_brute_force(ANSWERS, rarer=2) @ ABILITIES, abs=0.01)


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
    right = abilities(absorbed([(0, turn % 2 == 0, 0.0) for turn in range(2000)]))[0] @ ABILITIES
    assert right == pytest.approx(0.5, abs=0.15)
