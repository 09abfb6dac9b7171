"""The whole comparison: every chooser with every learner, each from the same seeds."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import product

import numpy as np

from tests.bench.learning.choosers import (
    LADDERS,
    AllKnowing,
    Coached,
    FsrsDue,
    ItemAdaptive,
    Leitner,
    SuperMemo2,
    Uniform,
)
from tests.bench.learning.learners import FIRST, SIZE, Learner
from tests.bench.learning.oracle import Informed, Rollout
from tests.bench.learning.strangers import FURTHER
from tests.bench.learning.trial import Chooser, Outcome, run
from tests.bench.learning.unseen import UNSEEN

LEARNERS = {learner.name: learner for learner in (*FIRST, *FURTHER, *UNSEEN)}
FIRST_NAMES, FURTHER_NAMES, UNSEEN_NAMES = ([one.name for one in half] for half in (FIRST, FURTHER, UNSEEN))
KNOWN_SHARES = (0.4, 0.0)

MakeChooser = Callable[[np.random.Generator, Learner, int], Chooser]


def _ladder(number: int) -> MakeChooser:
    return lambda random, _learner, _seed: Leitner(random, LADDERS[number])


CHOOSERS: dict[str, MakeChooser] = {
    "uniform": lambda random, _learner, _seed: Uniform(random),
    "item-adaptive": lambda random, _learner, _seed: ItemAdaptive(random),
    "coach": lambda _random, _learner, seed: Coached(seed),
    "informed": Informed,
    "all-knowing": lambda random, learner, _seed: AllKnowing(random, learner),
    "rollout": lambda random, learner, _seed: Rollout(random, learner),
    **{f"Leitner {number + 1}": _ladder(number) for number in range(len(LADDERS))},
    "SM-2": lambda random, _learner, _seed: SuperMemo2(random),
    "FSRS due": lambda random, _learner, _seed: FsrsDue(random),
}
"""How each chooser is made from its own random source, the learner and the seed: some are shown the learner."""

USUAL = ("uniform", "item-adaptive", "coach", "all-knowing")
"""The choosers of the table; the others are there for whoever asks for them."""


@dataclass(frozen=True)
class Trial:
    """One learner, known by name and seed, who tries each bar so often, and one chooser."""

    learner: str
    known: float
    chooser: str
    tries: int
    seed: int

    def run(self) -> Outcome:
        """Play it.  The same seed gives the same learner to every chooser."""
        learner = make_learner(self.learner, self.known, self.seed)
        chooser = CHOOSERS[self.chooser](np.random.default_rng([self.seed, 3]), learner, self.seed)
        return run(learner, chooser, self.tries)


def make_learner(name: str, known: float, seed: int) -> Learner:
    """The learner of a mechanism and a seed, who knows a share of the figures from before."""
    figures = np.random.default_rng([seed, 1]).choice(SIZE, round(SIZE * known), replace=False)
    return LEARNERS[name](figures.tolist(), np.random.default_rng([seed, 2]))


Results = dict[tuple[str, float, str, int], list[Outcome]]
"""Outcomes, in the order of the seeds, by learner, share known, chooser and number of tries."""


def run_all(
    seeds: Iterable[int],
    learners: Iterable[str],
    choosers: Iterable[str],
    tries: Iterable[int] = (1, 2),
    processes: int = 1,
) -> Results:
    """Every trial; with more processes the same results sooner."""
    trials = [Trial(*parts) for parts in product(learners, KNOWN_SHARES, choosers, tries, seeds)]
    results: Results = {}
    for trial, outcome in zip(trials, _outcomes(trials, processes), strict=True):
        results.setdefault((trial.learner, trial.known, trial.chooser, trial.tries), []).append(outcome)
    return results


def _outcomes(trials: list[Trial], processes: int) -> Iterator[Outcome]:
    if processes == 1:
        yield from map(Trial.run, trials)
        return
    with ProcessPoolExecutor(processes) as pool:
        yield from pool.map(Trial.run, trials, chunksize=8)
