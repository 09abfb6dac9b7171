"""What counts as evidence: answers at random, skipped beats, response times."""

import numpy as np
import pytest

from game.learning.paces import ABILITIES
from game.learning.response import UNTIMED, ResponseTimes
from game.learning.telling import telling
from game.learning.trust import SKIPPED, Beat, Trust, Weight

FIGURES = 12


def bar(rights, seconds=None):
    """Four answered beats, right or not."""
    return [Beat(0.0, place, ((place if right else place + 1, 1.0),), seconds) for place, right in enumerate(rights)]


DOUBTS = [0.2] * 4


def trust_of_a_good_player():
    """Trust that has followed thirty bars with hardly a mistake."""
    trust = Trust(FIGURES)
    for number in range(30):
        trust.weigh(bar([True, True, True, number % 10 > 0]), DOUBTS)
    return trust


def test_random_bar_recognised():
    """A good player's bar without one right answer was answered at random, and tells little."""
    weights = trust_of_a_good_player().weigh(bar([False] * 4), DOUBTS)
    assert all(weight.counts < 0.1 for weight in weights)


def test_single_mistake_counts():
    """One mistake among right answers is an answer like any other."""
    weights = trust_of_a_good_player().weigh(bar([True, False, True, True]), DOUBTS)
    assert all(weight.counts > 0.95 for weight in weights)


def test_beginner_is_taken_in_earnest():
    """Somebody who gets most bars wrong is not thought to guess: that is what not knowing looks like."""
    trust = Trust(FIGURES)
    for _ in range(30):
        trust.weigh(bar([False] * 4), DOUBTS)
    assert all(weight.counts > 0.9 for weight in trust.weigh(bar([False] * 4), DOUBTS))


def test_skip_counts_less_than_mistake():
    """A skipped beat is some evidence of not knowing, and less than a mistake."""
    skipped = Beat(0.0, 0, ((SKIPPED, 1.0),), None)
    weights = Trust(FIGURES).weigh([skipped, *bar([True, True, True])], DOUBTS)
    assert 0 < weights[0].counts < weights[1].counts


def test_slow_right_answer_tells_less():
    """At the top ability a quick right answer is likelier than a slow one; lower down it is the other way."""
    times = ResponseTimes()
    for number in range(60):
        times.follow(1.0 if number % 2 else 2.0, 0.05 if number % 2 else 0.8)
    beat = bar([True])
    quick, slow = (telling(beat, [Weight(1.0, times.read(seconds, 1))])[0] for seconds in (1.0, 2.0))
    assert slow[-1] / slow[4] < quick[-1] / quick[4]


def test_times_that_tell_nothing_are_ignored():
    """A player whose times have nothing to do with doubt gets a flat line."""
    times, random = ResponseTimes(), np.random.default_rng(1)
    for _ in range(800):
        times.follow(float(np.exp(0.3 * random.standard_normal())), float(random.random()))
    assert times.read(3.0, 1).slope < 0.1


def test_steep_line_found():
    """A player who takes e to the half times as long when lost is found to."""
    times, random = ResponseTimes(), np.random.default_rng(1)
    for _ in range(400):
        doubt = float(random.random())
        times.follow(float(np.exp(0.5 * doubt + 0.3 * random.standard_normal())), doubt)
    pause = times.read(1.0, 1)
    assert pause.slope == pytest.approx(0.5, abs=0.15)
    assert pause.spread == pytest.approx(0.3, abs=0.05)


def test_break_for_the_doorbell_is_bounded():
    """A pause of ten minutes counts as a slow answer, not as proof."""
    times = ResponseTimes()
    for _ in range(50):
        times.follow(1.0, 0.1)
    assert times.read(600.0, 1).late <= 2.5 * times.read(600.0, 1).spread


def test_shared_time_tells_less():
    """One time for four beats is believed less of each than four times."""
    times = ResponseTimes()
    times.follow(1.0, 0.1)
    assert times.read(1.0, 4).spread == pytest.approx(2 * times.read(1.0, 1).spread)


def test_untimed_answer_is_its_rightness():
    """Without a time, P(right answer | ability) is the ability."""
    assert telling(bar([True]), [Weight(1.0, UNTIMED)])[0] == pytest.approx(ABILITIES)
    assert telling(bar([False]), [Weight(1.0, UNTIMED)])[0] == pytest.approx(1 - ABILITIES)
