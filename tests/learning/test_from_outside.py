"""What those who use the coach from outside call, by the names they know."""

from pathlib import Path

import numpy as np

from game.learning import Coach
from shared.levels import load_level

STAGE_3 = Path(__file__).parents[2] / "levels" / "stage-3.toml"
NOW = 1_750_000_000.0


def test_a_coach_is_asked_marked_and_read() -> None:
    """From the package itself: a level, a question, an answer timed by the beat, and all that a coach can tell."""
    level = load_level(STAGE_3)
    coach = Coach(level, seed=7)
    question = coach.ask(NOW)
    assert question.choices == level.figures
    assert str(question.reason)
    picks = [question.bar.figures[place] for place in question.asked]
    coach.mark(question, picks, NOW, seconds=[1.1] * len(picks))
    confusion = coach.confusion()
    assert confusion.shape == (len(level.figures),) * 2
    assert np.allclose(confusion.sum(axis=1), 1)
    assert coach.recall(NOW).shape == (len(level.figures),)
    forecast = coach.forecast(questions=20, pass_mark=0.75, now=NOW)
    assert 0 <= forecast.low <= forecast.high <= 1
    assert 0 <= forecast.probability <= 1


def test_a_coach_begins_as_it_is_told() -> None:
    """Step by step a figure is met before it is asked, and at least two are on offer; "sound out" asks all at once."""
    level = load_level(STAGE_3)
    first = Coach(level, seed=7, begin="step by step").ask(NOW)
    assert len(first.meets) == 2
    assert {*first.asked_figures} <= {*first.meets} <= {*first.choices}
    assert Coach(level, seed=7, begin="sound out").ask(NOW).choices == level.figures
