"""The page of measures tells a goal that is met from one that is missed."""

import pytest

from tests.bench.page import Measure, Page, hold


@pytest.mark.parametrize(
    ("value", "goal", "at_least", "ratio", "met"),
    [(0.5, 1.0, False, 0.5, True), (2.0, 1.0, False, 2.0, False), (50.0, 25.0, True, 0.5, True),
     (10.0, 25.0, True, 2.5, False), (1.0, 1.0, False, 1.0, True)],
)  # fmt: skip
def test_one_or_less_is_well(value: float, goal: float, at_least: bool, ratio: float, met: bool) -> None:
    """Whichever way is better, a ratio over 1 is a goal missed."""
    measure = Measure("something", value, goal, "ms", at_least)
    assert (measure.ratio, measure.met) == (pytest.approx(ratio), met)


def test_a_missed_goal_fails() -> None:
    """A figure beyond its goal fails its test, with figure, goal and ratio in the words."""
    with pytest.raises(AssertionError, match=r"missed: a bar, 2 ms, at most 1 ms, 2\.00"):
        hold("a bar", 2.0, 1.0, "ms")


def test_the_table_has_a_head() -> None:
    """Every column is named."""
    assert Page().text().split() == ["what", "measured", "goal", "ratio", "how"]
