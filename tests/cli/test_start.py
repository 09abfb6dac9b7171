"""What holds from the first line on: closed streams, interrupts at any moment, packages of the same names."""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.sampling import some

ROOT = Path(__file__).resolve().parents[2]

FIRST_LINE = "import os; from game.__main__ import run; os.write(1, b'!'); run()"

SIX = [f"bar{ending}" for ending in (".wav", ".mid", ".musicxml", ".svg", ".png", ".pdf")]

pytestmark = pytest.mark.skipif(os.name != "posix", reason="shells and signals are those of POSIX")


def ran(*words: str, folders: Sequence[Path] = (ROOT,), shell: str = "") -> subprocess.CompletedProcess[str]:
    """A command line in a process of its own; ``shell`` is what the shell does with its streams."""
    place = os.pathsep.join(map(str, folders))
    command = ["sh", "-c", f'exec "$@" {shell}', "sh", sys.executable, "-P", "-m", "game", *words]
    environment = {**os.environ, "PYTHONPATH": place, "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    return subprocess.run(command, capture_output=True, text=True, timeout=100, env=environment)


def test_the_window_opens_without_any_stream(tmp_path: Path) -> None:
    """A program that a double click starts has neither input nor outputs; a wish to end closes its window well."""
    words = [sys.executable, "-m", "game", "--data-dir", str(tmp_path / "room")]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    window = subprocess.Popen(["sh", "-c", 'exec "$@" <&- >&- 2>&-', "sh", *words], env=environment)
    until = time.monotonic() + 90
    while not (tmp_path / "room" / "records.sqlite").exists() and time.monotonic() < until:
        assert window.poll() is None
        time.sleep(0.02)
    time.sleep(0.3)
    assert window.poll() is None
    window.terminate()
    assert window.wait(60) in (0, -signal.SIGTERM)
    assert (tmp_path / "room" / "records.sqlite").read_bytes()[:15] == b"SQLite format 3"


def test_the_terminal_game_tells_of_a_closed_input() -> None:
    """It could not be answered."""
    ending = ran("listen", "--no-record", shell="<&-")
    assert ending.returncode == 1
    assert ending.stderr.startswith("drumlin: there is no input to answer from; ")
    assert len(ending.stderr.splitlines()) == 1


def test_what_is_printed_to_a_closed_output_goes_into_no_file(tmp_path: Path) -> None:
    """Neither the record nor a file that is written takes the number of the closed output."""
    assert ran("write", "1 e a", str(tmp_path / "x.svg"), "--json", shell=">&- 2>&-").returncode == 0
    assert (tmp_path / "x.svg").read_text("utf-8").rstrip().endswith("</svg>")


@pytest.mark.parametrize(("attempt", "number"), some(20, range(20), [signal.SIGINT, signal.SIGTERM]))
def test_an_interrupt_at_any_moment_leaves_nothing(tmp_path: Path, attempt: int, number: int) -> None:
    """From our first line on: one line, no traceback, and of six files all or none."""
    random.seed(attempt)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", FIRST_LINE, "write", "1 e a 2 &", *SIX]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, cwd=tmp_path, env=environment, **pipes) as process:  # type: ignore[call-overload]
        assert process.stdout.read(1) == b"!"
        time.sleep(random.uniform(0, 0.4))
        process.send_signal(number)
        said = process.communicate(timeout=100)[1].decode()
    killed_before_it_listened = (-signal.SIGTERM, "")
    if process.returncode != 0 and (process.returncode, said) != killed_before_it_listened:
        assert (process.returncode, said) == (130, "drumlin: interrupted\n")
    there = sorted(path.name for path in tmp_path.iterdir())
    assert there in ([], sorted(SIX))


def copied(folder: Path) -> Path:
    """Drumlin's packages once more, to be damaged."""
    for name in ("game", "audio", "shared", "levels"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    return folder


def refused(*folders: Path) -> str:
    """The one line in which ``explain`` refuses."""
    ending = ran("explain", "1", folders=folders)
    assert ending.returncode == 1, ending.stderr
    (line,) = ending.stderr.splitlines()
    assert "an environment of its own: uv tool install, pipx install" in line
    return line


@pytest.mark.parametrize("name", ["shared", "audio"])
def test_a_strange_package_that_hides_ours_is_told_and_not_imported(tmp_path: Path, name: str) -> None:
    """Its code does not run."""
    strange = tmp_path / "strange" / name
    strange.mkdir(parents=True)
    (strange / "__init__.py").write_text("print('this ran')\n", "utf-8")
    ending = ran("explain", "1", folders=[strange.parent, ROOT])
    assert (ending.returncode, ending.stdout) == (1, "")
    assert ending.stderr.startswith(f"drumlin: the package '{name}' in {strange.parent} hides Drumlin's own in {ROOT}")


def test_a_package_that_was_installed_over_ours_is_told(tmp_path: Path) -> None:
    """Or one that went away with the other distribution, or some modules of it."""
    folder = copied(tmp_path)
    assert ran("explain", "1", folders=[folder]).returncode == 0
    (folder / "shared" / "errors.py").write_text("class Other(Exception): ...\n", "utf-8")
    assert "a part of Drumlin can't be loaded (cannot import name 'UserError'" in refused(folder)
    (folder / "shared" / "__init__.py").write_text('"""Something else."""\n', "utf-8")
    assert f"another distribution's package 'shared' was installed over Drumlin's in {folder}" in refused(folder)
    (folder / "shared" / "__init__.py").unlink()
    assert refused(folder).startswith("drumlin: the package 'shared' ")  # missing, or from an installation besides
