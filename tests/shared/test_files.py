"""Files are written whole or not at all, and every refusal is one clear line."""

import errno
import os
import signal
from pathlib import Path

import pytest

from shared.files import FileError, check_portable, slug, write_beside, write_together


def test_writes_the_bytes(tmp_path: Path) -> None:
    """What was given is what the file holds."""
    write_beside(tmp_path / "bar.mid", b"MThd")
    assert (tmp_path / "bar.mid").read_bytes() == b"MThd"


def test_replaces_a_file(tmp_path: Path) -> None:
    """A second writing takes the place of the first and leaves nothing else behind."""
    write_beside(tmp_path / "bar.mid", b"one")
    write_beside(tmp_path / "bar.mid", b"two")
    assert [path.name for path in tmp_path.iterdir()] == ["bar.mid"]
    assert (tmp_path / "bar.mid").read_bytes() == b"two"


def test_odd_characters_are_only_a_name(tmp_path: Path) -> None:
    """A name with spaces, quotes and foreign letters is written like any other."""
    name = "Übung \"3\" – 'e & a' ♩.svg"
    write_beside(tmp_path / name, b"<svg/>")
    assert [path.name for path in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("missing/bar.wav", "there is no folder"),
        (".", "this is a folder"),
        ("/", "this names a folder; add a file name"),
        ("a\0b.wav", "cannot hold a zero character"),
        ("n" * 300 + ".wav", "the name is too long"),
    ],
)
def test_refusals_name_the_fault(tmp_path: Path, name: str, words: str) -> None:
    """A path that cannot be written gives one line that says why, and no file."""
    with pytest.raises(FileError, match=words) as fault:
        write_beside(tmp_path / name, b"x")
    assert len(str(fault.value).splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EACCES, "may not be written to"),
        (errno.EROFS, "may not be written to"),
        (errno.EIO, "nothing was written"),
    ],
)
def test_a_failing_disk_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, words: str
) -> None:
    """When the bytes do not reach the disk the old file stays as it was, with nothing beside it."""
    (tmp_path / "bar.wav").write_bytes(b"old")

    def fail(_: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(FileError, match=words):
        write_beside(tmp_path / "bar.wav", b"new")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("bar.wav", b"old")]


def test_line_breaks_in_names_stay_one_line(tmp_path: Path) -> None:
    """A message stays one line whatever the name holds."""
    with pytest.raises(FileError) as fault:
        write_beside(tmp_path / "a\nb" / "c.wav", b"x")
    assert len(str(fault.value).splitlines()) == 1


def test_files_together_are_all_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full at the second file the first one does not come about either."""
    (tmp_path / "sheet.pdf").write_bytes(b"old")
    calls = iter([None, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))])

    def fail_at_second(_: int) -> None:
        fault = next(calls)
        if fault:
            raise fault

    monkeypatch.setattr(os, "fsync", fail_at_second)
    with pytest.raises(FileError, match=r"sheet\.wav: the disk is full"):
        write_together({tmp_path / "sheet.pdf": b"new", tmp_path / "sheet.wav": b"RIFF"})
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("sheet.pdf", b"old")]


def test_files_together_are_looked_at_first(tmp_path: Path) -> None:
    """A second place that holds no file stops the first."""
    with pytest.raises(FileError, match="there is no folder"):
        write_together({tmp_path / "sheet.pdf": b"new", tmp_path / "nowhere" / "sheet.wav": b"RIFF"})
    assert list(tmp_path.iterdir()) == []


def test_files_together_are_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the second can't take its name, as of a file that is open on Windows, the first is what it was before."""
    (tmp_path / "a.mid").write_bytes(b"old")
    plain = Path.replace

    def replace(path: Path, target: Path) -> Path:
        if target.name == "c.svg":
            raise PermissionError(errno.EACCES, "in use")
        return plain(path, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(FileError, match=r"c\.svg"):
        write_together({tmp_path / "a.mid": b"new", tmp_path / "b.wav": b"new", tmp_path / "c.svg": b"new"})
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a.mid", b"old")]


def test_an_interrupt_waits_until_files_that_belong_together_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It comes afterwards, so that nobody finds two of six."""
    monkeypatch.setattr(signal, "SIGTERM", signal.SIGINT)  # a runner of tests may listen to the other one
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    plain = Path.replace

    def replace(path: Path, target: Path) -> Path:
        signal.raise_signal(signal.SIGINT)
        return plain(path, target)

    monkeypatch.setattr(Path, "replace", replace)
    try:
        with pytest.raises(KeyboardInterrupt):
            write_together({tmp_path / "a.mid": b"new", tmp_path / "b.wav": b"new"})
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.mid", "b.wav"]


@pytest.mark.parametrize(
    "name",
    ["CON.wav", "nul.mid", "Com1.x.pdf", "LPT².wav", "a:b.wav", "a?.wav", "a\\b.wav", "a\n.wav", "a.wav.", "a.wav "],
)
def test_names_that_windows_does_not_take(name: str) -> None:
    """They are told wherever a file is named, for files travel."""
    with pytest.raises(FileError, match=r"Windows .*; choose another name") as fault:
        check_portable(Path(name))
    assert len(str(fault.value).splitlines()) == 1


@pytest.mark.parametrize("name", ["CONCERT.wav", "com.wav", "Übung 3.wav", ".wav", "a.b.wav"])
def test_names_that_windows_takes(name: str) -> None:
    """Only the names themselves are kept for devices, not what begins with them."""
    check_portable(Path(name))


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Con", "con-1"),
        ("lpt1", "lpt1-1"),
        ("Wren's fill", "wren-s-fill"),
        ("../..", ""),
        ("a/b\\c:d", "a-b-c-d"),
        ("Übung_3", "übung-3"),
        ("x " * 40, "x-" * 29 + "x"),
    ],
)
def test_names_become_file_names(name: str, file: str) -> None:
    """No name leads out of its folder, and none is longer than a system takes."""
    assert slug(name) == file
