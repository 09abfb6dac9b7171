"""What counts as evidence: answers at random, skipped beats, response times."""

import numpy as np
import pytest

from game.learning.paces import ABILITIES
from game.learning.response import UNTIMED, Pause, ResponseTimes
from game.learning.telling import doubts, telling
from game.learning.trust import ELSEWHERE, SKIPPED, Beat, Trust, Weight

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


def test_figure_of_another_level_is_a_mistake():
    """Saying a figure that the level does not hold counts like any wrong answer, more than skipping."""
    stranger, skip = (Beat(0.0, 0, ((said, 1.0),), None) for said in (ELSEWHERE, SKIPPED))
    others = bar([True, True, True])
    strange, skipped, wrong = (
        Trust(FIGURES).weigh([beat, *others], DOUBTS)[0].counts for beat in (stranger, skip, bar([False])[0])
    )
    assert strange == wrong > skipped == pytest.approx(0.7 * Trust(FIGURES).weigh([skip, *others], DOUBTS)[1].counts)


def test_exam_is_sat_in_earnest():
    """In an exam even a bar without one right answer counts in full."""
    wrong = [beat._replace(exam=True) for beat in bar([False] * 4)]
    assert [weight.counts for weight in trust_of_a_good_player().weigh(wrong, DOUBTS)] == [1.0] * 4


def test_one_good_bar_does_not_change_what_is_usual():
    """Somebody who gets most bars wrong and then one right is not thought to guess at the next."""
    trust = Trust(FIGURES)
    for _ in range(30):
        trust.weigh(bar([False] * 4), DOUBTS)
    trust.weigh(bar([True] * 4), DOUBTS)
    assert all(weight.counts > 0.9 for weight in trust.weigh(bar([False] * 4), DOUBTS))


def test_one_time_for_the_bar_is_shared():
    """Four beats with the same time share one; with a time each they do not."""
    trust = [Trust(FIGURES), Trust(FIGURES)]
    for one in trust:
        one.weigh(bar([True] * 4, 1.0), DOUBTS)
    own = [beat._replace(seconds=1.0 + 0.1 * place) for place, beat in enumerate(bar([True] * 4))]
    shared, each = (
        one.weigh(beats, DOUBTS)[0].pause for one, beats in zip(trust, (bar([True] * 4, 1.0), own), strict=True)
    )
    assert shared.spread == pytest.approx(2 * each.spread)


def test_first_time_tells_nothing():
    """Before any time of the player is known none is early or late; without a time there is nothing to read."""
    assert ResponseTimes().read(9.0, 1)[:2] == (0.0, 0.0)
    assert Trust(FIGURES).weigh(bar([True]), [0.2])[0].pause == UNTIMED


def test_one_accident_widens_the_scatter_by_little():
    """A minute instead of a second widens the scatter no more than three seconds do."""

    def spread(seconds):
        times = ResponseTimes()
        for time in (*[1.0] * 6, seconds):
            times.follow(time, 0.0)
        return times.read(1.0, 1).spread

    assert spread(1.0) < spread(2.0) < spread(3.0) == spread(60.0)


def test_late_is_counted_from_the_surest_answers():
    """A player whose answers all take e seconds, sure or not, is one late at e squared, and not at e."""
    times = ResponseTimes()
    for number in range(600):
        times.follow(float(np.e), number % 2)
    assert times.read(float(np.e), 1).late == pytest.approx(0, abs=0.05)
    assert times.read(float(np.e) ** 1.3, 1).late == pytest.approx(0.3, abs=0.05)
    assert times.read(float(np.e) ** 0.7, 1).late == pytest.approx(-0.3, abs=0.05)


def test_time_tells_as_much_as_the_answer_is_trusted():
    """A bar that was answered at random tells nothing at all, neither by its answers nor by its times."""
    assert telling(bar([True]), [Weight(0.0, Pause(1.0, 0.5, 0.2))])[0] == pytest.approx(np.ones(len(ABILITIES)))


def test_time_on_the_line_tells_most_of_its_doubt():
    """With a slope of one a time half late is likeliest at an ability of one half: the normal curve around the line."""
    timed = telling(bar([True]), [Weight(1.0, Pause(0.5, 1.0, 0.2))])[0] / ABILITIES
    assert timed == pytest.approx(np.exp(-0.5 * ((0.5 - (1 - ABILITIES)) / 0.2) ** 2))


def test_the_first_time_lies_on_the_line():
    """A player's first time is taken for usual at its doubt: seven tenths of the doubt above the surest answers."""
    times = ResponseTimes()
    times.follow(2.0, 0.5)
    late, slope, _ = times.read(2.0, 1)
    assert (late, slope) == pytest.approx((0.35, 0.7))


def test_line_by_least_squares():
    """The line is that of weighted least squares, with the guess as one more row on the slope alone."""
    times, random = ResponseTimes(), np.random.default_rng(3)
    lost, logs = random.random(40), 0.3 * random.standard_normal(40)
    for doubt, log in zip(lost, logs, strict=True):
        times.follow(float(np.exp(log)), float(doubt))
    weights = np.sqrt(0.995 ** np.arange(39, -1, -1))
    guess = np.sqrt(4.0 * 0.995**40)
    rows = np.vstack([np.stack([weights, weights * lost], axis=1), [0.0, guess]])
    base, slope = np.linalg.lstsq(rows, np.append(weights * logs, guess * 0.7), rcond=None)[0]
    late, found, _ = times.read(float(np.exp(0.1)), 1)
    assert (late, found) == pytest.approx((0.1 - base, slope))


def test_few_times_are_believed_less():
    """As long as it rests on few times, the line is not known well, and a time tells less."""
    times, spreads = ResponseTimes(), []
    for _ in range(30):
        times.follow(1.0, 0.1)
        spreads.append(times.read(1.0, 1).spread)
    assert spreads[0] > 1.3 * spreads[9] > 1.3 * spreads[29]


def test_doubt_of_an_answer_by_hand():
    """Bayes: known half the time, else guessed one time in five, a right answer leaves little doubt."""
    quick, sure = np.abs(ABILITIES - 0.2).argmin(), np.abs(ABILITIES - 0.95).argmin()
    abilities = np.zeros((1, len(ABILITIES)))
    abilities[0, [quick, sure]] = 0.5
    low, high = ABILITIES[quick], ABILITIES[sure]
    right = (low * (1 - low) + high * (1 - high)) / (low + high)
    wrong = ((1 - low) ** 2 + (1 - high) ** 2) / (2 - low - high)
    assert doubts(bar([True])[:1], abilities) == pytest.approx([right])
    assert doubts(bar([False])[:1], abilities) == pytest.approx([wrong])
    assert right < 1 - (low + high) / 2 < wrong


@pytest.mark.parametrize("rights", [[False] * 4, [True, False, False, False], [True] * 4])
def test_randomness_by_hand(rights):
    """Bayes: 3 bars in 100 at random, right one time in 12; otherwise a new player is right in 6 of 10."""
    wild = np.prod([1 / 12 if right else 11 / 12 for right in rights])
    usual = np.prod([0.6 if right else 0.4 for right in rights])
    earnest = 0.97 * usual / (0.97 * usual + 0.03 * wild)
    assert Trust(FIGURES).weigh(bar(rights), DOUBTS)[0].counts == pytest.approx(earnest)
