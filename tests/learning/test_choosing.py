"""What is asked next, how, and why."""

from collections import Counter
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from game.learning.beats import SKIPPED, Beat
from game.learning.chooser import AHEAD, FEW, GOAL, LACKING, LEFT_TO_CHANCE, NEED, Outlook, best, choose
from game.learning.coach import Coach
from game.learning.rates import ABILITIES, RATES, Rate
from game.learning.reasons import Reasons
from game.learning.recent import RecentAnswers
from game.learning.slow_practice import CLIMB, SLOW
from game.wording import counted
from shared.counting import parse_figure
from shared.levels import find_level

NOW = 1_700_000_000.0
PAIR = (parse_figure("1 e a"), parse_figure("1 & a"))
OF_PAIR = replace(find_level("stage-4"), figures=PAIR, new=(), order=())


def outlook(abilities, mistakes=None, rested=None):
    """An outlook where each figure's ability is known for sure, and any rate is as likely."""
    size = len(abilities)
    known = np.zeros((len(RATES), size, len(ABILITIES)))
    known[:, np.arange(size), abilities] = 1 / len(RATES)
    even = np.full((size, size), 1 / (size - 1))
    return Outlook(known, even if mistakes is None else mistakes, np.full(size, 9) if rested is None else rested)


def practise(coach, bars, mixing, start=NOW):
    """Play bars, taking the figures of PAIR for each other while ``mixing``; return the questions."""
    questions = []
    for bar in range(bars):
        question = coach.ask(start + 12 * bar)
        swap = dict(zip(PAIR, reversed(PAIR), strict=True)) if mixing else {}
        picks = [swap.get(figure, figure) for figure in question.asked_figures]
        coach.mark(question, picks, start + 12 * bar + 5, seconds=5.0)
        questions.append(question)
    return questions


def together(questions):
    """The share of questions that ask both figures of PAIR."""
    return sum(set(PAIR) <= set(question.asked_figures) for question in questions) / len(questions)


@pytest.fixture
def level():
    return replace(find_level("stage-4"), orchestrations=("snare",))


def test_unknown_figures_come_first():
    """Four figures that are not known are chosen before all that are."""
    chosen = best(outlook([12, 12, 0, 12, 1, 12, 2, 12, 0, 12]), 4, Random(0))
    assert set(chosen) == {2, 4, 6, 8}


def test_mixed_up_pair_comes_together():
    """Of figures that are as badly known, those taken for each other lead the bar."""
    mistakes = np.full((6, 6), 0.1)
    mistakes[1, 4] = mistakes[4, 1] = 0.9
    np.fill_diagonal(mistakes, 0)
    assert set(best(outlook([5] * 6, mistakes), 4, Random(0))[:2]) == {1, 4}


def test_just_heard_waits():
    """Of two figures as badly known, the one that has rested comes first; neither is dropped for good."""
    rested = np.array([1, 9, 9, 9, 9, 9])
    assert 0 not in best(outlook([3] * 6, rested=rested), 4, Random(0))


def test_known_figures_stay_alive():
    """A known figure that has rested for very long comes before one just heard that is barely lacking."""
    abilities, rested = [12] * 6, np.array([60, 2, 2, 2, 2, 2])
    assert 0 in best(outlook(abilities, rested=rested), 4, Random(0))


def test_at_most_two_unheard():
    """A bar holds at most two figures never heard while there are others."""
    chosen = best(outlook([0, 0, 0, 0, 12, 12, 12]), 4, Random(0), unheard=frozenset({0, 1, 2, 3}))
    assert len(set(chosen) & {0, 1, 2, 3}) == 2


def test_two_unheard_come_beside_a_mixed_up_figure():
    """Where one of the leading pair was never heard, there is room for one more that was not."""
    mistakes = np.zeros((6, 6))
    mistakes[0, 2] = mistakes[2, 0] = 1.0
    chosen = best(outlook([0, 0, 0, 12, 12, 12], mistakes), 4, Random(0), unheard=frozenset({0, 1}))
    assert set(chosen[:3]) == {0, 1, 2}


def test_small_level_repeats():
    """Two figures fill a bar of four, each twice."""
    assert Counter(best(outlook([3, 3]), 4, Random(0))) == {0: 2, 1: 2}


def test_one_place_in_ten_is_left_to_chance():
    """Chance fills a tenth of the places with figures that were met, each with the probability that is told of it."""
    abilities, met, random = [0] * 4 + [12] * 6, [0, 1, 2, 3, 7], Random(1)
    choices = [choice for _ in range(2000) for choice in choose(outlook(abilities), 4, random, met)]
    by_chance = [choice for choice in choices if choice.figure == 7]
    assert len(by_chance) / len(choices) == pytest.approx(LEFT_TO_CHANCE / len(met), abs=0.004)
    assert {choice.probability for choice in by_chance} == {LEFT_TO_CHANCE / len(met)}
    assert {choice.figure for choice in choices} == {0, 1, 2, 3, 7}


def test_probabilities_are_what_comes_about():
    """Over many draws a wanted figure comes with its probability: nine times in ten, and its share of chance."""
    alone, random = outlook([0, 12, 12, 12, 12, 12]), Random(2)
    chosen = [choose(alone, 1, random, range(6))[0] for _ in range(2000)]
    wanted = [choice for choice in chosen if choice.figure == best(alone, 1, Random(0))[0]]
    assert {round(choice.probability, 9) for choice in wanted} == {round(0.9 + 0.1 / 6, 9)}
    assert len(wanted) / len(chosen) == pytest.approx(0.9 + 0.1 / 6, abs=0.015)


def test_nothing_is_left_to_chance_before_anything_was_met():
    """Before any figure was met chance has nothing to choose from."""
    assert [choice.probability for choice in choose(outlook([3] * 6), 4, Random(0), [])] == [1.0] * 4


def test_few_figures_repeat_in_half_of_the_bars(level):
    """Of five figures or fewer at least half of the bars hold one twice, so that three known beats give none away."""
    coach = Coach(replace(level, figures=level.figures[:FEW], new=()), seed=1)
    questions = practise(coach, 60, mixing=False)
    assert np.mean([len(set(question.asked_figures)) < 4 for question in questions]) >= 0.5


def test_a_pair_that_stays_mixed_up_is_slowed_and_brought_back(level):
    """Below the level's slowest tempo with a click, then no more than six a minute quicker from bar to bar."""
    coach = Coach(level, seed=3)
    practise(coach, 15, mixing=False)
    practise(coach, 25, mixing=True, start=NOW + 1000)
    back = [q for q in practise(coach, 80, mixing=False, start=NOW + 3000) if set(PAIR) <= set(q.asked_figures)]
    tempi = [question.setting.tempo for question in back]
    assert tempi[0] == pytest.approx(SLOW * level.tempo.low, abs=0.5)
    assert back[0].setting.click
    assert max(np.diff(tempi)) <= CLIMB
    assert set(back[0].setting.contrast) == set(back[0].reason.figures) == set(PAIR)
    assert back[0].reason.words.startswith("These two, slower: ")
    assert all(not question.setting.contrast for question in back if question.setting.tempo > tempi[0])
    assert tempi[-1] >= level.tempo.low - CLIMB
    assert not practise(Coach(level, seed=3), 1, mixing=False)[0].setting.click


def test_slowing_is_worked_out_from_the_log(level):
    """A pair's way back goes on where it was after a replay."""
    coach, log = Coach(level, seed=3), []
    for turn in range(60):
        question = coach.ask(NOW + 12 * turn)
        swap = dict(zip(PAIR, reversed(PAIR), strict=True)) if turn < 30 else {}
        log += coach.mark(question, [swap.get(f, f) for f in question.asked_figures], NOW + 12 * turn + 5).answers
        if turn % 10 == 9:
            again = Coach.replay(level, log, seed=3)
            assert again.ask(NOW + 12 * turn + 6) == Coach.replay(level, log, seed=3).ask(NOW + 12 * turn + 6)
            assert again.ask(NOW + 12 * turn + 6).setting.tempo > 0


def test_mixed_pair_comes_back_and_eases_off(level):
    """Two figures mixed up come back together, with the true reason, and ease off once told apart."""
    coach = Coach(level, seed=3)
    practise(coach, 15, mixing=False)
    mixing = practise(coach, 30, mixing=True, start=NOW + 1000)
    told_apart = practise(coach, 60, mixing=False, start=NOW + 3000)[-25:]
    assert together(mixing[5:]) > 0.5
    assert any(question.reason.kind == "mixed up" and "1 & a" in str(question.reason) for question in mixing)
    assert together(told_apart) < together(mixing[5:]) / 2


def test_reason_counts_are_the_logs(level):
    """The numbers in a reason are those of the log: mix-ups among the last answers to either figure."""
    coach, log = Coach(level, seed=5), []
    random = Random(2)
    for turn in range(60):
        question = coach.ask(NOW + 12 * turn)
        if question.reason.words.startswith("These two again"):
            pair = {figure.count for figure in question.reason.figures}
            last = [row for row in log if row.heard in pair][-10:]
            mixed = [{row.heard, row.said} == pair for row in last]
            since = [row for row in last[len(mixed) - mixed[::-1].index(True) :] if row.said == row.heard]
            told = f" in {sum(mixed)} of your last {len(last)}" if len(last) > 1 else " the first time it came"
            told += f"; since then {counted(len(since), 'right answer')}." if since else "."
            assert question.reason.words.endswith(told)
        picks = [f if random.random() < 0.6 else random.choice(level.figures) for f in question.asked_figures]
        log += coach.mark(question, picks, NOW + 12 * turn + 5).answers


def test_due_figure_says_so(level):
    """After three days away the reason says when the figure was last heard."""
    coach = Coach(level, seed=1)
    practise(coach, 30, mixing=False)
    question = coach.ask(NOW + 360 + 3 * 86400)
    assert question.reason.words == "You last heard this one 3 days ago."


def test_first_hearings_are_easy():
    """A bar with a figure still new comes at the slowest tempo, in the first orchestration, with least groove."""
    level = find_level("stage-3")
    coach = Coach(level, seed=2)
    new = [question for question in practise(coach, 12, mixing=False) if set(level.new) & set(question.asked_figures)]
    first = new[0].setting
    assert (first.tempo, first.orchestration, first.groove_bars) == (
        level.tempo.low,
        level.orchestrations[0],
        min(level.groove_bars),
    )


def test_figures_spread_over_beats(level):
    """Over many bars a figure is heard on every beat, none more than twice its share."""
    places = {figure: Counter() for figure in level.figures}
    for question in practise(Coach(level, seed=4), 80, mixing=False):
        for place, figure in zip(question.asked, question.asked_figures, strict=True):
            places[figure][place] += 1
    for counts in places.values():
        assert max(counts.values()) <= counts.total() / 2
        assert len(counts) == 4


def test_every_figure_stays_in_play(level):
    """Even when all is known, no figure is missing from forty bars."""
    questions = practise(Coach(level, seed=6), 90, mixing=False)[-40:]
    assert {figure for question in questions for figure in question.asked_figures} == set(level.figures)


def test_harder_for_the_better(level):
    """Right answers raise the tempo; wrong ones lower it again."""
    level = replace(level, orchestrations=("snare", "toms"))
    coach = Coach(level, seed=8)
    practise(coach, 60, mixing=False)
    quick = np.mean([q.setting.tempo for q in practise(coach, 15, mixing=False, start=NOW + 2000)])
    practise(coach, 40, mixing=True, start=NOW + 4000)
    slow = np.mean([q.setting.tempo for q in practise(coach, 15, mixing=True, start=NOW + 6000)])
    assert slow < quick


def test_freshness_returns_within_bars():
    """Right after it was heard a figure promises half as much; two bars take most of that away, ten nearly all."""
    fresh = outlook([3] * 4, rested=np.array([1, 2, 3, 11])).freshness()
    assert fresh[0] == pytest.approx(0.5)
    assert np.all(np.diff(fresh) > 0)
    assert fresh[2] > 0.8
    assert fresh[3] > 0.99


def test_known_is_what_reaches_the_goal():
    """An ability below the goal lacks more than half, one above it less, and the lowest all."""
    assert np.array_equal(LACKING > 0.5, ABILITIES < GOAL)
    assert np.all(np.diff(LACKING) < 0)
    assert LACKING[[0, -1]] == pytest.approx([1, 0], abs=0.02)


def test_need_is_what_is_lacking_over_the_hearings_ahead():
    """Need adds up, hearing by hearing, what is still lacking, each weighing less than the one before."""
    for rate, need in zip(RATES, NEED, strict=True):
        lacking, added = LACKING, np.zeros(len(ABILITIES))
        for hearing in range(100):
            added += (1 - AHEAD) * AHEAD**hearing * lacking
            lacking = rate.lift() @ lacking
        assert need == pytest.approx(added, abs=1e-8)


def test_slow_figure_comes_before_a_quick_one():
    """Of figures that are as badly known, the one that takes most hearings to learn comes first."""
    steady = outlook([3] * 6)
    rates = np.zeros_like(steady.abilities)
    rates[RATES.index(Rate(gain=0.8)), :, 3] = 1.0
    rates[:, 4] = 0.0
    rates[RATES.index(Rate(gain=0.1)), 4, 3] = 1.0
    gains = replace(steady, abilities=rates).gains()
    assert gains.argmax() == 4
    assert gains[4] > 1.3 * gains[0]


def test_pairs_gain_by_their_mix_ups():
    """A pair promises more the more it is mixed up either way, nothing where it never is, the same in both orders."""
    mistakes = np.array([[0, 1, 0], [0.5, 0, 0.5], [0, 1, 0]])
    pairs = outlook([4, 4, 4], mistakes).pair_gains()
    assert np.array_equal(pairs, pairs.T)
    assert pairs[0, 2] == 0
    assert pairs[0, 1] == pytest.approx(pairs[1, 2])
    rarer = outlook([4, 4, 4], mistakes * [[0.5], [1], [1]]).pair_gains()
    assert rarer[0, 1] == pytest.approx(pairs[0, 1] * (0.5 + 0.5) / (1 + 0.5))


def test_known_rival_is_a_lesser_partner():
    """Of two rivals as often named, the one that is itself well known promises less beside the figure."""
    mistakes = np.array([[0, 0.5, 0.5], [0, 0, 0], [0, 0, 0]])
    pairs = outlook([4, 4, 12], mistakes).pair_gains()
    assert 0 < pairs[0, 2] < pairs[0, 1] / 5


def test_one_figure_fills_a_bar_alone():
    """A level of one figure has nothing to choose."""
    alone = Outlook(np.ones((len(RATES), 1, len(ABILITIES))) / NEED.size, np.zeros((1, 1)), np.array([1]))
    assert best(alone, 3, Random(0)) == [0, 0, 0]


@pytest.mark.parametrize(
    ("days", "words"),
    [(0.5, "12 hours ago"), (0.74, "18 hours ago"), (0.75, "a day ago"), (1.4, "a day ago"), (1.6, "2 days ago")],
)
def test_time_away_in_words(days, words):
    """Hours up to three quarters of a day, then whole days."""
    recent = RecentAnswers(2, 4)
    recent.note([Beat(0.0, 1, ((1, 1.0),), None)], [0])
    assert Reasons(OF_PAIR, recent).reason([1], [0.0, days]).words == f"You last heard this one {words}."


def test_reasons_in_their_order():
    """New, then known, then again with what went wrong; half a day is away, less is not."""
    recent = RecentAnswers(2, 4)
    reasons = Reasons(OF_PAIR, recent)
    assert str(reasons.reason([1], [0.0, 0.0])) == "1 & a: One that you have not named yet."
    recent.note([Beat(0.0, 1, ((1, 1.0),), None)], [0])
    known = reasons.reason([1], [0.0, 0.49])
    assert (known.kind, known.words) == ("known", "One that you named the first time it came.")
    recent.note([Beat(0.0, 1, ((SKIPPED, 1.0),), None)], [0])
    assert reasons.reason([1], [0.0, 0.49]).words == "This one again. You named it in 1 of your last 2."


def test_the_most_wanted_figure_gives_the_reason():
    """Where nothing was mixed up the first of the chosen figures is named."""
    reasons = Reasons(OF_PAIR, RecentAnswers(2, 4))
    assert [reasons.reason(chosen, [0.0, 0.0]).figures for chosen in ([0, 1], [1, 0])] == [PAIR[:1], PAIR[1:]]


def test_no_reason_is_given_three_times_running(level):
    """Whatever is answered, two bars with the same words about the same figures are followed by other words."""
    for share in (0.0, 0.5, 1.0):
        coach, random, told = Coach(level, seed=6), Random(3), []
        for turn in range(40):
            question = coach.ask(NOW + 12 * turn)
            told.append(question.reason)
            picks = [f if random.random() < share else random.choice(level.figures) for f in question.asked_figures]
            coach.mark(question, picks, NOW + 12 * turn + 5)
        assert all(len(set(three)) > 1 for three in zip(told, told[1:], told[2:], strict=False))


def test_worn_words_give_way():
    """Said twice, the weightiest reason gives way to the next, and where there is no other to a plain sentence."""
    recent = RecentAnswers(2, 4)
    recent.note([Beat(0.0, 1, ((1, 1.0),), None)], [0])
    reasons = Reasons(OF_PAIR, recent)
    first = reasons.reason([1, 1], [0.0, 0.0])
    plain = reasons.reason([1, 1], [0.0, 0.0], [first, first])
    assert plain.words != first.words
    assert reasons.reason([1, 1], [0.0, 0.0], [first, plain]) == first
