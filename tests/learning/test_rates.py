"""How hearing lifts an ability, and what is supposed of figures and players before any answer."""

import numpy as np
import pytest

from game.learning.rates import (
    ABILITIES,
    FAMILIES,
    ODDS,
    RATES,
    STANDSTILL,
    STEP,
    TOP,
    TRAIT_SHARES,
    Rate,
    drop,
    players,
    starts,
)


def mean_gain(rate):
    """By how much log-odds one hearing lifts each ability, on average."""
    return rate.lift() @ ODDS - ODDS


@pytest.mark.parametrize("rate", FAMILIES[0], ids=str)
def test_steady_learning_gains_the_same_everywhere(rate):
    """Where there is room above, each hearing brings the rate's log-odds on average."""
    room = ODDS + rate.gain < ODDS[-1]
    assert mean_gain(rate)[room] == pytest.approx(rate.gain)


@pytest.mark.parametrize("rate", FAMILIES[1], ids=str)
def test_slowing_learning_goes_its_share_of_the_way(rate):
    """Each hearing brings the rate's share of what is left to the top, and nothing beyond it."""
    assert mean_gain(rate) == pytest.approx(rate.gain * np.maximum(0, TOP - ODDS))


def test_a_click_goes_half_the_way_or_all():
    """Of four clicks in ten, two lift a guessed figure to about even and two next to the top; none ever lowers one."""
    lift = Rate(click=0.4).lift()
    landed = {place: float(chance) for place, chance in enumerate(lift[0]) if chance > 0}
    assert landed == pytest.approx({0: 0.6, 5: 0.2, len(ODDS) - 2: 0.2})
    assert ABILITIES[5] == pytest.approx(0.5, abs=STEP / 4)
    assert lift[5, -2] == pytest.approx(0.4)
    assert lift[-1, -1] == pytest.approx(1)


def test_a_loss_is_one_to_four_steps():
    """A loss takes an ability one to four steps down, each as likely; below the lowest there is nothing to lose."""
    assert drop()[7] == pytest.approx([0, 0, 0, 0.25, 0.25, 0.25, 0.25, *[0] * (len(ODDS) - 7)])
    assert drop()[0, 0] == pytest.approx(1)
    assert drop()[2, :2] == pytest.approx([0.75, 0.25])


def test_each_kind_of_player_has_a_family_and_a_usual_rate():
    """Each rate is usual to two kinds of player, one less settled in it than the other; none leaves the family."""
    kinds = players()
    assert kinds.sum(axis=1) == pytest.approx(1)
    for place, rate in enumerate(RATES):
        family = next(family for family in FAMILIES if rate in family)
        others = [k for k, other in enumerate(RATES) if other not in family]
        settled, unsettled = kinds[kinds.argmax(axis=1) == place]
        assert settled[place] > unsettled[place] > 0.4
        assert np.all(kinds[kinds.argmax(axis=1) == place][:, others] == 0)


def test_new_figures_are_guessed_and_old_ones_known():
    """Before any answer a new figure is expected right one time in four, one known from before nearly always."""
    for rate in RATES[1:]:
        new, old = starts(rate) @ ABILITIES
        assert (new, old) == pytest.approx((0.25, 0.94), abs=0.02)
        assert starts(rate).sum(axis=1) == pytest.approx(1)


def test_who_stands_still_may_do_so_anywhere():
    """Without learning, no ability is likelier than another, and hearing a figure changes nothing."""
    assert np.ptp(starts(STANDSTILL)) == 0
    assert np.array_equal(STANDSTILL.lift(), np.eye(len(ODDS)))
    assert sum(TRAIT_SHARES) == pytest.approx(1)


def test_a_hearing_may_gain_and_click():
    """Where both can happen, what a hearing does still adds up to 1 at every ability."""
    assert Rate(gain=0.25, click=0.4).lift().sum(axis=1) == pytest.approx(1)
