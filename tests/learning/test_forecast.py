"""The forecast: calibrated for players who stand still, moved by an exam but not turned over, and of a later day."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from game.learning.beats import Beat
from game.learning.coach import Coach
from game.learning.forecast import TrackRecord
from shared.levels import find_level
from tests.sampling import some

NOW = 1_700_000_000.0
DAY = 86400.0


@pytest.fixture(scope="module")
def level():
    return find_level("stage-3")


def answer(coach, share, bars, start, random, kind="practice"):
    """Answer bars, each beat right with this chance, whatever the figure; return when the last one was answered."""
    for bar in range(bars):
        question = coach.ask(start + 12 * bar)
        others = {figure: [other for other in question.choices if other != figure] for figure in question.choices}
        picks = [f if random.random() < share else random.choice(others[f]) for f in question.asked_figures]
        coach.mark(question, picks, start + 12 * bar + 6, hearings=2, kind=kind)
    return start + 12 * bars


@pytest.mark.parametrize("share", some(4, [0.8, 0.65, 0.5, 0.95]))
def test_who_stands_still_is_told_so(level, share):
    """After 300 answers right at one share the mark expected today is the share that came, within five points."""
    off = []
    for seed in range(4):
        coach, random = Coach(level, seed), Random(seed)
        now = answer(coach, share, 75, NOW, random)
        came = np.mean([one.came for one in coach.belief.track.predictions])
        off.append(coach.forecast(40, 0.7, now).expected - came)
    assert np.mean(off) == pytest.approx(0, abs=0.05)


@pytest.fixture(scope="module")
def ready(level):
    """A coach of a player who was right in 19 of 20 over a thousand answers in ten days, and the time."""
    coach, random, now = Coach(level, 1), Random(1), NOW
    for day in range(10):
        now = answer(coach, 0.95, 25, NOW + day * DAY, random)
    return coach, now


def test_a_careless_exam_moves_the_forecast_and_does_not_turn_it_over(ready, level):
    """After a thousand good answers one exam thrown away lowers the forecast; a pass stays likelier than not."""
    coach, now = ready
    before = coach.forecast(40, 0.7, now + DAY)
    log = Coach.replay(level, [], 1)
    assert before.probability > 0.95
    assert log.forecast(40, 0.7, now).probability < before.probability
    answer(coach, 0.4, 10, now + DAY, Random(2), kind="exam")
    after = coach.forecast(40, 0.7, now + 2 * DAY)
    assert 0.5 < after.probability < before.probability
    assert after.low < before.low


def test_a_later_day_is_less_sure(level):
    """The same exam a month on, with nothing practised until then, is expected to go worse; before now it can't be."""
    coach = Coach(level, 3)
    now = answer(coach, 0.9, 40, NOW, Random(3))
    today, later = coach.forecast(40, 0.7, now), coach.forecast(40, 0.7, now, on=now + 30 * DAY)
    assert later.expected < today.expected
    with pytest.raises(ValueError, match="before the last"):
        coach.forecast(40, 0.7, now, on=now - DAY)


def track(rows):
    """A track record of single beats: what was expected, what came, and how it was heard."""
    record = TrackRecord()
    for number, (chance, right, how) in enumerate(rows):
        at = NOW + 12.0 * number + DAY * (number // 40)
        record.note([Beat(at, 0, ((0 if right else 1, 1.0),), None, **how)], [chance])
    return record, at


def mean_chance(record, now, chance=0.8):
    """P(right) that is made of one expected so, on average over the draws."""
    odds = record.set_right(np.full((4000, 1), np.log(chance / (1 - chance))), 2, now, np.random.default_rng(1))
    return float((1 / (1 + np.exp(-odds))).mean())


def test_without_a_record_predictions_stand():
    """Before any answer what is expected stays what it was, less what doubt costs a good player."""
    assert mean_chance(TrackRecord(), NOW) == pytest.approx(0.8, abs=0.03)


def test_too_hopeful_is_set_right():
    """Where nine in ten were expected and six came, the next nine in ten are taken for about six."""
    random = Random(4)
    record, now = track([(0.9, random.random() < 0.6, {}) for _ in range(600)])
    assert mean_chance(record, now + DAY, 0.9) == pytest.approx(0.6, abs=0.05)


def test_what_was_heard_slowly_is_worth_less_in_an_exam():
    """A player right at slow tempi alone is not expected to be so at the exam's; the same marks at any tempo are."""
    random = Random(5)
    quick = [random.choice((-0.5, 0.5)) for _ in range(600)]
    slow_only, now = track([(0.8, random.random() < (0.95 if at < 0 else 0.5), {"quick": at - 0.4}) for at in quick])
    anywhere, _ = track([(0.8, random.random() < 0.725, {"quick": at - 0.4}) for at in quick])
    assert mean_chance(slow_only, now + DAY) < mean_chance(anywhere, now + DAY) - 0.05


def test_uneven_days_widen_the_forecast():
    """Of two players with the same share right, the one whose days differ is forecast with more doubt."""
    random = Random(6)
    even, now = track([(0.75, random.random() < 0.75, {}) for _ in range(640)])
    uneven, _ = track([(0.75, random.random() < (0.95, 0.55)[number // 40 % 2], {}) for number in range(640)])
    odds = np.full((4000, 1), np.log(3.0))
    spread = [one.set_right(odds, 2, now + DAY, np.random.default_rng(1)).std() for one in (even, uneven)]
    assert spread[1] > 1.5 * spread[0]


def test_an_unseen_night_widens_the_forecast():
    """After one sitting the same day is surer than the next; once a second was seen, the next day is surer as well."""
    random, odds, spread = Random(7), np.full((4000, 1), np.log(3.0)), {}
    for sittings in (1, 2):
        record, now = track([(0.75, random.random() < 0.75, {}) for _ in range(40 * sittings)])
        for later in (600.0, DAY):
            spread[sittings, later] = record.set_right(odds, 2, now + later, np.random.default_rng(1)).std()
    assert spread[1, DAY] > 1.6 * spread[1, 600.0]
    assert spread[1, DAY] > 1.6 * spread[2, DAY]


def test_all_right_stays_finite():
    """A player without a single mistake is expected to be nearly always right, and not more."""
    record, now = track([(0.98, True, {})] * 800)
    assert 0.97 < mean_chance(record, now + DAY, 0.98) < 1


def test_forecast_knows_the_exams_hearings(level):
    """Who is right only after many hearings is expected to do worse where an exam gives fewer."""
    coach, random = Coach(level, 1), Random(7)
    for bar in range(75):
        question = coach.ask(NOW + 12 * bar)
        hearings = random.choice((1, 4))
        share = 0.95 if hearings == 4 else 0.55
        picks = [f if random.random() < share else question.choices[0] for f in question.asked_figures]
        coach.mark(question, picks, NOW + 12 * bar + 6, hearings=hearings)
    now = NOW + 900 + DAY
    few, many = (replace(level, exam=replace(level.exam, hearings=hearings)) for hearings in (1, 4))
    expected = []
    for exam_level in (few, many):
        coach.level = exam_level
        expected.append(coach.forecast(40, 0.7, now).expected)
    assert expected[0] < expected[1] - 0.05
