"""How quick the coach is, at thirty figures and on a long log.  Run with ``python -m tests.bench``.

Processor time, so that a busy machine does not blur it."""

from dataclasses import replace
from random import Random
from time import process_time

import pytest

from game.learning import Answer
from game.learning.coach import Coach
from shared.bars import Bar
from shared.levels import find_level, vocabulary
from tests.bench.page import hold

NOW = 1_700_000_000.0
pytestmark = pytest.mark.benchmark(timer=process_time)
FIGURES = tuple(figure for figure in vocabulary().figures if not figure.compound)[:30]
LEVEL = replace(find_level("stage-4"), figures=FIGURES, new=())


@pytest.fixture
def coach(request):
    """A coach who has heard sixty bars."""
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("a measurement; run it with python -m tests.bench")
    coach = Coach(LEVEL, seed=1)
    for turn in range(60):
        question = coach.ask(NOW + turn)
        coach.mark(question, question.asked_figures, NOW + turn, seconds=3.0)
    return coach


def test_ask_is_quick(benchmark, coach):
    """A question of thirty figures is ready in 5 ms (median)."""
    assert len(FIGURES) == 30
    benchmark(coach.ask, NOW + 100)
    hold("choosing a question of thirty figures", benchmark.stats.stats.median * 1e3, 5.0, "ms")


def test_mark_is_quick(benchmark, coach):
    """An answered bar is marked and learned from in 2 ms (median)."""
    question = coach.ask(NOW + 100)
    benchmark(coach.mark, question, question.asked_figures, NOW + 100, seconds=3.0)
    hold("marking a bar and learning from it", benchmark.stats.stats.median * 1e3, 2.0, "ms")


def test_long_log_replays_quickly(benchmark, coach):
    """A log of 100,000 answers is lived through in 1 s (the best of three)."""
    log = long_log(100_000)
    replayed = benchmark.pedantic(Coach.replay, (coach.level, log), rounds=3)
    assert replayed.recall(log[-1].at).min() > 0.5
    hold("replaying 100,000 answers", benchmark.stats.stats.min, 1.0, "s")


def test_a_replay_in_pieces_leaves_each_frame_its_time(coach):
    """The longest piece of living through 10,000 answers, and a forecast, take less than 10 ms (the best of three)."""
    log, longest, forecasts = long_log(10_000), [], []
    for _ in range(3):
        replayed = Coach(coach.level)
        work = replayed.living_through([log[start : start + 800] for start in range(0, len(log), 800)])
        times, going = [], True
        while going:
            began = process_time()
            going = next(work, "over") is None
            times.append(process_time() - began)
        longest.append(max(times))
        began = process_time()
        replayed.forecast(40, 0.7, log[-1].at)
        forecasts.append(process_time() - began)
    hold("the longest piece of a replay", min(longest) * 1e3, 10.0, "ms")
    hold("a forecast", min(forecasts) * 1e3, 10.0, "ms")


def long_log(rows):
    """Answers of years: forty bars a day, five in six right."""
    random, log, at = Random(1), [], NOW - 86400 * 365 * 3
    for number in range(rows // 4):
        at += 12 if number % 40 else 80_000
        bar = Bar(LEVEL.meter, tuple(random.choices(FIGURES, k=4)))
        for beat, figure in enumerate(bar.figures):
            said = figure if random.random() < 5 / 6 else random.choice(FIGURES)
            seconds = random.uniform(1, 3)
            log.append(Answer(at, LEVEL.name, "4/4", bar.count, beat, figure.count, said.count, seconds, "snare", 80.0))
    return log
