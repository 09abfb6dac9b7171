"""The coach's arithmetic against sources outside the project."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from fsrs import Card, Scheduler
from scipy import stats

from game.learning.forecast import forecast_from, poisson_binomial
from game.learning.memory import Memory, retained
from game.wording import DAY_SECONDS
from tests.bench.learning.candidates import brier, wilson
from tests.bench.learning.choosers import sm2_step

CHANCES = np.array([0.95, 0.9, 0.85, 0.8, 0.7, 0.6, 0.9, 0.75])


def test_poisson_binomial_by_value():
    """P(at least 6 of 8) for eight different chances (computed by hand-checked convolution)."""
    assert poisson_binomial(CHANCES)[6:].sum() == pytest.approx(0.818853, abs=1e-6)


def test_poisson_binomial_by_scipy():
    """Convolution agrees with ``scipy.stats``: the binomial, and the Poisson-binomial where scipy has it."""
    assert poisson_binomial(np.full(20, 0.85)) == pytest.approx(stats.binom.pmf(np.arange(21), 20, 0.85))
    if hasattr(stats, "poisson_binom"):
        assert poisson_binomial(CHANCES) == pytest.approx(stats.poisson_binom(CHANCES).pmf(np.arange(9)))


def test_uncertainty_lowers_a_good_forecast():
    """Mean .85, 16 of 20 to pass: .830 when that is sure, .755 as a Beta of weight 10 (beta-binomial)."""
    sure = forecast_from(np.full((1, 20), 0.85), 0.8, 0.05)
    assert sure.probability == pytest.approx(0.830, abs=5e-4)
    spread = stats.beta(8.5, 1.5).ppf((np.arange(2000) + 0.5) / 2000)
    unsure = forecast_from(np.tile(spread[:, None], 20), 0.8, 0.05)
    assert unsure.probability == pytest.approx(1 - stats.betabinom(20, 8.5, 1.5).cdf(15), abs=2e-3)
    assert unsure.probability == pytest.approx(0.755, abs=2e-3)


def test_interval_of_marks_by_scipy():
    """Twenty questions at .85: mean, chance to pass and the bounds of the middle 90 % are those of ``scipy.stats``."""
    forecast = forecast_from(np.full((1, 20), 0.85), 0.8, 0.25)
    marks = stats.binom(20, 0.85)
    assert (forecast.low, forecast.high) == pytest.approx((marks.ppf(0.05) / 20, marks.ppf(0.95) / 20))
    assert forecast.expected == pytest.approx(marks.mean() / 20)
    assert forecast.probability == pytest.approx(marks.sf(15))
    assert forecast.by_chance == pytest.approx(stats.binom(20, 0.25).sf(15))


def test_brier_by_hand():
    """Brier score of .1 .9 .8 .3 for 0 1 1 0 is .0375 (G. W. Brier 1950, arithmetic)."""
    assert brier(np.array([0.1, 0.9, 0.8, 0.3]), np.array([0, 1, 1, 0])) == pytest.approx(0.0375)


@pytest.mark.parametrize(
    ("right", "asked", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_interval(right, asked, low, high):
    """Wilson's 95 % interval: the cases of R. G. Newcombe, Statistics in Medicine 17, 1998 (cases from memory)."""
    assert wilson(right, asked) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize("strength", [0.2, 2.3, 40.0])
def test_forgetting_curve_of_fsrs(strength):
    """On whole days what is retained is what the ``fsrs`` package computes."""
    start = datetime(2026, 1, 1, tzinfo=UTC)
    card = Card(card_id=1, stability=strength, due=start, last_review=start)
    for days in (0, 1, 7, 100):
        expected = Scheduler().get_card_retrievability(card, start + timedelta(days=days))
        assert float(retained(days, strength)) == pytest.approx(expected)


def test_fractions_of_a_day_count():
    """Half a day away is between none and one; the package itself cuts time to whole days."""
    assert retained(0, 2.0) > retained(0.5, 2.0) > retained(1, 2.0)


def test_intervals_of_fsrs():
    """Right at each due time, reviews come after 2, 11, 46 and 163 days: the fsrs package's own test values."""
    memory, at, intervals = Memory(1), 1_700_000_000.0, []
    for _ in range(4):
        memory.note_bar([(0, True, at)])
        intervals.append((memory.due_at()[0] - at) / DAY_SECONDS)
        at += intervals[-1] * DAY_SECONDS
    assert intervals == [2, 11, 46, 163]


@pytest.mark.parametrize(("quality", "change"), [(5, 0.10), (4, 0.0), (3, -0.14), (2, -0.32), (1, -0.54), (0, -0.80)])
def test_sm2_ease(quality, change):
    """SM-2's ease changes by its published formula (P. A. Woźniak 1990, from memory)."""
    assert sm2_step(2.5, 6.0, 2, quality)[0] == pytest.approx(2.5 + change)


def test_sm2_intervals():
    """SM-2's intervals are 1, 6, then times the ease, which never sinks below 1.3 (P. A. Woźniak 1990)."""
    state, intervals = (2.5, 0.0, 0), []
    for _ in range(4):
        state = sm2_step(*state, 4)
        intervals.append(state[1])
    assert intervals == pytest.approx([1, 6, 15, 37.5])
    assert sm2_step(1.3, 6.0, 2, 0) == (1.3, 1.0, 0)
