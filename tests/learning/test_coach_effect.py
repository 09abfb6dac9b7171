"""The judgement of the coach is unbiased, covers the truth, and says when too little is known."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from game.learning.chooser import LEFT_TO_CHANCE
from game.learning.coach_effect import judged
from game.learning.evidence import Answer

FIGURES = [f"figure {number}" for number in range(8)]


def log(bars, gains, seed, figures=FIGURES):
    """A player whose every hearing by the coach adds a gain of its own to P(right), and by chance another.

    The coach wants the figure with the least chance of a right answer; a figure falls back by as much as it is heard.
    """
    random, rows, right = Random(seed), [], dict.fromkeys(figures, 0.4)
    for bar in range(bars):
        wanted = min(figures, key=right.get)
        by_chance = random.random() < LEFT_TO_CHANCE
        figure = random.choice(figures) if by_chance else wanted
        probability = LEFT_TO_CHANCE / len(figures) + (1 - LEFT_TO_CHANCE) * (figure == wanted)
        said = figure if random.random() < right[figure] else "another"
        rows.append(
            Answer(
                12.0 * bar, "a level", "4/4", f"bar {bar}", 0, figure, said, 1.0, "snare", 80.0, probability=probability
            )
        )
        gain = gains[figure != wanted]
        right[figure] = min(0.95, max(0.05, right[figure] + gain))
    return rows


def test_no_effect_is_found_where_there_is_none():
    """Where nothing is learned, the interval holds nothing, in about 95 of 100 logs, and the mean is nearly nothing."""
    found = [judged(log(600, (0.0, 0.0), seed)) for seed in range(60)]
    assert np.mean([one.low <= 0 <= one.high for one in found]) > 0.88
    assert np.mean([one.effect for one in found]) == pytest.approx(0, abs=0.03)


def test_effect_is_found_where_there_is_one():
    """Where only what the coach wants is learned by hearing it, a long log shows that the coach helps."""
    found = judged(log(30_000, (0.12, -0.1), 1))
    assert found.low > 0
    assert found.wanting == 0


def test_weights_by_hand():
    """Of two figures, wanted 19 times in 20: a wanted one's gain counts 1 / .95 for the coach, .5 / .95 for chance."""
    rows = [
        Answer(0.0, "a", "4/4", "x", 0, "f", "g", None, "snare", 80.0, probability=0.95),
        Answer(9.0, "a", "4/4", "y", 0, "f", "f", None, "snare", 80.0, probability=0.05),
        Answer(18.0, "a", "4/4", "z", 0, "f", "g", None, "snare", 80.0, probability=0.95),
    ]
    first, second = 1 / 0.95 - 0.5 / 0.95, -(0 - 0.5 / 0.05)
    assert judged(rows).effect == pytest.approx((first + second) / 2)
    assert judged(rows).answers == 2


def test_little_is_not_enough():
    """Of no answers, or few, it says how many are wanting; more of them are wanted the fewer there are."""
    none, few, many = (judged(log(bars, (0.05, 0.05), 3)) for bars in (0, 60, 600))
    assert none.answers == 0
    assert none.wanting > 0
    assert few.wanting > 0
    assert few.high - few.low > many.high - many.low


def test_a_few_that_agree_are_not_certain():
    """A handful of hearings has hardly any spread of its own: the effect is told to be anywhere."""
    found = judged(log(2, (0.0, 0.0), 3))
    assert (found.low, found.high) == (-1.0, 1.0)


@pytest.mark.parametrize(
    "change", [{"attempt": 2}, {"probability": None}, {"probability": 1.0}, {"kind": "class"}, {"ability": "reading"}]
)
def test_only_first_tries_that_were_open_to_chance_count(change):
    """Second tries, other abilities, classes, and what nothing was left to chance of are no evidence."""
    rows = [replace(row, **change) for row in log(100, (0.0, 0.0), 1)]
    assert judged(rows).answers == 0
