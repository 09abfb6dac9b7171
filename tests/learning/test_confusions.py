"""What is said to what is heard: prior, counts and fading."""

from itertools import product

import numpy as np
import pytest

from game.learning.confusions import KEPT, Confusions
from shared.counting import parse_figure
from shared.levels import find_level

FIGURES = tuple(parse_figure(count) for count in ("1 e a", "1 & a", "1"))
SAID = [1, 1, 0, 2, 1]


def by_grid(prior, counts, cells=200):
    """The posterior mean of a row of three, by adding up a grid over all that the row may be."""
    total, mean = 0.0, np.zeros(3)
    for a, b in product(range(1, cells), range(1, cells)):
        if a + b < cells:
            row = np.array([a, b, cells - a - b]) / cells
            weight = float(np.prod(row ** (prior - 1 + counts)))
            total += weight
            mean += weight * row
    return mean / total


def test_posterior_mean_by_grid():
    """Three figures: the row's posterior mean is that of a brute-force grid."""
    confusions = Confusions(FIGURES)
    counts = np.zeros(3)
    for said in SAID:
        confusions.note(0, ((said, 1.0),), 1.0)
        counts = counts * KEPT
        counts[said] += 1
    assert confusions.table()[0] == pytest.approx(by_grid(confusions.prior[0], counts), abs=5e-3)


def test_prior_expects_like_figures():
    """Before any answer a figure is taken for those that sound like it."""
    table = Confusions(FIGURES).mistakes()
    assert table[0, 1] > table[0, 2]


def test_overcome_confusion_fades():
    """A confusion that is answered right for a while counts less and less."""
    confusions = Confusions(FIGURES)
    for _ in range(5):
        confusions.note(0, ((1, 1.0),), 1.0)
    mixed = confusions.table()[0, 1]
    for _ in range(30):
        confusions.note(0, ((0, 1.0),), 1.0)
    assert confusions.table()[0, 1] < mixed / 5


def test_shares_and_strangers():
    """Shares of a class count as such; what the level does not hold counts for nobody."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 0.7), (0, 0.2), (-2, 0.1)), 1.0)
    assert confusions.counts[0] == pytest.approx([0.2, 0.7, 0.0])


def test_no_mistake_is_the_right_answer():
    """Mistakes of each shipped level are distributions over the wrong figures."""
    mistakes = Confusions(find_level("stage-8").figures).mistakes()
    assert np.diagonal(mistakes) == pytest.approx(0)
    assert mistakes.sum(axis=1) == pytest.approx(1)


def test_prior_expects_right_as_much_as_wrong():
    """Before any answer half is expected right, the other half shared out by likeness; no figure is ruled out."""
    confusions = Confusions(find_level("stage-8").figures)
    table = confusions.table()
    assert np.diagonal(table) == pytest.approx(0.5)
    assert confusions.prior.sum(axis=1) == pytest.approx(4)
    assert table.min() > 0


def test_an_answer_counts_by_its_weight():
    """An answer that is hardly trusted hardly counts, but ages what was there like any other."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 1.0),), 1.0)
    confusions.note(0, ((2, 1.0),), 0.1)
    assert confusions.counts[0] == pytest.approx([0, KEPT, 0.1])
    assert np.all(confusions.counts[1:] == 0)


def test_figures_side_by_side_are_told_apart_the_better():
    """Heard in one bar, two figures are expected to be mixed up less, and the third one more of the rest."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 1.0),), 1.0)
    before, right = confusions.mistakes(), confusions.posterior[0, 0]
    confusions.contrast(np.array([0, 1, 0]))
    after = confusions.mistakes()
    odds = [table[0, 1] / table[0, 2] for table in (before, after)]
    assert odds[1] == pytest.approx(0.85 * odds[0])
    assert after[1, 0] < before[1, 0]
    assert after[2] == pytest.approx(before[2])
    assert confusions.posterior[0, 0] == right


def test_confusions_stay_finite():
    """Two figures that were heard side by side ten thousand times can still be mixed up."""
    confusions = Confusions(FIGURES[:2])
    for _ in range(10_000):
        confusions.contrast(np.array([0, 1]))
    assert confusions.mistakes() == pytest.approx(np.array([[0.0, 1.0], [1.0, 0.0]]))
