"""Forecasts the mark of an exam, its interval and the chance of a pass, corrected by how earlier predictions came out.

Before each answer the coach predicts P(right), and keeps that beside what came of it.  A logistic regression of the
outcomes on the predictions (recalibration as in J. Platt 1999; on predictions made beforehand: A. P. Dawid's
prequential principle, 1984) finds by how much the coach is too hopeful or too gloomy about this player, what tempo
and hearings add, and how much one day differs from another (a random effect of the sitting).  From draws of all that is
uncertain the distribution of the mark is summed exactly (Poisson binomial).
"""

from collections import deque
from dataclasses import dataclass
from math import log2
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import Beat
from game.learning.memory import BREAK_SECONDS
from game.learning.question import CoachError

Floats = NDArray[np.float64]

INTERVAL = 0.90
"""The probability with which the interval is to hold the mark."""

KEPT, MOST_ANSWERS = 0.998, 800
"""The factor by which one more answer fades the older predictions, and how many are kept at all."""

PRIOR_MEANS = np.array([0.0, 1.0, 0.0, 0.0])
PRIOR_SPREADS = np.array([0.45, 0.25, 0.4, 0.2])
"""The prior of the regression's coefficients: the intercept, the slope on the predicted log-odds (1: the coach is right
as it is), the effect of tempo from slowest to quickest, and that of twice as many hearings."""

DAY_SPREADS, DAY_WEIGHTS = np.array([0.05, 0.2, 0.5, 1.0]), np.array([0.42, 0.35, 0.17, 0.06])
"""The hypotheses for how much days differ (standard deviation in log-odds), and the prior of each."""

UNSEEN_NIGHT = 0.5
"""The standard deviation, in log-odds, of what a night does to a player of whom one sitting alone was seen: some forget
most of it, others wake up better.  A second sitting tells which."""

MOST_SITTINGS = 10
"""The last sittings that have an effect of their own; older ones share one, which keeps the matrices small."""

NEWTON_STEPS, CONVERGED = 8, 1e-4
"""Newton's method doubles the digits with each step: it ends once a step moves no coefficient by more than this."""


@dataclass(frozen=True)
class Forecast:
    """The forecast of an exam.

    ``probability`` of reaching the pass mark; ``low`` and ``high`` bound the mark (a share from 0 to 1)
    with 90 % probability; ``expected`` is its mean; ``by_chance`` the probability that somebody who only
    guesses would pass.
    """

    probability: float
    low: float
    high: float
    expected: float
    by_chance: float


class Prediction(NamedTuple):
    """A prediction for a beat (``said``, in log-odds), its outcome (``came``, 0 wrong to 1 right), and its features."""

    said: float
    came: float
    quick: float
    hearings: float
    sitting: int


class TrackRecord:
    """The coach's predictions of this player's answers, and how far they are to be set right."""

    def __init__(self) -> None:
        self.predictions: deque[Prediction] = deque(maxlen=MOST_ANSWERS)
        self._sitting, self._last = 0, -np.inf

    def note(self, bar: list[Beat], chances: list[float]) -> None:
        """Take in an answered bar, of which each beat was expected right with such a chance."""
        if bar[0].at - self._last >= BREAK_SECONDS:
            self._sitting += 1
        self._last = bar[0].at
        for beat, chance in zip(bar, chances, strict=True):
            heard = log2(max(1, beat.hearings + beat.alone)) - 1
            said = float(np.log(chance / (1 - chance)))
            self.predictions.append(Prediction(said, beat.right, beat.quick, heard, self._sitting))

    def set_right(self, odds: Floats, hearings: int, now: float, random: np.random.Generator) -> Floats:
        """Draws of log-odds (draws, K), set right as an exam of so many ``hearings`` at ``now`` would bear them out."""
        fits = self._fits()
        likely = np.log(DAY_WEIGHTS) + np.array([fit.evidence for fit in fits])
        likely = np.exp(likely - likely.max())
        # Today's form is known from today's answers; another day's has to be drawn.
        today = now - self._last < BREAK_SECONDS
        which = random.choice(len(fits), len(odds), p=likely / likely.sum())
        night = UNSEEN_NIGHT * (self._sitting == 1)
        set_right = np.empty_like(odds)
        for number, (fit, spread) in enumerate(zip(fits, DAY_SPREADS, strict=True)):
            ours = which == number
            drawn = fit.draws(int(ours.sum()), random)
            if today and self.predictions:
                day = drawn[:, -1]
            else:
                day = np.hypot(spread, night) * random.standard_normal(len(drawn))
            shift = drawn[:, 0] + drawn[:, 3] * (log2(hearings) - 1) + day
            set_right[ours] = shift[:, None] + drawn[:, 1, None] * odds[ours]
        return set_right

    def _fits(self) -> "list[_Fit]":
        """The posteriors of the coefficients, one for each of ``DAY_SPREADS``: normal around their peaks (Laplace)."""
        table = np.array(self.predictions or np.empty((0, 5)), dtype=np.float64)
        said, came, quick, hearings, sitting = table.T
        first = self._sitting - MOST_SITTINGS + 1
        sittings = np.arange(max(1, first), self._sitting + 1)
        ones = np.ones_like(said)
        features = np.column_stack([ones, said, quick, hearings, np.maximum(sitting, first)[:, None] == sittings])
        means = np.concatenate([PRIOR_MEANS, np.zeros(len(sittings))])
        weights = KEPT ** np.arange(len(said) - 1, -1, -1, dtype=np.float64)
        fits: list[_Fit] = []
        for day_spread in DAY_SPREADS:
            spreads = np.concatenate([PRIOR_SPREADS, np.full(len(sittings), day_spread)])
            # From the peak before, which lies near: two or three steps are then enough.
            start = fits[-1].mean if fits else means
            fits.append(_fitted(features, came, weights, means, spreads, start))
        return fits


@dataclass(frozen=True)
class _Fit:
    """A normal curve over the coefficients (n,), and the log-evidence of the answers."""

    mean: Floats
    root: Floats
    evidence: float

    def draws(self, count: int, random: np.random.Generator) -> Floats:
        """Coefficients (count, n)."""
        return np.asarray(self.mean + random.standard_normal((count, len(self.mean))) @ self.root)


def _fitted(features: Floats, came: Floats, weights: Floats, means: Floats, spreads: Floats, start: Floats) -> _Fit:
    """Logistic regression with a normal prior, by Newton's method."""
    precision, at = spreads**-2, start
    for _ in range(NEWTON_STEPS):
        chance = 1 / (1 + np.exp(-(features @ at)))
        slope = features.T @ (weights * (came - chance)) - precision * (at - means)
        curve = (features * (weights * chance * (1 - chance))[:, None]).T @ features + np.diag(precision)
        step = np.linalg.solve(curve, slope)
        at = at + step
        if np.abs(step).max() < CONVERGED:
            break
    odds = features @ at
    fit = float(weights @ (came * odds - np.logaddexp(0, odds)))
    # The Laplace approximation of the log marginal likelihood; terms that all hypotheses share are left out.
    evidence = fit - 0.5 * float(precision @ (at - means) ** 2) + float(np.log(precision).sum()) / 2
    return _Fit(at, np.linalg.cholesky(np.linalg.inv(curve)).T, evidence - 0.5 * float(np.linalg.slogdet(curve)[1]))


def poisson_binomial(chances: Floats) -> Floats:
    """The distribution of the number of successes among independent trials, by convolution.

    ``chances`` has shape (..., trials), each from 0 to 1; the result (..., trials + 1) sums to 1 along
    its last axis.
    """
    trials = chances.shape[-1]
    totals = np.zeros((*chances.shape[:-1], trials + 1))
    totals[..., 0] = 1.0
    for trial in range(trials):
        chance = chances[..., trial, None]
        so_far = totals[..., : trial + 2]
        one_more = so_far[..., :-1] * chance
        so_far *= 1 - chance
        so_far[..., 1:] += one_more
    return totals


def forecast_from(draws: Floats, pass_mark: float, guess: float) -> Forecast:
    """The forecast for an exam of which each row of ``draws`` (draws, questions) is one possible truth.

    ``pass_mark`` is a share from 0 to 1; ``guess`` the chance of a right guess.
    """
    questions = draws.shape[1]
    totals = poisson_binomial(draws).mean(axis=0)
    needed = _needed(questions, pass_mark)
    chance = poisson_binomial(np.full(questions, guess))
    below = np.cumsum(totals)
    tail = (1 - INTERVAL) / 2
    return Forecast(
        probability=_share(totals[needed:].sum()),
        low=float(np.searchsorted(below, tail)) / questions,
        high=min(1.0, float(np.searchsorted(below, 1 - tail)) / questions),
        expected=_share(totals @ np.arange(questions + 1) / questions),
        by_chance=_share(chance[needed:].sum()),
    )


def check_exam(questions: int, pass_mark: float) -> None:
    """Raise ``CoachError`` for an exam that cannot be held."""
    if isinstance(questions, bool) or not isinstance(questions, int) or not 1 <= questions <= 1000:
        raise CoachError(f"questions: found {questions!r}; give a whole number from 1 to 1000")
    if not 0 <= pass_mark <= 1:
        raise CoachError(f"pass_mark: found {pass_mark!r}; give a share from 0 to 1, such as 0.75")


def _needed(questions: int, pass_mark: float) -> int:
    """The fewest right answers that reach the pass mark; a hair of rounding is forgiven."""
    return int(np.ceil(questions * pass_mark - 1e-9))


def _share(value: float) -> float:
    return float(np.clip(value, 0.0, 1.0))
