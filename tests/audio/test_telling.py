"""A figure is told where what is told keeps its limit, by how far the figures lie apart."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from audio.telling import doubts, normal, rivals, told
from shared.counting import parse_figure
from shared.figures import Figure
from tests.playing import SEMIQUAVERS, STAGE_4, WITH_TRIPLETS

PAIR = (parse_figure("1 e"), parse_figure("1 a"))


def test_tails_are_those_of_the_normal_distribution() -> None:
    """The distribution function agrees with scipy's."""
    values = np.linspace(-6, 6, 241)
    assert normal(values) == pytest.approx(stats.norm.cdf(values), abs=1e-7)


def test_two_figures_are_told_as_often_as_counted() -> None:
    """Of two figures half a beat apart as many are told, and told wrongly, as in a count of strokes drawn at random."""
    rng, spread, doubt = np.random.default_rng(1), 0.2, 0.1
    # The three other beats have six strokes: by them the offset is known to a sixth of the variance of one.
    offset = rng.normal(0, spread / np.sqrt(6), 200_000)
    first, second = (place + offset + rng.normal(0, spread, offset.size) for place in (0.0, 0.25))
    # How likely two strokes are that share the offset's doubt: a normal law in two dimensions.
    law = stats.multivariate_normal(cov=spread**2 * (np.eye(2) + 1 / 6))
    likely = [law.logpdf(np.stack([first, second - place], 1)) for place in (0.25, 0.75)]
    ratio = likely[1] - likely[0]
    bound = np.log((1 - doubt) / doubt)
    told_share, wrong = rivals(PAIR).shares(spread, doubt)
    assert wrong == pytest.approx((ratio > bound).mean(), rel=0.1)
    assert told_share == pytest.approx((abs(ratio) > bound).mean(), rel=0.05)


@pytest.mark.parametrize("figures", [STAGE_4, SEMIQUAVERS, WITH_TRIPLETS], ids=len)
def test_the_wider_the_spread_the_less_doubt_is_allowed(figures: tuple[Figure, ...]) -> None:
    """At one limit, up to 30 ms, wider strokes and quicker beats allow less doubt; never less than twice the limit."""
    spreads = tuple(np.linspace(0.006, 0.03, 9))
    slow, quick = (np.array(doubts(figures, 60 / tempo, spreads)) for tempo in (80, 160))
    assert all(wide[1] <= narrow[1] for narrow, wide in pairwise(quick))
    assert (quick[:, 1] <= slow[:, 1]).all()
    assert (quick[:, 1] >= 1.99 * quick[:, 0]).all()
    assert quick[-1, 1] < quick[0, 1]


def test_more_is_told_where_figures_lie_further_apart() -> None:
    """The same doubt is told at a slow tempo and not at a quick one; none is told that is as likely wrong as right."""
    spreads, even = np.array([0.02]), np.ones(1)
    assert told(WITH_TRIPLETS, 1.0, spreads, even, np.array([0.1]))
    assert not told(WITH_TRIPLETS, 60 / 160, spreads, even, np.array([0.1]))
    assert not told(WITH_TRIPLETS, 1.0, spreads, even, np.array([0.5]))


def test_what_might_be_wide_is_told_less() -> None:
    """A figure that is sure at a narrow spread alone is not told where a wide one is as likely."""
    spreads, wrong = np.array([0.01, 0.05]), np.array([0.0, 0.4])
    assert told(SEMIQUAVERS, 60 / 160, spreads, np.array([1.0, 0.0]), wrong)
    assert not told(SEMIQUAVERS, 60 / 160, spreads, np.array([0.5, 0.5]), wrong)


def test_a_set_of_one_figure_or_of_rests_has_no_rivals() -> None:
    """Where there is nothing to be taken for, what is there is told."""
    for only in ((parse_figure("1 &"),), (parse_figure("(1)"),)):
        assert len(rivals(only).own) == 0
        assert told(only, 0.6, np.array([0.03]), np.ones(1), np.zeros(1))
