"""One page of measures: what was measured, how it stands to its goal, and by which test."""

import os
from dataclasses import dataclass, field
from math import inf

import pytest


@dataclass(frozen=True)
class Measure:
    """One figure against its goal, in the same unit; ``at_least`` where more is better."""

    what: str
    value: float
    goal: float
    unit: str
    at_least: bool = False

    @property
    def ratio(self) -> float:
        """The figure as a part of its goal, the other way round where more is better: 1 or less is well."""
        part, whole = (self.goal, self.value) if self.at_least else (self.value, self.goal)
        return part / whole if whole > 0 else inf if part > 0 else 0.0

    @property
    def met(self) -> bool:
        """Whether the goal is met."""
        return self.value >= self.goal if self.at_least else self.value <= self.goal

    def cells(self) -> tuple[str, str, str, str]:
        """What, measured, goal and ratio, as text."""
        bound = "at least" if self.at_least else "at most"
        goal = f"{bound} {_brief(self.goal)} {self.unit}"
        return self.what, f"{_brief(self.value)} {self.unit}", goal, f"{self.ratio:.2f}"


def _brief(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


_found: list[tuple[str, Measure]] = []
"""Every figure of this run, with the test that took it."""


def hold(what: str, value: float, goal: float, unit: str, at_least: bool = False) -> None:
    """Print a figure, keep it for the page, and fail unless it meets its goal."""
    measure = Measure(what, value, goal, unit, at_least)
    _found.append((os.environ.get("PYTEST_CURRENT_TEST", "").split(" ")[0], measure))
    print("  ".join(measure.cells()))
    if not measure.met:
        raise AssertionError("missed: " + ", ".join(measure.cells()))


@dataclass(frozen=True)
class Row:
    """One line of the page: the four cells of a figure, how it ended, and by which test."""

    cells: tuple[str, str, str, str]
    outcome: str
    how: str
    badness: float = 0.0
    """How near to its goal, or how far beyond it: the ratio; a test that failed without a figure is worst of all."""


@dataclass
class Page:
    """A pytest plugin that gathers the rows of the page."""

    rows: list[Row] = field(default_factory=list)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take the figures of a test that has ended; of one without figures, what it printed and how it ended."""
        if report.when != "call" and report.passed:
            return
        how = report.nodeid.removeprefix("tests/bench/")
        measures = [measure for test, measure in _found if test == report.nodeid]
        if measures and report.when == "call":
            self.rows += [
                Row(measure.cells(), "met" if measure.met else "MISSED", how, measure.ratio) for measure in measures
            ]
        elif report.skipped:
            reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else ""
            why = reason.removeprefix("Skipped: ")
            self.rows.append(Row((how.partition("::")[2], "not measured", "", ""), why, how))
        else:
            printed = [line for line in report.capstdout.splitlines() if line.strip()] or [""]
            outcome, badness = ("met", 0.0) if report.passed else ("MISSED", inf)
            cells = (how.partition("::")[2], printed[-1].strip(), "in the test's words", "")
            self.rows.append(Row(cells, outcome, how, badness))

    def text(self) -> str:
        """The table, with one row for each figure that a test takes: of several cases the worst."""
        rows = [("what", "measured", "goal", "ratio", "", "how"), *map(_worst, self._figures())]
        widths = [min(64, max(len(row[column]) for row in rows)) for column in range(5)]
        return "\n".join(
            "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[5]]) for row in rows
        )

    def _figures(self) -> list[list[Row]]:
        """The rows of each figure, those cases of its test together that share a goal."""
        figures: dict[tuple[str, str], list[Row]] = {}
        for row in self.rows:
            figures.setdefault((row.how.partition("[")[0], row.cells[2]), []).append(row)
        return list(figures.values())


def _worst(cases: list[Row]) -> tuple[str, ...]:
    """The case nearest to its goal, or farthest beyond it."""
    worst = max(cases, key=lambda row: row.badness)
    what, *rest = worst.cells
    missed = sum(row.outcome == "MISSED" for row in cases)
    many = f", the worst of {len(cases)}" if len(cases) > 1 else ""
    outcome = f"MISSED by {missed}" if missed > 1 else worst.outcome
    return what + many, *rest, outcome, worst.how.partition("[")[0]
