"""Tables of the comparison: mean bars, and speed-ups with paired bootstrap intervals."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from tests.bench.learning.suite import KNOWN_SHARES, Results
from tests.bench.learning.trial import EARLY, Outcome

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


def lines(results: Results, halves: dict[str, Sequence[str]]) -> Iterator[str]:
    """The tables, a line at a time, for each half of the learners and each number of tries."""
    for tries in sorted({tries for *_, tries in results}):
        for known in KNOWN_SHARES:
            yield f"\n## Players who know {known:.0%}, {'a second try' if tries > 1 else 'one try'}"
            names = list(dict.fromkeys(name for half in halves.values() for name in half))
            yield from _learner_lines(results, names, known, tries)
            for half, learners in halves.items():
                yield from _half_lines(results, half, learners, known, tries)


def _learner_lines(results: Results, learners: Sequence[str], known: float, tries: int) -> Iterator[str]:
    choosers = list(dict.fromkeys(chooser for _, _, chooser, _ in results))
    yield (
        f"{'mean bars':14}"
        + "".join(f"{name:>14}" for name in choosers)
        + "   over uniform        over item-adaptive   right by tens of bars"
    )
    for name in learners:
        each = "".join(f"{bars(results[name, known, chooser, tries]).mean():14.1f}" for chooser in choosers)
        over = "  ".join(_over(results, [name], known, rival, tries) for rival in ("uniform", "item-adaptive"))
        yield f"{name:14}{each}   {over}   {_tens(results[name, known, 'coach', tries]) if 'coach' in choosers else ''}"


def _half_lines(results: Results, half: str, learners: Sequence[str], known: float, tries: int) -> Iterator[str]:
    for fast in dict.fromkeys(chooser for _, _, chooser, _ in results):
        over = "  ".join(_over(results, learners, known, rival, tries, fast) for rival in ("uniform", "item-adaptive"))
        outcomes = [outcome for name in learners for outcome in results[name, known, fast, tries]]
        knows, pairs = np.mean([(outcome.known, outcome.contrasts) for outcome in outcomes], axis=0)
        more = f"right by tens of bars {_tens(outcomes)}   known after {EARLY} {knows:.3f}   worst pairs {pairs:.2f}"
        yield f"{half + ': ' + fast:28} {over}   {more}"


def _tens(outcomes: list[Outcome]) -> str:
    """The share of right answers in each ten of the first forty bars."""
    early = np.mean([outcome.early for outcome in outcomes], axis=0).reshape(4, -1).mean(axis=1)
    return " ".join(f"{share:.2f}" for share in early)


def _over(results: Results, learners: Sequence[str], known: float, slow: str, tries: int, fast: str = "coach") -> str:
    value, low, high = speed_up(
        [bars(results[name, known, slow, tries]) for name in learners],
        [bars(results[name, known, fast, tries]) for name in learners],
    )
    return f"{value:.2f} ({low:.2f}-{high:.2f})"
