"""Files that were made to hurt: huge, deep, odd, linked, pointing elsewhere.  Time and memory stay bounded."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from game.cli.script import answers_in
from game.records import Records, RecordsError
from shared.counting import CountError, parse_bar
from shared.files import FileError
from shared.levels import SHIPPED, LevelError, find_level, load_level
from tests.sampling import some
from tests.trust.fuzz import good_history
from tests.trust.versions import ROOT

NOW = 1_750_000_000.0
MB = 2**20
LEVEL = (SHIPPED / "stage-2.toml").read_text("utf-8")

FILES: dict[str, Callable[[str], bytes]] = {
    "50 MB of one letter": lambda _: b"x" * 50 * MB,
    "50 MB of lines": lambda _: b"a\n" * 25 * MB,
    "5 MB of good text": lambda good: (good + "\n").encode() * (5 * MB // len(good)),
    "brackets, deeply nested": lambda _: b"[" * 100_000 + b"]" * 100_000,
    "tables, deeply nested": lambda _: b"a = " + b"{ a = " * 20_000 + b"1" + b" }" * 20_000,
    "objects, deeply nested": lambda _: b'{"a":' * 100_000 + b"1" + b"}" * 100_000,
    "dotted keys": lambda _: ".".join("a" * 9_900).encode() + b" = 1",
    "dotted tables": lambda _: b"[" + ".".join("a" * 9_900).encode() + b"]",
    "quoted and dotted keys": lambda _: b"a = { " + ".".join(["''"] * 6_600).encode() + b" = 1 }",
    "a number of a million digits": lambda _: b"format = " + b"9" * 1_000_000,
    "a number beyond all bounds": lambda good: good.encode().replace(b"1", b"1e999999"),
    "UTF-16": lambda good: good.encode("utf-16"),
    "UTF-32": lambda good: good.encode("utf-32"),
    "Latin-1": lambda good: good.encode("latin-1", "replace") + b"\xe9\xff",
    "a byte order mark": lambda good: b"\xef\xbb\xbf" + good.encode(),
    "old Mac line ends": lambda good: good.replace("\n", "\r").encode(),
    "zeros": lambda _: bytes(5 * MB),
    "noise": lambda _: os.urandom(MB),
}

LONGEST = 10.0
"""Seconds of the processor that any of these may take, on a slow machine."""


def taken(act: Callable[[], object], *ours: type[Exception]) -> float:
    """The processor's seconds for something that ends well or in an error of our own."""
    began = time.process_time()
    try:
        act()
    except ours as error:
        lines = str(error).split("\n")
        if len(lines) > 40 or max(map(len, lines)) > 2000:
            raise AssertionError(f"{len(lines)} lines, {max(map(len, lines))} characters") from error
    return time.process_time() - began


@pytest.mark.parametrize("name", FILES)
def test_a_level_file_is_bounded(name: str, tmp_path: Path) -> None:
    """A level, or faults that can be read, soon."""
    path = tmp_path / "level.toml"
    path.write_bytes(FILES[name](LEVEL))
    assert taken(lambda: load_level(path), LevelError) < LONGEST


@pytest.mark.parametrize("name", FILES)
def test_a_history_file_is_bounded(name: str, tmp_path: Path) -> None:
    """A history, or bad lines that can be read, soon; and nothing half brought in."""
    path = tmp_path / "history.json"
    path.write_bytes(FILES[name](good_history()))
    with Records.in_memory() as records:
        assert taken(lambda: records.import_history(path, NOW), RecordsError) < LONGEST


@pytest.mark.parametrize("name", FILES)
def test_a_backup_is_bounded(name: str, tmp_path: Path) -> None:
    """What is no backup is refused soon, and the records stay as they were."""
    path = tmp_path / "backup.sqlite"
    path.write_bytes(FILES[name](good_history()))
    with Records.open(tmp_path / "data", NOW) as records:
        records.add_player("Wren", NOW)
        assert taken(lambda: records.restore(path, NOW), RecordsError) < LONGEST
        assert [player.name for player in records.players()] == ["Wren"]


@pytest.mark.parametrize("name", FILES)
def test_a_file_of_answers_is_bounded(name: str, tmp_path: Path) -> None:
    """Answers for the terminal's quiz are read, or refused in a line, soon."""
    path = tmp_path / "answers.txt"
    path.write_bytes(FILES[name]("1 2 3 4\n"))
    assert taken(lambda: answers_in(path), FileError) < LONGEST


@pytest.mark.parametrize(
    "text", ["1 e & a " * 500_000, "(" * 1_000_000, "9" * 1_000_000, "\0" * 100_000, "é " * 500_000]
)
def test_a_count_is_bounded(text: str) -> None:
    """A count of megabytes is refused at once, in a line."""
    assert taken(lambda: parse_bar(text), CountError) < LONGEST


MEMORY = """
import resource, sys
from pathlib import Path
from game.records import Records, RecordsError
from shared.levels import LevelError, load_level
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
for read in (load_level, lambda path: Records.in_memory().import_history(path, 0.0)):
    try:
        read(Path(sys.argv[1]))
    except (LevelError, RecordsError):
        pass
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="memory is measured the Linux way")
@pytest.mark.parametrize("name", some(3, list(FILES)))
def test_memory_is_bounded(name: str, tmp_path: Path) -> None:
    """50 MB of text, and nothing smaller either, take no more memory than four times that."""
    path = tmp_path / "large"
    path.write_bytes(FILES[name](good_history()))
    told = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}){MEMORY}", path],
        capture_output=True, text=True, check=True, timeout=100,
    )  # fmt: skip
    assert int(told.stdout) < 200


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes are made the POSIX way")
def test_links_and_pipes_are_refused_or_read(tmp_path: Path) -> None:
    """A link to nowhere, to itself, a folder, a device: an error of our own, and no waiting."""
    (tmp_path / "nowhere").symlink_to(tmp_path / "missing")
    (tmp_path / "self").symlink_to(tmp_path / "self")
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path / "nowhere", tmp_path / "self", tmp_path, tmp_path / "pipe", Path(os.devnull)):
        with pytest.raises(LevelError):
            load_level(place)
        with Records.in_memory() as records, pytest.raises(RecordsError):
            records.import_history(place, NOW)


@pytest.mark.parametrize(
    "name", ["../stage-1", "..", "a/../../b", "/etc/passwd", "~root/x", "x" * 5000, "nul\0", "\ud800"]
)
def test_a_levels_name_leads_nowhere_else(name: str, tmp_path: Path) -> None:
    """Names with paths in them find no level, in one line."""
    with pytest.raises(LevelError) as refused:
        find_level(name, tmp_path)
    assert all(len(str(fault)) < 2000 for fault in refused.value.faults)
