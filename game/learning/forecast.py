"""What mark an exam would bring: an exact sum over questions, mixed over what is not known for sure."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from game.learning.question import CoachError

Floats = NDArray[np.float64]

INTERVAL = 0.90
"""The probability that the interval of the mark holds."""

BRIGHTER, UNSURE = 0.15, 0.3
"""Log-odds by which players do better than their curves say, and by which one player differs from another in that.

Found on simulated players, none of which is used to check the forecasts.
"""


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
        totals[..., 1:] = totals[..., 1:] * (1 - chance) + totals[..., :-1] * chance
        totals[..., 0] *= 1 - chance[..., 0]
    return totals


def recalibrated(draws: Floats, random: np.random.Generator) -> Floats:
    """Draws of P(right) (draws, figures), above 0 and below 1, with what the curves themselves may miss of a player."""
    odds = np.log(draws / (1 - draws)) + BRIGHTER + UNSURE * random.standard_normal((len(draws), 1))
    return np.asarray(1 / (1 + np.exp(-odds)))


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
