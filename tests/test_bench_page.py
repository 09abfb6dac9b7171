"""The page of measures tells a goal that is met from one that is missed."""

from math import inf

import pytest

from tests.bench.page import Measure, Page, Row, hold


@pytest.mark.parametrize(
    ("value", "goal", "at_least", "ratio", "met"),
    [(0.5, 1.0, False, 0.5, True), (2.0, 1.0, False, 2.0, False), (50.0, 25.0, True, 0.5, True),
     (10.0, 25.0, True, 2.5, False), (1.0, 1.0, False, 1.0, True), (0.0, 0.0, False, 0.0, True),
     (1.0, 0.0, False, inf, False), (0.0, 1.0, True, inf, False)],
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


def test_cases_are_told_by_their_worst() -> None:
    """Of a test with several cases the one nearest to its goal is shown, with their number; other goals stand apart."""
    page = Page()
    for case, value, goal in (("a", 0.2, 1.0), ("b", 0.9, 1.0), ("c", 5.0, 4.0), ("d", 6.0, 4.0)):
        measure = Measure(f"a bar, {case}", value, goal, "ms")
        page.rows.append(Row(measure.cells(), "met" if measure.met else "MISSED", f"test_bar[{case}]", measure.ratio))
    assert [line.split("  ")[0] for line in page.text().splitlines()[1:]] == [
        "a bar, b, the worst of 2",
        "a bar, d, the worst of 2",
    ]
    assert "MISSED by 2" in page.text()


def test_a_failure_without_a_figure_is_the_worst() -> None:
    """A test that broke down before it could measure is not hidden behind a case that went well."""
    page = Page(
        [
            Row(("a", "", "in the test's words", ""), "met", "t[a]"),
            Row(("b", "", "in the test's words", ""), "MISSED", "t[b]", inf),
        ]
    )
    assert page.text().splitlines()[1].startswith("b, the worst of 2")
