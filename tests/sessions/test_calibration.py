"""Measuring the delay of the sound, on taps at explicit times."""

import pytest

from game.sessions.settings.calibration import CLICKS, DROPPED, measured

EVERY = 0.75
TIMES = [EVERY * k for k in range(CLICKS)]


def test_even_taps_give_their_delay() -> None:
    """Sixteen taps of 120 ms each tell 120 ms, without spread; the first four only gave the tempo."""
    found = measured(TIMES, [time + 0.120 for time in TIMES])
    assert (found.taps, found.milliseconds, found.steady) == (CLICKS - DROPPED, 120, True)
    assert found.spread == pytest.approx(0, abs=1e-9)


def test_the_first_taps_do_not_count() -> None:
    """Whoever searches for the tempo at first is measured by what comes after."""
    taps = [time + (0.3 if k < DROPPED else 0.02) for k, time in enumerate(TIMES)]
    assert measured(TIMES, taps).milliseconds == 20


def test_median_forgives_one_slip() -> None:
    """The median of 10, 10, ... and one of 60 ms is 10 ms."""
    taps = [time + 0.010 for time in TIMES]
    taps[9] += 0.050
    found = measured(TIMES, taps)
    assert (found.milliseconds, found.steady) == (10, True)


def test_worked_spread() -> None:
    """Six taps at 10 and six at 70 ms: median 40 ms, standard deviation 31.3 ms, too wide to be trusted."""
    taps = [time + (0.010 if k % 2 else 0.070) for k, time in enumerate(TIMES)]
    found = measured(TIMES, taps)
    assert found.milliseconds == 40
    assert found.spread == pytest.approx(0.0313, abs=1e-4)
    assert not found.steady


def test_spread_of_a_good_player_is_trusted() -> None:
    """Taps 20 ms early and late in turn (spread 20.9 ms) are under the limit of 25 ms."""
    assert measured(TIMES, [time + (0.02 if k % 2 else -0.02) for k, time in enumerate(TIMES)]).steady


def test_early_taps_give_a_negative_delay() -> None:
    """People tap ahead of a click; that belongs to what is measured."""
    assert measured(TIMES, [time - 0.030 for time in TIMES[1:]]).milliseconds == -30


def test_missing_and_doubled_taps_are_borne() -> None:
    """Two clicks without a tap and one with two leave ten offsets; of two taps the nearer one counts."""
    taps = [time + 0.050 for k, time in enumerate(TIMES) if k not in (6, 11)] + [TIMES[8] + 0.3]
    found = measured(TIMES, taps)
    assert (found.taps, found.milliseconds, found.steady) == (10, 50, True)


@pytest.mark.parametrize("taps", [[], TIMES[:10]])
def test_too_few_taps_tell_nothing(taps: list[float]) -> None:
    """Fewer than eight counted taps are not enough, however even."""
    found = measured(TIMES, taps)
    assert not found.enough
    assert not found.steady
