"""What answers tell: right and wrong, second tries, times and changes, bars at random, and how a bar was heard."""

import numpy as np
import pytest

from game.learning.beats import ELSEWHERE, SKIPPED, Beat
from game.learning.likelihood import (
    EXAM_EARNEST,
    HEARING_EASES,
    SLIPS,
    TEMPO_EASES,
    Weighing,
    eased,
    right_chances,
    second_chances,
)
from game.learning.rates import ABILITIES, TRAITS, ringing
from game.learning.response_times import UNTIMED, ResponseTimes

FIGURES = 12
BEATS = 4
PLAIN = right_chances(np.zeros(BEATS), np.zeros(BEATS))
EVEN = np.full(PLAIN.shape, 1 / PLAIN[0].size)
"""P(right) at each trait and ability, and a belief that rules nothing out."""


def bar(rights, seconds=None, **rest):
    """Answered beats, right or not."""
    return [
        Beat(0.0, place, ((place if right else place + 1, 1.0),), seconds, **rest) for place, right in enumerate(rights)
    ]


def weighed(weighing, beats):
    """What the beats tell, before which nothing was ruled out."""
    return weighing.weigh(beats, PLAIN[: len(beats)], EVEN[: len(beats)])


def used_to_a_good_player():
    """Weighing that has followed thirty bars with hardly a mistake."""
    weighing = Weighing(FIGURES)
    for number in range(30):
        weighed(weighing, bar([True, True, True, number % 10 > 0]))
    return weighing


def test_random_bar_recognised():
    """A good player's bar without one right answer was answered at random, and tells little; in an exam, some more."""
    assert np.all(weighed(used_to_a_good_player(), bar([False] * 4)).counts < 0.1)
    assert weighed(used_to_a_good_player(), bar([False] * 4, exam=True)).counts == pytest.approx(EXAM_EARNEST)


def test_single_mistake_counts():
    """One mistake among right answers is an answer like any other."""
    assert np.all(weighed(used_to_a_good_player(), bar([True, False, True, True])).counts > 0.95)


def test_beginner_is_taken_in_earnest():
    """Somebody who gets most bars wrong is not thought to guess: that is what not knowing looks like."""
    weighing = Weighing(FIGURES)
    for _ in range(30):
        weighed(weighing, bar([False] * 4))
    assert np.all(weighed(weighing, bar([False] * 4)).counts > 0.9)


def test_one_good_bar_does_not_change_what_is_usual():
    """Somebody who gets most bars wrong and then one right is not thought to guess at the next."""
    weighing = Weighing(FIGURES)
    for _ in range(30):
        weighed(weighing, bar([False] * 4))
    weighed(weighing, bar([True] * 4))
    assert np.all(weighed(weighing, bar([False] * 4)).counts > 0.9)


@pytest.mark.parametrize("rights", [[False] * 4, [True, False, False, False], [True] * 4])
def test_randomness_by_hand(rights):
    """Bayes: 3 bars in 100 at random, right one time in 12; otherwise a new player is right in 6 of 10."""
    wild = np.prod([1 / 12 if right else 11 / 12 for right in rights])
    usual = np.prod([0.6 if right else 0.4 for right in rights])
    earnest = 0.97 * usual / (0.97 * usual + 0.03 * wild)
    assert weighed(Weighing(FIGURES), bar(rights)).counts == pytest.approx(earnest)


def test_skip_counts_less_than_mistake():
    """A skipped beat is some evidence of not knowing, less than a mistake or a figure that the level lacks."""
    others = bar([True] * 3)
    skip, strange = (Beat(0.0, 0, ((said, 1.0),), None) for said in (SKIPPED, ELSEWHERE))
    skipped, stranger, wrong = (
        weighed(Weighing(FIGURES), [beat, *others]).counts[0] for beat in (skip, strange, bar([False])[0])
    )
    assert 0 < skipped < wrong == stranger


def test_not_sure_counts_in_full():
    """Who says "not sure" means it: that tells as much as a mistake."""
    unsure = Beat(0.0, 0, ((SKIPPED, 1.0),), None, unsure=True)
    assert weighed(Weighing(FIGURES), [unsure]).counts[0] == pytest.approx(0.97)


def test_untimed_answer_is_its_rightness():
    """Without a time or a change, what an answer tells of ability is P(right), and of a wrong one 1 - P(right)."""
    right = weighed(Weighing(FIGURES), bar([True], changes=0)).likelihood[0]
    wrong = weighed(Weighing(FIGURES), bar([False], changes=0)).likelihood[0]
    quiet = 1 - (0.01 + 0.1 * (1 - PLAIN[0]))
    earnest = 0.97 * 0.6 / (0.97 * 0.6 + 0.03 / 12)
    assert right == pytest.approx((PLAIN[0] * quiet) ** earnest)
    assert np.all(np.diff(wrong[0]) < 0)


def test_chances_slip_at_either_end():
    """P(right) grows with ability from just over a slip to just under sure: the logistic curve between both."""
    assert PLAIN[0, 0] == pytest.approx(SLIPS + (1 - 2 * SLIPS) * ABILITIES)


def test_an_echo_helps_those_who_have_one():
    """Just heard, a figure is better known by a player whose learning echoes, and by no other; after a day by none."""
    now, later = (right_chances(ringing(np.array([seconds])), np.zeros(1))[0] for seconds in (1.0, 86400.0))
    for trait, at_once, next_day in zip(TRAITS, now, later, strict=True):
        gain = (at_once - next_day).max()
        assert gain > 0.3 if trait.echo else gain == pytest.approx(0)


def test_easier_bars_earn_less():
    """Heard slowly or often, a right answer tells of less ability, and a wrong one of less still."""
    plain, slow, often = (Beat(0.0, 0, ((0, 1.0),), None, **how) for how in ({}, {"quick": -0.5}, {"hearings": 4}))
    assert eased(plain) == 0
    assert eased(slow) == pytest.approx(TEMPO_EASES / 2)
    assert eased(often) == pytest.approx(HEARING_EASES)
    assert eased(plain._replace(alone=2)) == eased(often)
    assert np.all(right_chances(np.zeros(1), np.array([eased(slow)])) > PLAIN[:1])


def test_second_choice_keeps_ratios():
    """Luce 1959: of .5 right, .3 and .2 for two rivals, with the first rival out of the running .5 to .2 remain."""
    assert second_chances(np.array([[[0.5]]]), np.array([0.6])) == pytest.approx(0.5 / 0.7)


def test_a_second_mistake_tells_more_where_one_rival_is_left():
    """After the only likely rival was ruled out, being right again tells hardly anything."""
    likely, unlikely = (second_chances(PLAIN[:1], np.array([share]))[0, 0] for share in (0.95, 0.05))
    assert likely.min() / likely.max() > unlikely.min() / unlikely.max()


def test_guess_among_two_tells_less():
    """A right answer among two choices says less of ability than one among all of the level's figures."""
    among_all, among_two = (
        weighed(Weighing(FIGURES), bar([True], choices=choices, wrong=wrong)).likelihood[0, 0]
        for choices, wrong in ((0, 1.0), (2, 0.5 / (1 - 1 / FIGURES)))
    )
    assert among_two[0] / among_two[-1] > among_all[0] / among_all[-1]


def test_slow_right_answer_tells_less():
    """At the top ability a quick right answer is likelier than a slow one; lower down it is the other way."""
    weighing = Weighing(FIGURES)
    for number in range(60):
        weighed(weighing, bar([number % 2 == 0], 2.0 if number % 2 else 1.0))
    quick, slow = (weighed(weighing, bar([True], seconds)).likelihood[0, 0] for seconds in (1.0, 2.0))
    assert slow[-1] / slow[4] < quick[-1] / quick[4]


def test_time_tells_as_much_as_the_answer_is_trusted():
    """A good player's bar that was answered at random tells nothing, neither by its answers nor by its times."""
    told = weighed(used_to_a_good_player(), bar([False] * 4, 9.0)).likelihood
    assert told.max() / told.min() < 1.5


def test_changes_tell_of_doubt_once_the_player_shows_some():
    """Where a player changes picks in doubt, a changed pick tells of less ability than one that stood."""
    weighing = Weighing(FIGURES)
    for number in range(60):
        weighed(weighing, bar([number % 2 == 0], changes=number % 2))
    stood, changed = (weighed(weighing, bar([True], changes=changes)).likelihood[0, 0] for changes in (0, 1))
    assert changed[0] / changed[-1] > 3 * stood[0] / stood[-1]


def test_who_never_changes_tells_nothing_by_it():
    """After many answers without a change, none is expected in doubt either."""
    times = ResponseTimes()
    for _ in range(600):
        times.follow(None, False, 0.5)
    assert times.changing < 0.01


def test_times_that_tell_nothing_are_ignored():
    """A player whose times have nothing to do with doubt gets a flat line."""
    times, random = ResponseTimes(), np.random.default_rng(1)
    for _ in range(800):
        times.follow(float(np.exp(0.3 * random.standard_normal())), False, float(random.random()))
    assert times.read(3.0, 1).slope < 0.1


def test_steep_line_found():
    """A player who takes e to the half times as long when lost is found to."""
    times, random = ResponseTimes(), np.random.default_rng(1)
    for _ in range(400):
        doubt = float(random.random())
        times.follow(float(np.exp(0.5 * doubt + 0.3 * random.standard_normal())), False, doubt)
    pause = times.read(1.0, 1)
    assert pause.slope == pytest.approx(0.5, abs=0.15)
    assert pause.spread == pytest.approx(0.3, abs=0.05)


def test_break_for_the_doorbell_is_bounded():
    """A pause of ten minutes counts as a slow answer, not as proof."""
    times = ResponseTimes()
    for _ in range(50):
        times.follow(1.0, False, 0.1)
    assert times.read(600.0, 1).late <= 2.5 * times.read(600.0, 1).spread


def test_shared_time_tells_less():
    """One time for four beats is believed less of each than four times."""
    times = ResponseTimes()
    times.follow(1.0, False, 0.1)
    assert times.read(1.0, 4).spread == pytest.approx(2 * times.read(1.0, 1).spread)


def test_one_time_for_the_bar_is_shared():
    """Four beats with the same time share one, and tell less by it than four beats with a time each."""
    told = []
    for times in ([2.0] * 4, [2.0, 2.01, 2.02, 2.03]):
        weighing = used_to_a_good_player()
        for _ in range(10):
            weighed(weighing, [beat._replace(seconds=1.0 + 0.01 * beat.heard) for beat in bar([True] * 4)])
        late = [beat._replace(seconds=time) for beat, time in zip(bar([True] * 4), times, strict=True)]
        likelihood = weighed(weighing, late).likelihood[0, 0]
        told.append(likelihood[-1] / likelihood[0])
    assert told[0] > told[1]


def test_first_time_tells_nothing():
    """Before any time of the player is known none is early or late; without a time there is nothing to read."""
    assert ResponseTimes().read(9.0, 1) == ResponseTimes().read(None, 1) == UNTIMED


def test_one_accident_widens_the_scatter_by_little():
    """A minute instead of a second widens the scatter no more than three seconds do."""

    def spread(seconds):
        times = ResponseTimes()
        for time in (*[1.0] * 6, seconds):
            times.follow(time, False, 0.0)
        return times.read(1.0, 1).spread

    assert spread(1.0) < spread(2.0) < spread(3.0) == spread(60.0)


def test_late_is_counted_from_the_surest_answers():
    """A player whose answers all take e seconds, sure or not, is one late at e squared, and not at e."""
    times = ResponseTimes()
    for number in range(600):
        times.follow(float(np.e), False, number % 2)
    assert times.read(float(np.e), 1).late == pytest.approx(0, abs=0.05)
    assert times.read(float(np.e) ** 1.3, 1).late == pytest.approx(0.3, abs=0.05)
    assert times.read(float(np.e) ** 0.7, 1).late == pytest.approx(-0.3, abs=0.05)


def test_the_first_time_lies_on_the_line():
    """A player's first time is taken for usual at its doubt: seven tenths of the doubt above the surest answers."""
    times = ResponseTimes()
    times.follow(2.0, False, 0.5)
    late, slope, _ = times.read(2.0, 1)
    assert (late, slope) == pytest.approx((0.35, 0.7))


def test_line_by_least_squares():
    """The line is that of weighted least squares, with the guess as one more row on the slope alone."""
    times, random = ResponseTimes(), np.random.default_rng(3)
    lost, logs = random.random(40), 0.3 * random.standard_normal(40)
    for doubt, log in zip(lost, logs, strict=True):
        times.follow(float(np.exp(log)), False, float(doubt))
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
        times.follow(1.0, False, 0.1)
        spreads.append(times.read(1.0, 1).spread)
    assert spreads[0] > 1.3 * spreads[9] > 1.3 * spreads[29]
