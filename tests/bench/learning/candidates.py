"""Candidates before an exam: what was forecast, what was so, and what simpler forecasts would have said."""

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from game.learning.forecast import poisson_binomial
from tests.bench.learning.choosers import Coached
from tests.bench.learning.learners import DAY, SIZE
from tests.bench.learning.suite import make_learner
from tests.bench.learning.trial import BAR_SECONDS, time_of

Floats = NDArray[np.float64]

QUESTIONS, NEEDED = 20, 18
FIRST_SEED = 10_000
"""Learners from this seed on were never used for anything else."""

LAST_ANSWERS = 40
BINS = 10


@dataclass(frozen=True)
class Candidate:
    """One candidate: whether the exam was passed, and the forecasts of passing."""

    passed: bool
    coach: float
    plug_in: float
    last_answers: float
    truth: float
    within: bool


def candidate(learner_name: str, seed: int) -> Candidate:
    """Practise for a while with the coach, then sit an exam of every figure once, on another day or the same."""
    random = np.random.default_rng([seed, 4])
    learner = make_learner(learner_name, float(random.choice([0.0, 0.4, 0.7])), seed)
    chooser, answers = Coached(seed), []
    practice = int(random.integers(15, 160))
    for turn in range(practice):
        bar = chooser.choose(time_of(turn))
        said, seconds = learner.answer(bar, time_of(turn))
        learner.hear(bar, time_of(turn))
        chooser.learn(bar, said, seconds, time_of(turn) + BAR_SECONDS / 2)
        answers += [heard == answer for heard, answer in zip(bar, said, strict=True)]
    now = time_of(practice - 1) + float(random.choice([600.0, DAY, 3 * DAY]))
    right = learner.table(now).diagonal()
    mark = int((random.random(SIZE) < right).sum())
    forecast = chooser.coach.forecast(QUESTIONS, NEEDED / QUESTIONS, now)
    lately = np.mean(answers[-LAST_ANSWERS:])
    return Candidate(
        passed=mark >= NEEDED,
        coach=forecast.probability,
        plug_in=_passes(chooser.coach.recall(now)),
        last_answers=_passes(np.full(QUESTIONS, lately)),
        truth=_passes(right),
        within=forecast.low <= mark / QUESTIONS <= forecast.high,
    )


def _passes(chances: Floats) -> float:
    return float(poisson_binomial(np.asarray(chances))[NEEDED:].sum())


def candidates(learners: list[str], each: int, processes: int = 1) -> list[Candidate]:
    """So many candidates of each kind of learner."""
    names = [name for name in learners for _ in range(each)]
    seeds = [FIRST_SEED + number for _ in learners for number in range(each)]
    if processes == 1:
        return list(map(candidate, names, seeds))
    with ProcessPoolExecutor(processes) as pool:
        return list(pool.map(candidate, names, seeds, chunksize=8))


def brier(forecasts: Floats, passed: Floats) -> float:
    """The mean squared error of probabilities (Brier 1950): 0 is best."""
    return float(np.mean((forecasts - passed) ** 2))


def calibration(forecasts: Floats, passed: Floats) -> list[tuple[float, float, int]]:
    """Mean forecast, share passed and number of candidates in each of ten bins that holds any."""
    bins = np.minimum((forecasts * BINS).astype(int), BINS - 1)
    filled = [bins == number for number in range(BINS) if (bins == number).any()]
    return [(float(forecasts[held].mean()), float(passed[held].mean()), int(held.sum())) for held in filled]


def calibration_error(forecasts: Floats, passed: Floats) -> float:
    """The expected calibration error: the mean distance of forecast and outcome, weighted by the bins' numbers."""
    return sum(abs(said - came) * number for said, came, number in calibration(forecasts, passed)) / len(forecasts)


def wilson(right: int, asked: int, z: float = 1.959964) -> tuple[float, float]:
    """Wilson's 95 % interval of a share (E. B. Wilson 1927)."""
    share, squared = right / asked, z * z
    middle = (share + squared / (2 * asked)) / (1 + squared / asked)
    half = z / (1 + squared / asked) * np.sqrt(share * (1 - share) / asked + squared / (4 * asked * asked))
    return max(0.0, float(middle - half)), min(1.0, float(middle + half))


FORECASTS: dict[str, Callable[[Candidate], float]] = {
    "coach": lambda one: one.coach,
    "plug-in": lambda one: one.plug_in,
    "last 40 answers": lambda one: one.last_answers,
    "all-knowing": lambda one: one.truth,
}


def lines(title: str, people: list[Candidate]) -> list[str]:
    """The table of a group of candidates."""
    passed = np.array([one.passed for one in people], dtype=float)
    rows = [f"{title}: {len(people)} candidates, {passed.mean():.0%} passed ({NEEDED} of {QUESTIONS} needed)"]
    for name, forecast in FORECASTS.items():
        said = np.array([forecast(one) for one in people])
        error = calibration_error(said, passed)
        rows.append(f"  {name:16} Brier {brier(said, passed):.4f}   calibration error {error:.3f}")
    rows.append(f"  {'base rate':16} Brier {brier(np.full(len(people), passed.mean()), passed):.4f}")
    held = sum(one.within for one in people)
    low, high = wilson(held, len(people))
    rows.append(f"  the coach's 90 % interval held the mark of {held / len(people):.0%} ({low:.0%}-{high:.0%})")
    return rows
