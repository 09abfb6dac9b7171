"""The benchmark's own parts do what they claim, and the coach wins a small one."""

import numpy as np
import pytest

from tests.bench.learning.candidates import calibration_error, candidates
from tests.bench.learning.learners import DAY, SIZE
from tests.bench.learning.suite import CHOOSERS, KNOWN_SHARES, LEARNERS, make_learner, run_all
from tests.bench.learning.table import lines, speed_up
from tests.bench.learning.trial import START

NAMES = list(LEARNERS)


@pytest.mark.parametrize("name", NAMES)
def test_learner_learns_and_forgets(name):
    """Hearing every figure often brings all to 90 %; the table stays one of distributions; rest costs a little."""
    learner = make_learner(name, 0.4, 1)
    before = learner.table(START)
    for turn in range(600):
        learner.hear([(4 * turn + place) % SIZE for place in range(4)], START + 12 * turn)
    after = learner.table(START + 7200)
    assert after.sum(axis=1) == pytest.approx(1)
    assert before.diagonal().mean() < 0.8 < 0.9 < after.diagonal().min()
    assert learner.table(START + 7200 + 30 * DAY).diagonal().mean() < after.diagonal().mean()


@pytest.mark.parametrize("name", NAMES)
def test_known_figures_are_known(name):
    """Before practice, figures known from before are named right far more often than the others."""
    learner = make_learner(name, 0.4, 2)
    right = learner.table(START).diagonal()
    assert right[learner.known].mean() > right[~learner.known].mean() + 0.3


def test_same_seed_same_trial():
    """A trial is a function of its seed, whatever else runs."""
    first, second = (run_all(1, ["all-or-none"], ["uniform", "coach"]) for _ in range(2))
    assert first == second


def test_coach_beats_uniform():
    """On the quickest learner the coach needs well under the bars of a uniform choice, beyond what chance explains.

    Two seeds once gave 1.13 on one machine and 2.1 on another; of twelve the interval's lower end is held.
    """
    results = run_all(12, ["all-or-none"], ["uniform", "coach"])
    for known in KNOWN_SHARES:
        uniform, coach = (
            np.array([outcome.bars for outcome in results["all-or-none", known, chooser]], dtype=float)
            for chooser in ("uniform", "coach")
        )
        _, low, _ = speed_up([uniform], [coach])
        assert low > 1.2


def test_table_has_every_chooser():
    """The printed tables name every chooser and every comparison."""
    results = run_all(1, ["all-or-none"], list(CHOOSERS))
    text = "\n".join(lines(results, ["all-or-none"], []))
    assert all(chooser in text for chooser in CHOOSERS)
    assert "coach over item-adaptive" in text


def test_calibration_error_by_hand():
    """Two forecasts of .25, one of which came, and two of .75, both of which did: error .25."""
    said, came = np.array([0.25, 0.25, 0.75, 0.75]), np.array([1.0, 0.0, 1.0, 1.0])
    assert calibration_error(said, came) == pytest.approx(0.25)


def test_candidates_have_forecasts():
    """A candidate is forecast by the coach and by the simpler ways, each a probability."""
    (person,) = candidates(["all-or-none"], 1)
    assert all(0 <= chance <= 1 for chance in (person.coach, person.plug_in, person.last_answers, person.truth))
