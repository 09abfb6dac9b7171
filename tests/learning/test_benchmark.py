"""The benchmark's own parts do what they claim, and the coach wins a small one."""

from itertools import product

import numpy as np
import pytest

from tests.bench.learning.candidates import HEARINGS, calibration_error, candidate
from tests.bench.learning.choosers import ItemAdaptive, Uniform
from tests.bench.learning.learners import DAY, SIZE, Given, Playing
from tests.bench.learning.suite import (
    CHOOSERS,
    KNOWN_SHARES,
    LEARNERS,
    UNSEEN_NAMES,
    USUAL,
    Trial,
    make_learner,
    run_all,
)
from tests.bench.learning.table import lines, speed_up
from tests.bench.learning.trial import MOST_BARS, START, playing
from tests.sampling import some

NAMES = list(LEARNERS)
QUICKEST = "all-or-none"


@pytest.mark.parametrize("name", some(2, NAMES))
def test_learner_learns_and_forgets(name):
    """Hearing every figure often brings all to what counts as known; rows stay distributions; rest costs."""
    learner = make_learner(name, 0.4, 1)
    before = learner.table(START)
    for turn in range(1500):
        learner.hear([(4 * turn + place) % SIZE for place in range(4)], START + 12 * turn)
    after = learner.table(START + 12 * 1500 + 3600)
    assert after.sum(axis=1) == pytest.approx(1)
    assert before.diagonal().mean() < 0.85
    assert np.all(after.diagonal() > learner.goal)
    assert learner.table(START + 12 * 1500 + 30 * DAY).diagonal().mean() < after.diagonal().mean() + 0.01


@pytest.mark.parametrize("name", NAMES)
def test_known_figures_are_known(name):
    """Before practice, figures known from before are named right far more often than the others."""
    learner = make_learner(name, 0.4, 2)
    right = learner.table(START).diagonal()
    assert right[learner.known].mean() > right[~learner.known].mean() + 0.3


@pytest.mark.parametrize("name", NAMES)
def test_answers_follow_the_table(name):
    """What a learner says of a bar comes from distributions, in times above 0; the wrong beats open again."""
    learner = make_learner(name, 0.4, 3)
    rows = learner.rows([0, 1, 2, 3], START, Playing(), HEARINGS)
    assert rows.sum(axis=1) == pytest.approx(1)
    for turn in range(20):
        bar = [turn % SIZE, (turn + 5) % SIZE, (turn + 9) % SIZE, (turn + 13) % SIZE]
        given = learner.practise(bar, START + 12 * turn, Playing())
        wrong = [place for place in range(4) if given.said[place] != bar[place]]
        assert list(given.second) == wrong
        assert all(given.second[place][0] != given.said[place] for place in wrong)
        assert min(given.seconds) > 0


def test_a_second_try_that_teaches_is_a_second_hearing():
    """Two learners alike but for what a second try teaches: only one is the better for having put a beat right."""
    learners = [make_learner("slow starter", 0.4, seed) for seed in (5, 5)]
    learners[0].tries_teach, learners[1].tries_teach = True, False
    for turn in range(60):
        for learner in learners:
            learner.practise([(turn + place) % SIZE for place in (0, 5, 9, 13)], START + 12 * turn, Playing())
    taught, told = (learner.table(START + 3600).diagonal().mean() for learner in learners)
    assert taught > told


def test_context_learner_hears_by_the_circumstances():
    """One who hears by the circumstances is worse at quick tempi and better after more hearings."""
    learner = make_learner("context", 0.4, 4)
    slow, quick = (
        learner.rows(range(SIZE), START, Playing(tempo), 2)[np.arange(SIZE), np.arange(SIZE)] for tempo in (0, 1)
    )
    once, often = (
        learner.rows(range(SIZE), START, Playing(), heard)[np.arange(SIZE), np.arange(SIZE)] for heard in (1, 4)
    )
    assert slow.mean() > quick.mean()
    assert often.mean() > once.mean()


@pytest.fixture(scope="module")
def two():
    """A trial of each of two choosers, with a second try, whose learner knows nothing from before."""
    return {chooser: Trial(QUICKEST, 0.0, chooser, 2, 0).run() for chooser in ("uniform", "coach")}


def test_same_seed_same_trial(two):
    """A trial is a function of its seed, whatever else runs."""
    again = run_all([0], [QUICKEST], ["uniform", "coach"], tries=[2])
    assert len(again) == 2 * len(KNOWN_SHARES)
    for chooser, outcome in two.items():
        assert again[QUICKEST, 0.0, chooser, 2] == [outcome]


def test_rival_uses_times_and_second_tries():
    """A late right answer makes the rival bring a figure sooner than a quick one does."""
    rival = ItemAdaptive(np.random.default_rng(1))
    for turn in range(20):
        rival.learn([0, 1, 2, 3], Given([0, 1, 2, 3], [1.0, 1.0, 1.0, 4.0], [0] * 4, 1, {}), START + turn)
    urgency = rival.urgency(START)
    assert urgency[3] > urgency[0]


@pytest.mark.parametrize("known", [0.4, pytest.param(0.0, marks=pytest.mark.long)])
def test_coach_beats_uniform(known):
    """On the quickest learner the coach needs well under the bars of a uniform choice, beyond what chance explains.

    Two seeds once gave 1.13 on one machine and 2.1 on another; of six the interval's lower end is held, which was 1.7
    for the worst six of twelve in a row.
    """
    uniform, coach = (
        np.array([Trial(QUICKEST, known, chooser, 2, seed).run().bars for seed in range(6)], dtype=float)
        for chooser in ("uniform", "coach")
    )
    _, low, _ = speed_up([uniform], [coach])
    assert low > 1.2


def test_rollout_leaves_the_learner_alone():
    """Trying bars out changes nothing that the learner knows, nor what chance will bring it."""
    learner = make_learner(QUICKEST, 0.4, 6)
    before, chance = learner.table(START), learner.random.bit_generator.state
    CHOOSERS["rollout"](np.random.default_rng(1), learner, 6).choose(START)
    assert learner.table(START) == pytest.approx(before)
    assert learner.random.bit_generator.state == chance


def test_informed_filter_comes_to_know_the_learner():
    """From the answers to twenty bars of all figures in turn it knows P(right) of each twice as closely as before."""
    learner = make_learner("slow starter", 0.4, 7)
    informed = CHOOSERS["informed"](np.random.default_rng(2), learner, 7)

    def error(now):
        right = np.array([particle.table(now).diagonal() for particle in informed.particles])
        return np.abs((informed.weights * right).sum(axis=0) - learner.table(now).diagonal()).mean()

    before = error(START)
    for turn in range(20):
        now = START + 12 * turn
        _, setting = informed.choose(now)
        bar = [(4 * turn + place) % SIZE for place in range(4)]
        informed.learn(bar, learner.practise(bar, now, playing(setting)), now)
    assert error(START + 240) < before / 2


@pytest.mark.long
@pytest.mark.parametrize("chooser", CHOOSERS)
def test_every_chooser_gets_through_a_trial(chooser):
    """Each brings the quickest learner to the goal before the bars run out."""
    assert Trial(QUICKEST, 0.0, chooser, 2, 0).run().bars < MOST_BARS


def test_table_has_every_chooser(two):
    """The printed tables name every learner and chooser, with one try and two; whose trial it was is no matter."""
    results = {
        (QUICKEST, known, chooser, tries): [two["uniform"]]
        for known, chooser, tries in product(KNOWN_SHARES, CHOOSERS, (1, 2))
    }
    text = "\n".join(lines(results, {"quick": [QUICKEST]}))
    assert all(chooser in text for chooser in CHOOSERS)
    assert "a second try" in text
    assert "one try" in text


def test_the_unseen_half_has_mechanisms_of_its_own():
    """At least three mechanisms are met by a final run alone, and the rival is always in the table."""
    assert len(UNSEEN_NAMES) >= 3
    assert "item-adaptive" in USUAL
    assert issubclass(ItemAdaptive, Uniform)


def test_calibration_error_by_hand():
    """Two forecasts of .25, one of which came, and two of .75, both of which did: error .25."""
    said, came = np.array([0.25, 0.25, 0.75, 0.75]), np.array([1.0, 0.0, 1.0, 1.0])
    assert calibration_error(said, came) == pytest.approx(0.25)


@pytest.mark.parametrize("kind", [pytest.param("constant", marks=pytest.mark.long), QUICKEST])
def test_candidates_have_forecasts(kind):
    """A candidate is forecast by the coach, and by whoever knows each chance: probabilities, marks and a verdict."""
    person = candidate(kind, 10_000)
    assert all(
        0 <= chance <= 1 for chance in (person.forecast, person.expected, person.truth, person.true_mark, person.mark)
    )
    assert person.word
