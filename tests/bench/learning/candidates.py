"""Candidates before an exam: what was forecast, what was so, and what it would be to know each chance."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from random import Random

import numpy as np

from game.learning.forecast import poisson_binomial
from game.sessions.exam.outlook import verdict
from tests.bench.learning.choosers import Coached
from tests.bench.learning.learners import DAY, SIZE, Floats, Learner
from tests.bench.learning.suite import make_learner
from tests.bench.learning.trial import BAR_SECONDS, exam_setting, playing, time_of

QUESTIONS, PASS_MARK, HEARINGS = 40, 0.7, 2
NEEDED = 28
FIRST_SEED = 10_000
"""Learners from this seed on were never used for anything else."""

BINS = 10
SHARES = (0.5, 0.65, 0.75, 0.85, 0.95)


class Constant(Learner):
    """A player who stands still: right so often on every figure, or on some more and on others less."""

    name = "constant"
    scatter_of_figures = 0.0

    def __init__(self, share: float, random: np.random.Generator) -> None:
        super().__init__([], random)
        odds = np.log(share / (1 - share)) + self.scatter_of_figures * random.standard_normal(SIZE)
        self.right = 1 / (1 + np.exp(-odds))

    def table(self, now: float) -> Floats:  # noqa: ARG002
        return np.asarray(self.right[:, None] * np.eye(SIZE) + (1 - self.right)[:, None] * self.guesses)

    def hear(self, bar: Sequence[int], now: float) -> None:
        """Nothing is learned."""


class Uneven(Constant):
    """The same, figures unlike one another."""

    name = "uneven"
    scatter_of_figures = 0.8


STANDSTILLS = {kind.name: kind for kind in (Constant, Uneven)}


@dataclass(frozen=True)
class Candidate:
    """One candidate: the mark, what the coach forecast, and what knowing every chance would have.

    ``truth``: the chance to pass; ``wide`` and ``truly_wide``: the widths of the 90 % intervals; ``word``: the
    verdict that the exam page would give before the exam.
    """

    kind: str
    mark: float
    forecast: float
    expected: float
    truth: float
    true_mark: float
    within: bool
    wide: float
    truly_wide: float
    word: str

    @property
    def passed(self) -> bool:
        """Whether the pass mark was reached."""
        return self.mark >= PASS_MARK - 1e-9


def candidate(name: str, seed: int) -> Candidate:
    """Practise with the coach, then sit an exam at the level's own tempi and ways, the same day or later."""
    random = np.random.default_rng([seed, 4])
    practice = int(random.integers(15, 160))
    if name in STANDSTILLS:
        share = SHARES[seed % len(SHARES)]
        learner: Learner = STANDSTILLS[name](share, np.random.default_rng([seed, 2]))
        practice = 75
    else:
        learner = make_learner(name, float(random.choice([0.0, 0.4, 0.7])), seed)
    chooser = Coached(seed)
    for turn in range(practice):
        bar, setting = chooser.choose(time_of(turn))
        given = learner.practise(bar, time_of(turn), playing(setting))
        chooser.learn(bar, given, time_of(turn) + BAR_SECONDS / 2)
    now = time_of(practice - 1) + float(random.choice([600.0, DAY, 3 * DAY]))
    forecast = chooser.coach.forecast(QUESTIONS, PASS_MARK, now)
    chances = _chances(learner, now, random)
    marks = poisson_binomial(chances)
    low, high = np.searchsorted(np.cumsum(marks), [0.05, 0.95]) / QUESTIONS
    mark = int((random.random(QUESTIONS) < chances).sum()) / QUESTIONS
    return Candidate(
        kind=name,
        mark=mark,
        forecast=forecast.probability,
        expected=forecast.expected,
        truth=float(marks[NEEDED:].sum()),
        true_mark=float(chances.mean()),
        within=forecast.low - 1e-9 <= mark <= forecast.high + 1e-9,
        wide=forecast.high - forecast.low,
        truly_wide=float(high - low),
        word=verdict(forecast, 4 * practice),
    )


def _chances(learner: Learner, now: float, random: np.random.Generator) -> Floats:
    """P(right) at each question of a paper that asks every figure twice, as the exam plays it."""
    settings = Random(int(random.integers(2**31)))
    figures = random.permutation(np.arange(QUESTIONS) % SIZE)
    rows = []
    for bar in figures.reshape(-1, 4):
        heard = learner.rows(bar.tolist(), now, playing(exam_setting(settings)), HEARINGS)
        rows.append(heard[np.arange(4), bar])
    return np.concatenate(rows)


def candidates(kinds: Sequence[str], each: int, processes: int = 1) -> list[Candidate]:
    """So many candidates of each kind of learner."""
    names = [name for name in kinds for _ in range(each)]
    seeds = [FIRST_SEED + number for _ in kinds for number in range(each)]
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


def lines(title: str, people: list[Candidate]) -> Iterator[str]:
    """The table of a group: a line for each kind, one for all, and what each verdict turned out to mean."""
    yield f"{title}: {len(people)} candidates, {NEEDED} of {QUESTIONS} to pass"
    yield f"{'':14} passed  mark too high by  off by  Brier (knowing it)  90 % interval held, width against knowing"
    for kind in dict.fromkeys(one.kind for one in people):
        yield _line(kind, [one for one in people if one.kind == kind])
    yield _line("all", people)
    for word in sorted({one.word for one in people}):
        told = [one.passed for one in people if one.word == word]
        yield f"  told {word!r}: {len(told)}, of whom {np.mean(told):.0%} passed"
    sure, lost = [one for one in people if one.truth > 0.95], [one for one in people if one.truth < 0.2]
    yield f"  of {len(sure)} whose true chance is over .95, {_told(sure, 'Ready'):.0%} were told 'Ready'"
    yield f"  of {len(lost)} whose true chance is under .2, {_told(lost, 'Not'):.0%} were told 'Not ready yet'"


def _told(people: list[Candidate], word: str) -> float:
    """The share of people whose verdict begins so."""
    return float(np.mean([one.word.startswith(word) for one in people])) if people else 0.0


def _line(name: str, people: list[Candidate]) -> str:
    passed = np.array([one.passed for one in people], dtype=float)
    said, truth = (np.array(column) for column in zip(*((one.forecast, one.truth) for one in people), strict=True))
    off = np.array([one.expected - one.true_mark for one in people])
    held, width = np.mean([one.within for one in people]), np.mean([one.wide for one in people])
    ratio = width / np.mean([one.truly_wide for one in people])
    return (
        f"{name:14} {passed.mean():6.0%} {off.mean():17.3f} {np.abs(off).mean():7.3f}  {brier(said, passed):.4f} "
        f"({brier(truth, passed):.4f})  {held:.1%}, {ratio:.2f}"
    )
