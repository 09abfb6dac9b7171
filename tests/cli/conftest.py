"""Runs the command line inside the test, in a data folder of the test's own."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from game.__main__ import main


@dataclass(frozen=True)
class Ending:
    """What a command line left behind."""

    code: int
    out: str
    err: str

    @property
    def line(self) -> str:
        """The one line on the error stream; fails where there are more or none."""
        (line,) = self.err.splitlines()
        return line


Drumlin = Callable[..., Ending]


@pytest.fixture(autouse=True)
def own_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The test's folder is the current one, and what is kept goes into it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))


@pytest.fixture
def drumlin(capsys: pytest.CaptureFixture[str]) -> Drumlin:
    """Run a command line and return its ending."""

    def run(*words: str) -> Ending:
        capsys.readouterr()
        code = main(words)
        said = capsys.readouterr()
        return Ending(code, said.out, said.err)

    return run
