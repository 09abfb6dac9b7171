"""What any reader of first bars could tell at best, by linear programming over simulated bars.

``python -m tests.bench.reading_bound SET TEMPO [BEATS]``, such as ``semiquavers 160``: of the bars of players of all
spreads those beats are chosen to be told that keep the limits of what is told wrongly at each spread, and lose least of
what is asked to be told.  The readers know the model and how the bars were made, but not whose bar it is: not the
spread, unless ``--known SD`` gives a clue to its logarithm.  So nobody tells more, by whatever rule.
"""

import argparse

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from audio.reading import BeatChoice, BeatRun, Hypotheses, Source, backward, forward
from shared.figures import Figure
from tests.bench.test_reading import SETS, SPREADS, limit, prototype
from tests.playing import Played, played

Floats = NDArray[np.float64]

OFFSET_SD, OFFSETS = 0.015, 31
"""How far the offset of a bar may lie off, in seconds, and how many offsets are tried."""

NOTHING_MISSED = Source(1e-5, 1e-5, 1e-3)
"""The simulated players neither miss nor add a stroke, and these readers know that."""


def weighed(bar: Played, figures: tuple[Figure, ...], beat: float) -> tuple[Floats, Floats]:
    """The log likelihood of each spread, (spreads,), and the probability of each figure at each: (beats, figures,
    spreads)."""
    far, spread = (
        axis.ravel() for axis in np.meshgrid(np.linspace(-3, 3, OFFSETS), np.array(SPREADS) / 1000, indexing="ij")
    )
    grid = Hypotheses(far * OFFSET_SD, spread, np.ones(far.size), -(far**2) / 2)
    times = np.array([stroke.seconds for stroke in bar.take])
    span = BeatRun(times, (BeatChoice(figures),) * len(bar.figures), 0, beat, NOTHING_MISSED)
    likelihood, steps = forward(span, grid, keep=True)
    each = (likelihood + grid.prior).reshape(OFFSETS, len(SPREADS))
    chance = np.exp(each - each.max(0))
    apart = np.einsum("os,st->ost", chance / chance.sum(0), np.eye(len(SPREADS)))
    found = backward(span, steps, apart.reshape(-1, len(SPREADS)))
    return each.max(0) + np.log(chance.sum(0)), np.array(found)


def simulated(name: str, tempo: float, beats: int, known: float) -> tuple[Floats, Floats]:
    """For each beat of all players' bars how much likelier it is at each spread than on average, and how likely wrong.

    Both are (beats, spreads); ``known`` is the standard deviation of a clue to the spread's logarithm, 0 for none.
    """
    rng, spreads = np.random.default_rng(5), np.log(SPREADS)
    likelier, wrong = [], []
    for spread in SPREADS:
        for _ in range(beats // 4):
            likelihood, chances = weighed(played(rng, SETS[name], tempo, 4, spread / 1000), SETS[name], 60 / tempo)
            if known:
                likelihood -= ((spreads - np.log(spread) - rng.normal(0, known)) / known) ** 2 / 2
            ratio = np.exp(likelihood - likelihood.max())
            told = (chances @ ratio).argmax(1)
            likelier += [ratio / ratio.mean()] * 4
            wrong += list(1 - chances[range(4), told])
    found = np.array(likelier)
    return found / found.mean(0), np.array(wrong)


def best(name: str, tempo: int, beats: int, known: float) -> None:
    """Print the most that can be told at each spread, and how much of it is wrong."""
    likelier, wrong = simulated(name, tempo, beats, known)
    shares = [prototype(name, tempo, spread) for spread in SPREADS]
    asked = np.array([told if bad <= 1 else told / 2 if bad < 100 else 0 for _, told, bad in shares]) / 100
    limits = np.array([limit(spread) for spread in SPREADS]) / 100
    count, slack = len(likelier), np.eye(len(SPREADS))
    # What is sought: whether each beat is told, and how far what is told at each spread falls short of what is asked.
    keeps = np.hstack([(likelier * (wrong - limits) / count).T, 0 * slack])
    tells = np.hstack([-likelier.T / count, -slack])
    gain = np.concatenate([-1e-3 * likelier.mean(1) / count, np.ones(len(SPREADS))])
    found = linprog(gain, np.vstack([keeps, tells]), np.concatenate([0 * limits, -asked]), bounds=(0, 1))
    chosen = likelier * found.x[:count, None] / count
    for spread, most, bad, want in zip(SPREADS, chosen.sum(0), (chosen * wrong).sum(0), asked, strict=True):
        share = 100 * bad / max(1e-9, most)
        print(
            f"{name}, {tempo} a minute, {spread} ms: told {100 * most:.0f} % of {100 * want:.0f}, wrong {share:.1f} %"
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.bench.reading_bound", description=__doc__)
    parser.add_argument("set", choices=SETS)
    parser.add_argument("tempo", type=int)
    parser.add_argument("beats", type=int, nargs="?", default=2000)
    parser.add_argument("--known", type=float, default=0.0)
    options = parser.parse_args()
    best(options.set, options.tempo, options.beats, options.known)
