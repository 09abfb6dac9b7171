"""The program starts from any folder; ``python -m tests.trust.versions`` does the same for every Python and package."""

import sys
from pathlib import Path

import pytest

from tests.sampling import some
from tests.trust.versions import COMMANDS, FIRST_FRAME, MINORS, ROOT, interpreters, run

AT_ROOT = f"import sys; sys.path.insert(0, {str(ROOT)!r}); "


def test_this_python_is_one_of_those_promised() -> None:
    """The interpreter that runs these tests is found, and lies in the promised range."""
    assert "{}.{}.{}".format(*sys.version_info) in interpreters()
    assert sys.version_info.minor in MINORS


@pytest.mark.parametrize("words", some(3, COMMANDS), ids=lambda words: words[0].strip("-"))
def test_a_command_runs_from_any_folder(words: tuple[str, ...], tmp_path: Path) -> None:
    """A foreign, odd folder as the working folder changes nothing."""
    folder = tmp_path / "somewhere else ü"
    folder.mkdir()
    run([sys.executable, "-c", AT_ROOT + "from game.__main__ import run; run()", *words], folder)


def test_the_window_paints_from_any_folder(tmp_path: Path) -> None:
    """Up to the first picture, from a foreign folder."""
    assert "painted" in run([sys.executable, "-c", AT_ROOT + FIRST_FRAME, str(tmp_path / "data")], tmp_path)
