"""Would the tests notice a fault?  Small faults are put into a package, one at a time, and its tests run over each.

``python -m tests.trust.mutants [PACKAGE] [--mutants N] [--seed N]`` draws a sample of all such faults, works in a copy
of the checkout, and prints every fault that no test saw.  The exit code is 1 where, beyond chance, too few are found.

Tools for this were tried.  mutmut changes no table, no decorated function and no statement as a whole, which leaves
out a third of these places in ``shared``; and it tries each fault in a process whose caches are filled already, so
that a call without its argument goes unseen.  cosmic-ray works in the checkout itself, runs the whole suite in a new
process for each of 7,451 faults, and draws no sample.
"""

import argparse
import ast
import importlib.util
import os
import resource
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.metadata import entry_points
from multiprocessing import get_context
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.bench.learning.candidates import wilson

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("audio", "game", "levels", "shared", "tests", "pyproject.toml")
OF_SHARED = (
    "counts_of_trade", "figures_of_trade", "notation_of_trade", "notation_beaming", "syllables_of_schools",
    "times_of_beats", "learning_likeness", "files_midi", "files_musicxml",
)  # fmt: skip
SUITES = {
    "shared": ("tests/shared/**/test_*.py", *(f"tests/trade/test_{name}.py" for name in OF_SHARED)),
    "game/learning": ("tests/learning/**/test_*.py", "tests/trade/test_learning_*.py"),
    "game/sessions": ("tests/sessions/**/test_*.py",),
    "game/records": ("tests/records/**/test_*.py",),
}
"""The quick tests of each package."""

LEAST = 0.85
"""The share of mutants that the tests should find at least."""

SECONDS = 400
"""How long the tests of one mutant may take; a fault that makes them hang is seen."""

MEMORY = 4 << 30
"""Bytes that they may take."""

SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.And: ast.Or,
    ast.Or: ast.And,
}
"""What each operator is taken for."""

NOT_RUN = {"annotation", "returns", "decorator_list"}
"""What says something to readers and tools, or how much a cache may hold."""


@dataclass(frozen=True, eq=False)
class Edit:
    """One fault: ``value`` in a field of a node, at a ``place`` where the field is a list.

    ``around`` is the node to show, with its line.
    """

    owner: ast.AST
    field: str
    value: Any
    around: ast.stmt | ast.expr
    place: int | None = None

    def swap(self, value: Any) -> Any:
        """Put a value in the place and return what was there."""
        found = getattr(self.owner, self.field)
        if self.place is None:
            setattr(self.owner, self.field, value)
            return found
        there = found[self.place]
        found[self.place] = value
        return there


@dataclass(frozen=True)
class Mutant:
    """A module with one fault: file and line, as ``written``, what stood there and what does now, and all of it."""

    path: Path
    line: int
    written: str
    before: str
    after: str
    source: str

    def __str__(self) -> str:
        return f"{self.path.as_posix()}:{self.line}: {self.before}  ->  {self.after}    in: {self.written}"


def edits(tree: ast.AST) -> Iterator[Edit]:
    """Every fault that can be put into a module, in order."""
    for node in _run(tree):
        yield from _in_statements(node)
        if isinstance(node, ast.expr | ast.AugAssign):
            yield from _in_operators(node)
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
            values = (not node.value,) if isinstance(node.value, bool) else (node.value + 1, node.value - 1)
            yield from (Edit(node, "value", value, node) for value in values if value != node.value)
        if isinstance(node, ast.Return) and node.value and not _is_none(node.value):
            yield Edit(node, "value", ast.Constant(None), node)


def _run(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes that run, outermost first."""
    yield node
    for name, value in ast.iter_fields(node):
        if name not in NOT_RUN:
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    yield from _run(child)


def _in_statements(node: ast.AST) -> Iterator[Edit]:
    for field in ("body", "orelse", "finalbody"):
        body = getattr(node, field, None)
        if isinstance(body, list):
            for place, statement in enumerate(body):
                if _does_something(statement):
                    yield Edit(node, field, ast.Pass(), statement, place)


def _does_something(statement: ast.stmt) -> bool:
    """Whether a statement can be left out without leaving a name unknown; a docstring does nothing."""
    match statement:
        case ast.Expr(value=ast.Constant()):
            return False
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            return True
    return isinstance(statement, ast.Expr | ast.AugAssign | ast.Raise | ast.Continue | ast.Break | ast.Delete)


def _in_operators(node: ast.expr | ast.AugAssign) -> Iterator[Edit]:
    match node:
        case ast.Compare(ops=operators):
            for place, operator in enumerate(operators):
                yield Edit(node, "ops", SWAPS[type(operator)](), node, place)
        case ast.BinOp(op=operator) | ast.BoolOp(op=operator) | ast.AugAssign(op=operator) if type(operator) in SWAPS:
            yield Edit(node, "op", SWAPS[type(operator)](), node)
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield Edit(node, "operand", ast.UnaryOp(ast.Not(), operand), node)


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def sample(package: str, number: int, seed: int) -> tuple[list[Mutant], int]:
    """So many mutants of a package, drawn evenly from all there are, and how many those are."""
    found = []
    for path in sorted((ROOT / package).rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        tree = ast.parse(text)
        found += [(path.relative_to(ROOT), text, tree, edit) for edit in edits(tree)]
    chosen = Random(f"{package}/{seed}").sample(found, min(number, len(found)))
    return [_mutant(*one) for one in chosen], len(found)


def _mutant(path: Path, text: str, tree: ast.AST, edit: Edit) -> Mutant:
    line = edit.around.lineno
    before = _line(edit.around)
    there = edit.swap(edit.value)
    after = "pass" if isinstance(edit.value, ast.Pass) else _line(edit.around)
    source = ast.unparse(tree)
    edit.swap(there)
    return Mutant(path, line, text.splitlines()[line - 1].strip(), before, after, source)


def _line(node: ast.AST) -> str:
    return ast.unparse(node).partition("\n")[0][:160]


def copied(folder: Path) -> None:
    """A copy of what the tests need."""
    for name in COPIED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / name, folder / name)


def suite(package: str, folder: Path) -> list[Path]:
    """The test files of a package."""
    return [file for name in SUITES[package] for file in sorted(folder.glob(name))]


def reaching(module: Path, files: list[Path], folder: Path) -> list[Path]:
    """The files that reach a module, those that name it first."""
    dotted = ".".join(module.with_suffix("").parts)
    return sorted((f for f in files if dotted in _reached(f, folder)), key=lambda file: dotted not in _imported(file))


def _reached(file: Path, folder: Path) -> set[str]:
    """The modules that a file imports, and those that they import, and so on."""
    found: set[str] = set()
    waiting = set(_imported(file))
    while waiting:
        name = waiting.pop()
        found.add(name)
        path = folder.joinpath(*name.split("."))
        for source in (path.with_suffix(".py"), path / "__init__.py"):
            if source.is_file():
                waiting |= _imported(source) - found
    return found


@cache
def _imported(file: Path) -> frozenset[str]:
    """The names that a file imports from, and those it imports, which may be modules too."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return frozenset(found)


def seen(mutant: Mutant, package: str, folder: Path) -> str:
    """What became of a mutant in the copy: ``killed``, ``survived`` or ``timed out``."""
    path = folder / mutant.path
    sound = path.read_text(encoding="utf-8")
    compiled = Path(importlib.util.cache_from_source(str(path)))
    try:
        path.write_text(mutant.source, encoding="utf-8")
        compiled.unlink(missing_ok=True)
        files = reaching(mutant.path, suite(package, folder), folder)
        return "killed" if files and not passes(files, folder) else "survived"
    except TimeoutError:
        return "timed out"
    finally:
        path.write_text(sound, encoding="utf-8")
        compiled.unlink(missing_ok=True)


def passes(files: list[Path], folder: Path) -> bool:
    """Whether the tests in these files pass, in a process of their own.  Raises ``TimeoutError``."""
    child = get_context("fork").Process(target=_run_tests, args=(files, folder))
    child.start()
    child.join(SECONDS)
    if child.is_alive():
        child.kill()
        child.join()
        raise TimeoutError
    return child.exitcode == 0


def _run_tests(files: list[Path], folder: Path) -> None:
    os.chdir(folder)
    os.nice(5)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    for stream in (1, 2):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
    for name in [name for name in sys.modules if name.partition(".")[0] in COPIED]:
        del sys.modules[name]
    sys.path[:] = [path for path in sys.path if Path(path).resolve() != ROOT]
    plain = ("--assert=plain", "--hypothesis-seed=0", "--timeout=100", "-x", "-pno:randomly", "-pno:cacheprovider")
    os._exit(pytest.main([*plain, *map(str, files)]))


def main() -> None:
    """Try a sample of mutants and print what no test saw."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust.mutants", description=__doc__)
    parser.add_argument("package", nargs="?", choices=SUITES, default="shared")
    parser.add_argument("--mutants", type=int, default=200, help="how many are drawn (default 200)")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    for plugin in entry_points(group="pytest11"):
        plugin.load()  # once, rather than in every child
    mutants, there_are = sample(options.package, options.mutants, options.seed)
    became: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        copied(folder)
        if not passes(suite(options.package, folder), folder):
            raise SystemExit("tests fail without a fault: mend them first")
        for number, mutant in enumerate(mutants, 1):
            end = seen(mutant, options.package, folder)
            became[end] += 1
            if end != "killed":
                print(f"{number}. {end}: {mutant}", flush=True)
    found = became["killed"] + became["timed out"]
    low, high = wilson(found, len(mutants))
    print(
        f"{options.package}, seed {options.seed}: {found} of {len(mutants)} found, {became['timed out']} of them by "
        f"hanging: {found / len(mutants):.0%}, 95 % interval {low:.0%} to {high:.0%}; there are {there_are}"
    )
    raise SystemExit(high < LEAST)


if __name__ == "__main__":
    main()
