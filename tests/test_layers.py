"""Imports point downward only: shared, then audio, then game; and each edge of the program has one door."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("shared", "audio", "game")


def sources(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


@cache
def text_of(path: Path) -> str:
    """What a file holds; read once for all tests."""
    return path.read_text(encoding="utf-8")


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """All nodes of a file, outermost first; parsed once for all tests."""
    return tuple(ast.walk(ast.parse(text_of(path))))


def imports(path: Path) -> Iterator[str]:
    """The full names of the modules a file imports."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write the import with its whole name"
            yield node.module or ""


def members(path: Path) -> Iterator[str]:
    """The full names of what a file imports from modules, which may be modules themselves."""
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def importers(module: str, *folders: str) -> set[str]:
    """The files, by path from the root, that import a module or anything in it."""
    # Parsing is what takes time, and a file that does not hold the name need not be.
    files = (path for folder in folders for path in sources(folder) if module in text_of(path))
    return {
        path.relative_to(ROOT).as_posix()
        for path in files
        if any(name == module or name.startswith(f"{module}.") for name in imports(path))
    }


@pytest.mark.parametrize(("lower", "higher"), [("shared", "audio"), ("shared", "game"), ("audio", "game")])
def test_nothing_imports_upward(lower: str, higher: str) -> None:
    """A lower layer knows nothing of a higher one."""
    assert importers(higher, lower) == set()


def test_the_musical_language_stands_alone() -> None:
    """``shared`` needs nothing but Python and itself."""
    names = {name.split(".")[0] for path in sources("shared") for name in imports(path)}
    assert names - {"shared"} <= sys.stdlib_module_names


def test_the_program_does_not_import_its_tests() -> None:
    """What is shipped needs nothing of what is not."""
    assert importers("tests", *PACKAGES) == set()


def test_no_import_goes_in_a_circle() -> None:
    """Whatever a module needs stands below it, wherever in the file the import is written."""
    files = [path for folder in PACKAGES for path in sources(folder)]
    names = {".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path for path in files}
    needs = {name: names.keys() & (set(imports(path)) | set(members(path))) - {name} for name, path in names.items()}
    assert list(TopologicalSorter(needs).static_order())


def test_commands_know_no_screen() -> None:
    """The terminal and the window stand side by side on one service; only the loop of the window knows its screens."""
    assert importers("game.screens", "game/cli") == set()
    outside = {path for path in importers("game.screens", "game") if not path.startswith("game/screens/")}
    assert outside == {"game/app.py"}
    assert importers("game.app", "game") == {"game/cli/window.py"}


def test_records_are_the_one_door_to_the_database() -> None:
    """Only ``game/records`` speaks SQL."""
    assert all(path.startswith("game/records/") for path in importers("sqlite3", *PACKAGES))


@pytest.mark.parametrize("folder", ["shared", "game/learning", "game/sessions", "game/records"])
def test_thinking_needs_no_window(folder: str) -> None:
    """The language, the coach, the sessions and the records do not know pygame or the sound."""
    assert importers("pygame", folder) == set()
    assert importers("audio", folder) == set()


ALONE = """
import importlib, pkgutil, sys

class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("pygame", "audio"):
            raise ImportError(f"{name} is not to be had here")

sys.meta_path.insert(0, Blocked())
for name in sys.argv[1:]:
    package = importlib.import_module(name)
    for module in pkgutil.walk_packages(package.__path__, name + "."):
        importlib.import_module(module.name)
"""


def test_thinking_runs_without_pygame() -> None:
    """Every module of these loads on a machine where neither pygame nor our sound can be imported."""
    packages = ("shared", "game.learning", "game.sessions")
    subprocess.run([sys.executable, "-c", ALONE, *packages], cwd=ROOT, check=True, timeout=60)


def called(path: Path) -> Iterator[str]:
    """The dotted names a file calls, such as ``time.time``."""
    for node in nodes(path):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield ast.unparse(node.func)


WALL_CLOCK = {"time.time", "time.monotonic", "time.perf_counter", "datetime.now", "datetime.datetime.now", "date.today"}


@pytest.mark.parametrize("folder", ["shared", "game/learning", "game/sessions"])
def test_thinking_reads_no_clock(folder: str) -> None:
    """Time is passed in, so that every question can be asked again."""
    assert {path.name for path in sources(folder) if WALL_CLOCK & set(called(path))} == set()


def unseeded(path: Path) -> Iterator[str]:
    """What in a file draws from a random source that is not seeded by whoever calls it."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from (f"import {alias.name}" for alias in node.names if alias.name == "random")
        elif isinstance(node, ast.ImportFrom) and node.module in ("random", "numpy.random"):
            yield from (f"import {alias.name}" for alias in node.names if alias.name not in ("Random", "Generator"))
        elif (
            isinstance(node, ast.Call) and ast.unparse(node.func).startswith(("np.random.", "Random")) and not node.args
        ):
            yield ast.unparse(node)


@pytest.mark.parametrize("folder", ["shared", "audio", "game/learning", "game/sessions"])
def test_nothing_hides_its_randomness(folder: str) -> None:
    """Whatever is random follows from a seed that is passed in."""
    assert {path.name: found for path in sources(folder) if (found := list(unseeded(path)))} == {}


FOREIGN = {"_replace", "_exit", "_actions", "_option_string_actions", "_SubParsersAction", "_filters"}
"""Private by their spelling alone: names of Python and of libraries that tests use."""


MAY_BE_PRIVATE = re.compile(r"""(?:[.,("']|import)\s*_(?!_)""")
"""Without this a file reaches for no private name, and is not parsed."""


def private(path: Path) -> Iterator[str]:
    """The private names that a file reaches for from outside: of a value, by import, or by a patch."""
    if not MAY_BE_PRIVATE.search(text_of(path)):
        return
    for node in nodes(path):
        names: list[object] = []
        if isinstance(node, ast.Attribute) and node.attr.startswith("_"):
            names = [] if ast.unparse(node.value) in ("self", "cls", "super()") else [node.attr]
        elif isinstance(node, ast.ImportFrom):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")).endswith(
            "setattr"
        ):
            names = [argument.value for argument in node.args if isinstance(argument, ast.Constant)]
        dotted = (name.rpartition(".")[2] for name in names if isinstance(name, str))
        yield from (name for name in dotted if name.startswith("_") and not name.startswith("__"))


def test_tests_reach_for_no_private_name() -> None:
    """A test asks what anybody could ask: it holds through every change that changes nothing for others."""
    found = {path.name: names for path in sources("tests") if (names := set(private(path)) - FOREIGN)}
    assert found == {}


def test_each_class_has_a_name_of_its_own() -> None:
    """Whoever meets a name knows which class is meant; names that are kept to one module are free."""
    places: dict[str, list[str]] = {}
    for package in PACKAGES:
        for path in sources(package):
            (module, *_) = nodes(path)
            assert isinstance(module, ast.Module)
            for node in module.body:
                if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                    places.setdefault(node.name, []).append(str(path.relative_to(ROOT)))
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
