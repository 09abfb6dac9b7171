"""Bad input, made from bytes: counts, level files, history files and command lines.

Each target takes bytes and raises only where the program failed: anything but a result or an error of our own, a
traceback on the command line, or a file written outside the folder it was sent to.
"""

import contextlib
import io
import os
import re
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from unittest import mock

from game.__main__ import main as drumlin
from game.learning.evidence import Answer
from game.records import RecordsError, Round
from shared.bars import METERS
from shared.counting import CountError, parse_bar, parse_figure
from shared.levels import SHIPPED, LevelError, load_level
from tests.records.record_samples import empty_records

NOW = 1_750_000_000.0
ODD = (
    "", " ", "\0", "\n", "\ufeff", "é", "\u202e", "\ud83e", "🥁", "1e999", "-0", "nan", "9" * 400, "[" * 400, "{" * 60,
    "../..", "/etc/passwd", "C:\\", "%s", "'", '"', '"""', "#", "=", "[[a]]", "true", "null", "1979-05-27", "0x1f",
    "\\u0000", "-1", "0", "1.5", "1_000", "inf", '"1 e"', "[]", "{}", '["1", "1"]', "x" * 3000,
)  # fmt: skip
COUNT_WORDS = (
    *"1234567890", "e", "&", "a", "and", "+", "ah", "uh", "trip", "let", "la", "li", "ta", "(", ")", "(1)", "(3)", "zz",
    "|", "-", "12", "&a", "1e&a",
)  # fmt: skip
COMMAND_WORDS = (
    "explain", "write", "sheet", "levels", "history", "check", "listen", "demo", "list", "orchestrations", "show",
    "export", "import", "backup", "restore", "--json", "--tempo", "--orchestration", "--groove-bars", "--count-in",
    "--no-count-in", "--seed", "--left-handed", "--swing", "--questions", "--player", "--level", "--data-dir", "data",
    "--meter", "--help", "--version", "--answers", "1 e a 2 & 3 4", "1 la li 2", "snare", "stage-1", "stage-8", "6/8",
    "80", "1", "in/level.toml", "in/history.json", "in/../in/level.toml", "out/bar.wav", "out/bar.mid", "out/bar.svg",
    "out/sheet.pdf", "out/x.csv", "out/no/such/bar.wav", "out", ".", "--", "-", "--full-screen", "--no-record",
)  # fmt: skip
COMMAND_STARTS = (
    "explain|1 e a 2 & 3 4", "write|1 e a 2 & 3 4|out/bar.wav", "write|1 la li 2|out/bar.mid|out/bar.svg", "listen",
    "listen|--answers|in/answers.txt", "sheet|stage-1|out/sheet.pdf|--questions|1", "levels|check|in/level.toml",
    "levels|orchestrations", "history|show", "history|export|out/x.csv", "history|import|in/history.json",
    "history|backup|out/all.sqlite", "history|restore|out/all.sqlite", "check",
)  # fmt: skip
"""Commands that can be carried out, their words parted by bars."""

REPLIES = (
    "", "1 2 3 4", "1 e a 2 & 3 4", "again", "slower", "beat 1", "b 9", "figures", "mine", "explain", "?", "skip",
    "quit", *ODD,
)  # fmt: skip
"""What may be typed in the terminal's quiz."""

EXIT_CODES = {0, 1, 2, 130}


class Bytes:
    """Choices, made from bytes; without any left, the first of everything."""

    def __init__(self, data: bytes) -> None:
        self._data = iter(data)

    def number(self) -> int:
        """0 to 255."""
        return next(self._data, 0)

    def of(self, things: Sequence[Any]) -> Any:
        """One of some things."""
        place = self.number() * 256 + self.number() if len(things) > 256 else self.number()
        return things[place % len(things)]

    def rest(self) -> bytes:
        """What is left."""
        return bytes(self._data)


def odd_text(data: Bytes) -> str:
    """Text of words that mean something to us and words that hurt."""
    kind = data.number() % 4
    if kind == 0:
        return data.rest().decode("utf-8", "surrogateescape")
    words = (COUNT_WORDS, COUNT_WORDS, (*COUNT_WORDS, *ODD))[kind - 1]
    gaps = (" ", " ", "", "\t", "  ")
    return "".join(data.of(words) + data.of(gaps) for _ in range(data.number() % 24))


def edited(text: str, data: Bytes) -> bytes:
    """A good file with a few edits: values replaced, lines left out, doubled, put in, bytes spoilt, the end cut."""
    if data.number() % 16 == 0:
        return data.rest()
    lines = text.split("\n")
    for _ in range(1 + data.number() % 4):
        place = data.of(range(len(lines)))
        lines[place] = _edited_line(lines[place], data)
    whole = "\n".join(lines).encode("utf-8", "surrogatepass")
    spoil = data.number()
    if spoil % 8 == 0 and whole:
        at = data.number() * 256 + data.number()
        whole = whole[: at % len(whole)] + data.rest()[:8] + whole[at % len(whole) + data.number() % 3 :]
    return whole


def _edited_line(line: str, data: Bytes) -> str:
    tokens = re.findall(r"\"[^\"]*\"|[\w.+-]+|\s+|.", line)
    kind = data.number() % 6
    if kind == 0 or not tokens:
        return str(data.of(ODD))
    place = data.of(range(len(tokens)))
    if kind == 1:
        return f"{line}\n{line}"
    if kind == 2:
        return "".join(tokens[:place])
    new = (data.of(ODD), f'"{data.of(COUNT_WORDS)} {data.of(COUNT_WORDS)}"', str(data.number() * 4 - 20))[kind - 3]
    return "".join([*tokens[:place], new, *tokens[place + 1 :]])


def counts(data: bytes, folder: Path) -> None:  # noqa: ARG001 - as every target
    """A count is a bar, or an error that says where."""
    source = Bytes(data)
    meter = source.of((None, *METERS.values()))
    text = odd_text(source)
    for parse in (lambda: parse_bar(text, meter), lambda: parse_figure(text)):
        try:
            assert str(parse().count)
        except CountError as error:
            expect(one_line(str(error)), str(error))


@cache
def good_levels() -> list[str]:
    """The shipped levels, as text."""
    return [path.read_text("utf-8") for path in sorted(SHIPPED.glob("*.toml"))]


def levels(data: bytes, folder: Path) -> None:
    """A level file is a level, or a list of faults, a line each."""
    source = Bytes(data)
    path = folder / "level.toml"
    path.write_bytes(edited(source.of(good_levels()), source))
    try:
        level = load_level(path)
        assert 2 <= len(level.figures) <= 24
    except LevelError as error:
        expect(error.faults and all(one_line(str(fault)) for fault in error.faults), error.faults)


@cache
def good_history() -> str:
    """A history file of a few answers, a round and an exam."""
    with tempfile.TemporaryDirectory() as folder, empty_records() as records:
        wren = records.add_player("Wren", NOW)
        row = Answer(NOW, "stage-3", "4/4", "1 e a 2 & 3 e a 4 & a", 0, "1 e a", "1 & a", 2.4, "snare", 80.0)
        records.append(wren, "12345678-1234-4234-8234-123456789abc", [row])
        records.save_round(wren, Round("stage-3", NOW, NOW + 300, 40, 31, 14, 640, 10))
        records.start_exam(wren, "stage-3", {"questions": 10}, NOW)
        path = Path(folder) / "history.json"
        records.export_history(path, wren)
        return path.read_text("utf-8")


def histories(data: bytes, folder: Path) -> None:
    """A history file is brought in, or refused with its bad lines; coming in, it can go out again."""
    path = folder / "history.json"
    path.write_bytes(edited(good_history(), Bytes(data)))
    with empty_records() as records:
        try:
            came = records.import_history(path, NOW)
        except RecordsError as error:
            expect(all(one_line(line) for line in str(error).split("\n")), str(error))
            expect(not records.players(), "something was taken from a bad file")
            return
        again = folder / "again.json"
        records.export_history(again, came.player)
        assert records.import_history(again, NOW).answers == 0
        again.unlink()


class HastyOutput:
    """A loudspeaker on which every question how far it is finds it a second further."""

    def __init__(self) -> None:
        self._elapsed = 0.0

    def start(self, samples: object) -> None:  # noqa: ARG002 - as every output
        self._elapsed = 0.0

    def elapsed(self) -> float:
        self._elapsed += 1.0
        return self._elapsed

    def stop(self) -> None:
        pass

    def close(self) -> None:
        pass


def no_catalogue(*_: object, **__: object) -> None:
    """What ``gettext.find`` finds: no translation; a plain function, as it is asked very often."""


def command_line(source: Bytes) -> list[str]:
    """Words of a command line: now and then a command that can be carried out, with words put into it."""
    words = str(source.of(COMMAND_STARTS)).split("|") if source.number() % 4 == 0 else []
    for _ in range(source.number() % 4 if words else 1 + source.number() % 7):
        word = odd_text(source) if source.number() % 8 == 0 else str(source.of(COMMAND_WORDS))
        words.insert(len(words) - source.number() % 4 if words else 0, word)
    return ["--data-dir", "data", *words] if source.number() % 2 else words


def commands(data: bytes, folder: Path) -> None:
    """A command line ends with one of four codes and no traceback, and writes nowhere but where it was told to."""
    source = Bytes(data)
    words, replies = command_line(source), [str(source.of(REPLIES)) for _ in range(source.number() % 32)]
    _prepare(folder)
    before = {path.name for path in folder.iterdir()}
    said = io.StringIO()
    with (
        _inside(folder),
        mock.patch("game.app.open_window", return_value=0),
        mock.patch("time.sleep"),
        mock.patch("sys.dont_write_bytecode", True),
        mock.patch("gettext.find", no_catalogue),
        mock.patch("audio.player.MixerOutput", HastyOutput),
        mock.patch("sys.stdin", io.StringIO("\n".join(replies))),
        contextlib.redirect_stdout(said),
        contextlib.redirect_stderr(said),
    ):
        code = drumlin(words)
    assert code in EXIT_CODES, (words, code)
    told = said.getvalue()
    assert "Traceback" not in told, (words, told)
    assert "went wrong inside" not in told, (words, told)
    named = {Path(word).parts[0] for word in words if Path(word).parts}
    new = {path.name for path in folder.iterdir()} - before - {"data"} - named
    assert not new or ("--data-dir", ".") in pairwise(words), (words, new)


def _prepare(folder: Path) -> None:
    for name in ("in", "out", "home"):
        (folder / name).mkdir(exist_ok=True)
    contents = {"level.toml": good_levels()[0], "history.json": good_history(), "answers.txt": "1 2 3 4\nskip\n1 e\n"}
    for name, content in contents.items():
        if not (folder / "in" / name).exists():
            (folder / "in" / name).write_text(content, "utf-8")


@contextmanager
def _inside(folder: Path) -> Iterator[None]:
    """Work in a folder, with everything that is written watched."""
    before, fence.folder = Path.cwd(), folder.resolve()
    os.chdir(folder)
    try:
        with mock.patch.dict(os.environ, {"XDG_DATA_HOME": str(folder / "home"), "HOME": str(folder / "home")}):
            yield
    finally:
        fence.folder = None
        os.chdir(before)


class Fence:
    """Refuses, while a folder is set, every file that is opened for writing outside it."""

    def __init__(self) -> None:
        self.folder: Path | None = None
        self._built = False

    def build(self) -> None:
        """Listen to this process; there is no way back, but nothing is refused without a folder."""
        if not self._built:
            self._built = True
            sys.addaudithook(self._hear)

    def _hear(self, event: str, arguments: tuple[Any, ...]) -> None:
        if self.folder is None or event not in ("open", "os.mkdir", "os.rename", "os.remove"):
            return
        place, *others = arguments
        if event == "open" and not (isinstance(others[0], str) and set(others[0]) & set("wax+")):
            return
        if isinstance(place, str | bytes | os.PathLike) and os.fspath(place) != os.devnull:
            real = Path(os.path.realpath(os.fsdecode(place)))
            assert self.folder in (real, *real.parents), f"{event} outside the folder: {real}"


fence = Fence()

TARGETS: dict[str, Callable[[bytes, Path], None]] = {
    "counts": counts,
    "levels": levels,
    "histories": histories,
    "commands": commands,
}


def expect(holds: object, what: object) -> None:
    """Fail unless something holds."""
    if not holds:
        raise AssertionError(what)


def one_line(text: str) -> bool:
    """Whether a text is one printable line, of a length to be read."""
    return text.splitlines() == [text] and len(text) < 2000


def prepared(target: str) -> Callable[[bytes, Path], None]:
    """A target, ready to run."""
    fence.build()
    return TARGETS[target]
