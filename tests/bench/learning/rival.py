"""``python -m tests.bench.learning.rival``: tunes the item-adaptive rival, one number at a time, so that it is fair.

On the learners that the coach is developed on, with a second try, and on seeds that the table never uses.
"""

from concurrent.futures import ProcessPoolExecutor
from itertools import product

import numpy as np

from tests.bench.learning.choosers import ItemAdaptive
from tests.bench.learning.suite import FIRST_NAMES, FURTHER_NAMES, KNOWN_SHARES, make_learner
from tests.bench.learning.trial import run

Numbers = dict[str, float]

SEEDS = range(1000, 1012)
TRIED: dict[str, tuple[float, ...]] = {
    "kept": (0.6, 0.7, 0.75, 0.8, 0.87),
    "late": (0.0, 0.1, 0.2, 0.35),
    "mended": (0.0, 0.2, 0.4),
    "rest": (2.0, 4.0, 8.0, 14.0),
    "alive": (0.0, 0.02, 0.06, 0.12),
    "prior_wrong": (0.3, 0.7, 1.2),
    "prior_right": (0.25, 0.5, 1.0),
}


def bars(numbers: Numbers, name: str, known: float) -> float:
    """Mean bars that the rival with these numbers needs."""
    counts = []
    for seed in SEEDS:
        chooser = ItemAdaptive(np.random.default_rng([seed, 3]))
        vars(chooser).update(numbers)
        counts.append(run(make_learner(name, known, seed), chooser, tries=2).bars)
    return float(np.mean(counts))


def score(numbers: Numbers, pool: ProcessPoolExecutor) -> float:
    """The geometric mean of mean bars over the learners: less is better."""
    names, shares = zip(*product((*FIRST_NAMES, *FURTHER_NAMES), KNOWN_SHARES), strict=True)
    return float(np.exp(np.mean(np.log(list(pool.map(bars, [numbers] * len(names), names, shares))))))


def main() -> None:
    """Go round the numbers twice, keeping what helps."""
    best: Numbers = {name: getattr(ItemAdaptive, name) for name in TRIED}
    with ProcessPoolExecutor(2) as pool:
        least = score(best, pool)
        for name, values in [*TRIED.items(), *TRIED.items()]:
            for value in values:
                if value != best[name] and (bars_now := score({**best, name: value}, pool)) < least:
                    best, least = {**best, name: value}, bars_now
            print(f"{least:.1f} bars with {best}", flush=True)


if __name__ == "__main__":
    main()
