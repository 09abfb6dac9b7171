"""Exit codes, usage and what becomes of errors, for every command alike."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from game.cli import explain, levels
from shared.levels import SHIPPED

ROOT = SHIPPED.parent


def process(*words: str, output: int = subprocess.PIPE, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run ``python -m game`` as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "game", *words],
        stdout=output,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["explan", "1"], "did you mean explain?"),
        (["write", "1", "x.wav", "--temp", "90"], "not understood: --temp 90; did you mean --tempo?"),
        (["write", "1", "x.wav", "--tem=90"], "did you mean --tempo?"),
        (["levels", "chek"], "did you mean check?"),
        (["--playr", "Wren"], "did you mean --player?"),
        (["write", "1"], "required: FILE"),
        (["explain", "1", "--tempo", "fast"], "'fast' is no number; write one such as 80"),
        (["write", "1", "x.wav", "--seed", "-3"], "argument --seed"),
        (["write", "1", "x.wav", "--groove-bars", "one"], "'one' is no whole number; write one such as 7"),
        (["explain", "1", "--meter", "5/4"], "'5/4' is no meter here; choose from 2/4, 3/4, 4/4, 6/8, 9/8, 12/8"),
        (["history", "--data-dir", ""], "the name is empty; write . for the folder you are in"),
    ],
)
def test_wrong_usage(drumlin, words: list[str], said: str) -> None:
    """Wrong usage ends with 2 and one line that names the nearest thing and the page of help."""
    ending = drumlin(*words)
    assert (ending.code, ending.out) == (2, "")
    assert said in ending.line
    assert ending.line.endswith(" --help")


def test_options_are_not_shortened(drumlin) -> None:
    """A shortened option is refused, so that a later option can't change what it means."""
    assert drumlin("explain", "1", "--left").code == 2


def test_help_is_no_error(drumlin) -> None:
    """Asking for help ends well, and every command is on the page."""
    ending = drumlin("--help")
    assert (ending.code, ending.err) == (0, "")
    for name in ("listen", "write", "explain", "sheet", "levels", "history", "demo", "check"):
        assert f"\n    {name}" in ending.out


def test_interrupted(drumlin, monkeypatch: pytest.MonkeyPatch) -> None:
    """An interrupt ends with 130 and no traceback."""

    def interrupt(_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(explain, "described", lambda *_: interrupt(_))
    ending = drumlin("explain", "1")
    assert (ending.code, ending.line) == (130, "drumlin: interrupted")


def test_a_bug_leaves_a_report(drumlin, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A bug is one line that says where its details are, in the data folder that was asked for."""
    monkeypatch.setattr(levels, "level_facts", lambda _: {}["no such key"])
    ending = drumlin("levels", "list", "--json", "--data-dir", str(tmp_path / "kept"))
    report = tmp_path / "kept" / "last-error.txt"
    assert ending.code == 1
    assert ending.line == (
        f"drumlin: something went wrong inside Drumlin (KeyError: 'no such key'); the details are in {report}"
    )
    assert "Traceback" in report.read_text(encoding="utf-8")


def test_a_report_that_cannot_be_kept(drumlin, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where even the report can't be written the line says so."""
    (tmp_path / "kept").write_text("a file, no folder", encoding="utf-8")
    monkeypatch.setattr(levels, "level_facts", lambda _: {}["no such key"])
    ending = drumlin("levels", "--json", "--data-dir", str(tmp_path / "kept"))
    assert ending.code == 1
    assert ending.line.endswith("; the details could not be kept in "
                                f"{tmp_path / 'kept'}; --data-dir names another folder")  # fmt: skip


def test_runs_as_a_module() -> None:
    """``python -m game`` is the command."""
    ran = process("explain", "1 e a")
    assert (ran.returncode, ran.stderr) == (0, "")
    assert ran.stdout.startswith("1 e a\n1/4, 80 crotchet beats a minute")


def test_a_narrow_output_is_no_error() -> None:
    """An output that can't show accents gets something readable in their place."""
    ran = process("explain", "1 e a", PYTHONIOENCODING="ascii")
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "French time names: ta fa f\\xe9" in ran.stdout


def test_a_closed_pipe_is_quiet() -> None:
    """A reader that has seen enough and gone ends the command quietly."""
    reading, writing = os.pipe()
    os.close(reading)
    ran = process("levels", "list", "--json", output=writing)
    os.close(writing)
    assert (ran.returncode, ran.stderr) == (0, "")


@pytest.fixture
def interruptible() -> Iterator[None]:
    """Ctrl-C is heard by programs that a test starts, even where the tests run in a shell's background."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.parametrize("text", ["８０", "8_0", "٨٠", "80 bpm", ""])
def test_a_number_is_written_in_plain_digits(drumlin, text: str) -> None:
    """What only a programming language would read as a number is refused in one line."""
    ending = drumlin("explain", "1", "--tempo", text)
    assert ending.code == 2
    assert "is no number; write one such as 80" in ending.line


def test_no_home_folder(drumlin, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A user whom nobody knows, as in a container, is told to name a folder; no folder called ~ is made."""
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: Path("~/.local/share/drumlin"))
    ending = drumlin("history")
    assert ending.code == 1
    assert ending.line.startswith("drumlin: no home folder is known for this user")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_a_link_to_nothing(drumlin, tmp_path: Path) -> None:
    """The command and ``check`` say the same of it."""
    (tmp_path / "room").symlink_to(tmp_path / "gone")
    ending = drumlin("listen", "--data-dir", "room")
    assert ending.code == 1
    told = f"{tmp_path / 'room'} is a link to {tmp_path / 'gone'}, which is not there"
    assert ending.line == f"drumlin: {told}; make that folder, or choose another with --data-dir"
    assert told in drumlin("check", "--data-dir", "room").out


def test_a_fault_of_ours_without_a_home_folder(drumlin, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is told in one line, though its report has no place."""
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: Path("~/.local/share/drumlin"))
    monkeypatch.setattr(explain, "described", lambda *_: [][1])
    ending = drumlin("explain", "1")
    assert ending.code == 1
    assert ending.line.startswith("drumlin: something went wrong inside Drumlin (IndexError: ")
    assert "the details could not be kept: no home folder is known" in ending.line


@pytest.mark.skipif(sys.platform != "linux", reason="other systems keep a folder that somebody is in")
def test_the_folder_one_is_in_is_gone(drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A relative folder can't be found then, which is no fault of the output."""
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    ending = drumlin("history", "--data-dir", "room")
    monkeypatch.chdir(tmp_path)
    assert ending.code == 1
    assert ending.line == "drumlin: the folder you are in is gone; change to another, or write --data-dir whole"


def test_a_folder_in_place_of_the_records(drumlin, tmp_path: Path) -> None:
    """The command and ``check`` say the same of it."""
    (tmp_path / "room" / "records.sqlite").mkdir(parents=True)
    ending, checked = drumlin("history", "--data-dir", "room"), drumlin("check", "--data-dir", "room")
    assert (ending.code, checked.code) == (1, 1)
    told = f"{tmp_path / 'room' / 'records.sqlite'} is a folder where the records should be; move it elsewhere"
    assert ending.line == f"drumlin: {told}"
    assert f"records: broken, {told}" in checked.out


def test_a_folder_with_a_name_too_long(drumlin) -> None:
    """The command and ``check`` agree."""
    ending, checked = drumlin("listen", "--data-dir", "n" * 300), drumlin("check", "--data-dir", "n" * 300)
    assert (ending.code, checked.code) == (1, 1)
    assert "File name too long" in ending.line
    assert "data folder: broken, its name is too long" in checked.out


def test_the_clock_says_year_10000(drumlin, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No date can be written then: one line says so, and nothing is made."""
    monkeypatch.setattr("time.time", lambda: 253_402_300_800.0)
    ending = drumlin("listen", "--data-dir", "room")
    assert ending.code == 1
    assert (
        ending.line == "drumlin: the clock of this machine says that it is the year 9999 or later; set it right first"
    )
    assert not (tmp_path / "room").exists()


@pytest.mark.skipif(os.name != "posix", reason="needs signals")
@pytest.mark.usefixtures("interruptible")
def test_a_real_interrupt() -> None:
    """Ctrl-C at a prompt ends a process with 130 and one line."""
    with subprocess.Popen(
        [sys.executable, "-m", "game", "listen"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "SDL_AUDIODRIVER": "nonesuch"},
    ) as running:
        assert running.stdout
        while running.stdout.readline() != "Answer with the bar as you count it; ? is help.\n":
            assert running.poll() is None
        running.send_signal(signal.SIGINT)
        _, said = running.communicate(timeout=60)
    assert (running.returncode, said) == (130, "drumlin: interrupted\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", [("explain", "1"), ("--help",), ("write", "--help"), ("--version",)])
def test_a_full_output_is_one_line(words: tuple[str, ...]) -> None:
    """Output that can't be written is told in one line, with exit code 1, help included."""
    with Path("/dev/full").open("w") as full:
        ran = process(*words, output=full.fileno())
    assert ran.returncode == 1
    assert ran.stderr.splitlines() == [
        "drumlin: the output can't be written: No space left on device; make room or send it elsewhere"
    ]
