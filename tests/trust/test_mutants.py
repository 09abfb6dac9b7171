"""The faults that are put into modules: all kinds, only where something runs, and taken out again."""

import ast
from pathlib import Path

from tests.trust.mutants import ROOT, edits, reaching, sample, suite

SOURCE = '''"""A module."""
LIMIT: int | None = 2


def inside(value: int, strict: bool = True) -> int | None:
    """Whether it is inside."""
    if not value or value < LIMIT:
        note(value)
        return None
    return value * 0.5
'''


def test_every_fault_of_a_small_module() -> None:
    """Operators, numbers, switches, calls and what is returned are changed; types and docstrings are not."""
    tree = ast.parse(SOURCE)
    found = set()
    for edit in edits(tree):
        there = edit.swap(edit.value)
        lines = ast.unparse(tree).splitlines()
        edit.swap(there)
        found.add(next(line.strip() for line in lines if line not in ast.unparse(tree).splitlines()))
    assert found == {
        "LIMIT: int | None = 3",
        "LIMIT: int | None = 1",
        "def inside(value: int, strict: bool=False) -> int | None:",
        "if not value and value < LIMIT:",
        "if not not value or value < LIMIT:",
        "if not value or value <= LIMIT:",
        "pass",
        "return None",
        "return value / 0.5",
        "return value * 1.5",
        "return value * -0.5",
    }
    assert ast.unparse(tree) == ast.unparse(ast.parse(SOURCE))


def test_a_sample_is_drawn_by_its_seed() -> None:
    """The same seed draws the same faults, each in a module of the package and unlike what stands there."""
    mutants, there_are = sample("game/learning", 30, seed=1)
    assert mutants == sample("game/learning", 30, seed=1)[0] != sample("game/learning", 30, seed=2)[0]
    assert len(set(mutants)) == 30 < there_are
    for mutant in mutants:
        assert mutant.path.parent == Path("game/learning")
        assert mutant.source != ast.unparse(ast.parse((ROOT / mutant.path).read_text(encoding="utf-8")))


def test_a_module_is_tried_by_the_tests_that_reach_it() -> None:
    """Tests that name a module come first, then those that reach it through others; the rest are left out."""
    spacing = [file.name for file in reaching(Path("shared/notation/spacing.py"), suite("shared", ROOT), ROOT)]
    assert "test_page.py" in spacing
    assert "test_counting.py" not in spacing
    assert reaching(Path("shared/sticking.py"), suite("shared", ROOT), ROOT)[0].name == "test_page.py"
