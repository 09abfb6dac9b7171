"""Every error class of ours says whose mistake it tells of: the user's, who can mend it, or ours."""

import ast
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

from game.cli import explain
from shared.errors import UserError

ROOT = Path(__file__).resolve().parents[2]

BUGS = {"SessionError", "CoachError", "BarError", "FigureError", "ClosedPlayerError"}
"""Refusals that only our own code can bring about: rules of values that are checked before they are made."""

NO_FAULT = {"Leaving"}
"""Ways out that are no faults."""


@cache
def error_classes() -> list[type[BaseException]]:
    """Every exception class that is defined in our packages."""
    found = []
    for path in (path for folder in ("shared", "audio", "game") for path in sorted((ROOT / folder).rglob("*.py"))):
        names = [
            node.name for node in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(node, ast.ClassDef) and any("Error" in ast.unparse(base) or "Exception" in ast.unparse(base)
                                                      for base in node.bases)
        ]  # fmt: skip
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found += [getattr(import_module(module), name) for name in names]
    return [one for one in found if issubclass(one, BaseException)]


def test_every_error_says_whose_it_is() -> None:
    """It derives from ``UserError``, or is among those that are bugs; nothing is both, and no name is out of date."""
    classes = error_classes()
    assert len(classes) > 15
    by_us = {one.__name__ for one in classes if not issubclass(one, UserError)}
    assert by_us == BUGS | NO_FAULT


@pytest.mark.parametrize("name", sorted(BUGS))
def test_a_bug_of_ours_is_told_as_one(drumlin, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Wherever its class is defined, it leaves a report, and the user is not told to mend it."""
    (error,) = (one for one in error_classes() if one.__name__ == name)

    def broken(*_: object) -> None:
        raise error("onsets must ascend")

    monkeypatch.setattr(explain, "described", broken)
    ending = drumlin("explain", "1")
    assert ending.code == 1
    assert ending.line.startswith(f"drumlin: something went wrong inside Drumlin ({name}: onsets must ascend)")


def test_what_a_user_can_mend_is_one_line(drumlin) -> None:
    """No report, no talk of our insides."""
    ending = drumlin("explain", "1 zz")
    assert ending.code == 1
    assert "went wrong" not in ending.err
    assert ending.line.startswith("drumlin: ")
