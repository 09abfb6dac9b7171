"""What is said to what is heard: prior, counts, mirror images and fading."""

import numpy as np
import pytest

from game.learning.confusions import CONTRASTED, KEPT, MIRRORED, PRIOR_WRONG, Confusions
from shared.counting import parse_figure
from shared.levels import find_level
from shared.likeness import likeness

FIGURES = tuple(parse_figure(count) for count in ("1 e a", "1 & a", "1"))
MANY = find_level("stage-8").figures


def test_mistakes_are_dirichlet_means():
    """The mean of a Dirichlet row (its weights over their sum), with each answer fading the older ones."""
    confusions = Confusions(FIGURES)
    counts = np.zeros(3)
    for said in (1, 1, 0, 2, 1):
        confusions.note(0, ((said, 1.0),), 1.0)
        counts *= KEPT
        counts[said] += 1
    weights = confusions.prior[0] + counts * [0, 1, 1]
    assert confusions.mistakes()[0] == pytest.approx(weights / weights.sum())


def test_prior_expects_like_figures():
    """Before any answer a figure is taken for those that sound like it."""
    table = Confusions(FIGURES).mistakes()
    assert table[0, 1] > table[0, 2]


def test_prior_is_worth_so_many_mistakes():
    """Before any answer each row is worth as many mistakes; no figure is ruled out but the right one."""
    prior = Confusions(MANY).prior
    assert prior.sum(axis=1) == pytest.approx(PRIOR_WRONG)
    assert np.all((prior > 0) == ~np.eye(len(MANY), dtype=bool))


def told_by_likeness(mistaken_for):
    """What is expected of the last figure's mistakes once others were taken for their nearest, or for any figure."""
    confusions = Confusions(MANY)
    alike = np.array([[likeness(heard, said) for said in MANY] for heard in MANY])
    np.fill_diagonal(alike, 0)
    for heard in range(len(MANY) - 1):
        order = alike[heard].argsort()
        said = order[-1] if mistaken_for == "nearest" else order[1]
        for _ in range(3):
            confusions.note(heard, ((int(said), 1.0),), 1.0)
    return confusions.mistakes()[-1] @ alike[-1]


def test_how_steeply_mistakes_fall_off_is_learned():
    """Who takes figures for their nearest is expected to do so elsewhere; who takes them for any is not."""
    assert told_by_likeness("nearest") > 1.3 * told_by_likeness("any")


def test_a_mistake_counts_for_its_mirror_image():
    """Who says g for f may say f for g: that counts by its share."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((2, 1.0),), 1.0)
    assert confusions.counts[2, 0] == pytest.approx(MIRRORED)
    assert confusions.mistakes()[2, 0] > Confusions(FIGURES).mistakes()[2, 0]


def test_overcome_confusion_fades():
    """A confusion that is answered right for a while counts less and less."""
    confusions = Confusions(FIGURES)
    for _ in range(5):
        confusions.note(0, ((1, 1.0),), 1.0)
    mixed = confusions.counts[0, 1]
    for _ in range(30):
        confusions.note(0, ((0, 1.0),), 1.0)
    assert confusions.counts[0, 1] == pytest.approx(mixed * KEPT**30)


def test_shares_and_strangers():
    """Shares of a class count as such; what the level does not hold counts for nobody."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 0.7), (0, 0.2), (-2, 0.1)), 1.0)
    assert confusions.counts[0] == pytest.approx([0.2, 0.7, 0.0])


def test_no_mistake_is_the_right_answer():
    """Mistakes of each shipped level are distributions over the wrong figures."""
    mistakes = Confusions(MANY).mistakes()
    assert np.diagonal(mistakes) == pytest.approx(0)
    assert mistakes.sum(axis=1) == pytest.approx(1)


def test_an_answer_counts_by_its_weight():
    """An answer that is hardly trusted hardly counts, but ages what was there like any other."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 1.0),), 1.0)
    confusions.note(0, ((2, 1.0),), 0.1)
    assert confusions.counts[0] == pytest.approx([0, KEPT, 0.1])
    assert confusions.counts[1:, 0] == pytest.approx([MIRRORED, 0.1 * MIRRORED])


def test_figures_side_by_side_are_told_apart_the_better():
    """Heard in one bar, two figures are expected to be mixed up less, and the third one more of the rest."""
    confusions = Confusions(FIGURES)
    confusions.note(0, ((1, 1.0),), 1.0)
    before = confusions.mistakes()
    confusions.contrast(np.array([0, 1, 0]))
    after = confusions.mistakes()
    odds = [table[0, 1] / table[0, 2] for table in (before, after)]
    assert odds[1] == pytest.approx(CONTRASTED * odds[0])
    assert after[1, 0] < before[1, 0]
    assert after[2] == pytest.approx(before[2])


def test_confusions_stay_finite():
    """Two figures that were heard side by side, or mixed up, ten thousand times can still be mixed up."""
    confusions = Confusions(FIGURES[:2])
    for _ in range(10_000):
        confusions.contrast(np.array([0, 1]))
        confusions.note(0, ((1, 1.0),), 1.0)
    assert confusions.mistakes() == pytest.approx(np.array([[0.0, 1.0], [1.0, 0.0]]))
    assert np.all(np.isfinite(confusions.prior))
