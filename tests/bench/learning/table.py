"""Tables of the comparison: mean bars, speed-ups with bootstrap intervals, and what was known when."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tests.bench.learning.suite import KNOWN_SHARES, Results
from tests.bench.learning.trial import LOOKS, Outcome

Floats = NDArray[np.float64]

RESAMPLES = 2000


def bars(outcomes: list[Outcome]) -> Floats:
    """Bars until every figure was known, one for each seed."""
    return np.array([outcome.bars for outcome in outcomes], dtype=float)


def speed_up(slow: list[Floats], fast: list[Floats]) -> tuple[float, float, float]:
    """The geometric mean over learners of the ratio of mean bars, with its 95 % bootstrap interval over seeds.

    One array of bars (seeds,) for each learner; a resampled seed is taken with both choosers.
    """
    random = np.random.default_rng(0)
    seeds = len(slow[0])
    picks = np.vstack([np.arange(seeds), random.integers(seeds, size=(RESAMPLES, seeds))])
    ratios = [old[picks].mean(axis=1) / new[picks].mean(axis=1) for old, new in zip(slow, fast, strict=True)]
    ratios = np.exp(np.mean(np.log(ratios), axis=0))
    low, high = np.quantile(ratios[1:], [0.025, 0.975])
    return float(ratios[0]), float(low), float(high)


def best_ladder(results: Results, learners: list[str], known: float) -> str:
    """The Leitner ladder with the lowest geometric mean of mean bars."""
    ladders = sorted({chooser for _, _, chooser in results if chooser.startswith("Leitner")})
    return min(ladders, key=lambda chooser: sum(np.log(bars(results[x, known, chooser]).mean()) for x in learners))


def lines(results: Results, tuned: list[str], unseen: list[str]) -> Iterator[str]:
    """The tables, a line at a time."""
    choosers = list(dict.fromkeys(chooser for _, _, chooser in results))
    for known in KNOWN_SHARES:
        yield f"\nPlayers who know {known:.0%}.  Bars until every figure is at 90 % an hour later: mean (median, sd)"
        yield from _bars_table(results, [*tuned, *unseen], known, choosers)
        yield "\nSpeed-up of the coach (95 % interval), and over each learner"
        yield from _speed_ups(results, tuned, unseen, known)
        yield f"\nOver {', '.join(tuned)}: accuracy after {LOOKS} bars, worst figure after {LOOKS[-1]}, accuracy after"
        yield "7 days' rest, share of bars (until all is known, 120 at most) with one of the five worst pairs"
        yield from (_means(results, tuned, known, chooser) for chooser in choosers)


def _bars_table(results: Results, learners: list[str], known: float, choosers: list[str]) -> Iterator[str]:
    yield f"{'':16}" + "".join(f"{name:>20}" for name in learners)
    for chooser in choosers:
        cells = (bars(results[name, known, chooser]) for name in learners)
        yield f"{chooser:16}" + "".join(f"{x.mean():8.1f} ({np.median(x):4.0f},{x.std():4.0f})" for x in cells)


def _speed_ups(results: Results, tuned: list[str], unseen: list[str], known: float) -> Iterator[str]:
    rivals = ["uniform", best_ladder(results, tuned, known), "SM-2", "FSRS due", "item-adaptive"]
    for slow, fast in [(rival, "coach") for rival in rivals] + [
        ("uniform", "coach untimed"),
        ("uniform", best_ladder(results, tuned, known)),
        ("uniform", "all-knowing"),
    ]:
        value, low, high = _ratio(results, tuned, known, slow, fast)
        each = "  ".join(f"{name} {_ratio(results, [name], known, slow, fast)[0]:.2f}" for name in [*tuned, *unseen])
        yield f"{fast + ' over ' + slow:32} {value:.2f} ({low:.2f}-{high:.2f})   {each}"


def _ratio(results: Results, learners: list[str], known: float, slow: str, fast: str) -> tuple[float, float, float]:
    return speed_up(
        [bars(results[name, known, slow]) for name in learners], [bars(results[name, known, fast]) for name in learners]
    )


def _means(results: Results, learners: list[str], known: float, chooser: str) -> str:
    outcomes = [outcome for name in learners for outcome in results[name, known, chooser]]
    accuracy = " ".join(f"{np.mean([outcome.accuracy[look] for outcome in outcomes]):.3f}" for look in LOOKS)
    worst, rested, pairs = np.mean([(outcome.worst, outcome.rested, outcome.contrasts) for outcome in outcomes], axis=0)
    return f"{chooser:16} {accuracy}   worst {worst:.3f}   rested {rested:.3f}   pairs {pairs:.2f}"
