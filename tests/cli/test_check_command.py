"""``drumlin check`` says what works here, and what would do where something does not."""

import hashlib
import json
import shutil
import sqlite3
from base64 import urlsafe_b64encode
from contextlib import closing
from importlib.metadata import FileHash, PackagePath
from pathlib import Path
from types import SimpleNamespace

import pygame
import pytest

from game.cli import check
from game.records import Records
from game.records.folders import day
from shared import levels

NOW = 1_750_000_000.0


@pytest.fixture(autouse=True)
def no_devices(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine with neither display nor sound, whatever the test runs on."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "nonesuch")
    monkeypatch.setenv("SDL_AUDIODRIVER", "nonesuch")


def lines(out: str) -> dict[str, str]:
    """The findings by part."""
    return dict(line.split(": ", 1) for line in out.splitlines())


def test_every_part_has_a_line(drumlin) -> None:
    """Each part of the machine is told in one line; that some are missing is no failure."""
    ending = drumlin("check")
    told = lines(ending.out)
    assert (ending.code, ending.err) == (0, "")
    assert list(told) == [
        "versions", "own files", "pygame", "display", "sound out", "fonts", "levels", "data folder", "records",
        "backups", "kept sounds", "MIDI pads", "microphone",
    ]  # fmt: skip
    assert told["fonts"] == "ok, music and text"
    assert told["pygame"] == "ok, the community edition"


def test_what_is_missing_comes_with_what_would_do(drumlin) -> None:
    """Without display and sound the lines say what still works."""
    told = lines(drumlin("check").out)
    assert told["display"].startswith("missing, ")
    assert told["display"].endswith("; `drumlin listen` and the other commands need none")
    assert told["sound out"].startswith("missing, No sound device was found")
    assert told["sound out"].endswith("; `drumlin write` needs none")


def test_drivers_that_work(drumlin, monkeypatch: pytest.MonkeyPatch) -> None:
    """With drivers that open, display and sound are told as ok."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("SDL_AUDIODRIVER", "dummy")
    told = lines(drumlin("check").out)
    assert told["display"].startswith("ok, dummy, ")
    assert told["sound out"].startswith("ok, ")


def test_device_names_that_are_not_told() -> None:
    """Where SDL names no devices, because no audio system is there, there are none: no error comes through."""
    pygame.mixer.quit()
    assert check.device_names() == []


def test_nothing_is_made(drumlin, tmp_path: Path) -> None:
    """A data folder that is not there yet is told of, not made."""
    told = lines(drumlin("check", "--data-dir", str(tmp_path / "new")).out)
    assert told["data folder"] == f"ok, {tmp_path / 'new'}, made when first needed"
    assert told["records"] == "ok, none yet"
    assert not (tmp_path / "new").exists()


def test_a_file_for_a_folder(drumlin, tmp_path: Path) -> None:
    """A data folder that is a file can't work, and the exit code says so."""
    (tmp_path / "file").write_text("rain", encoding="utf-8")
    ending = drumlin("check", "--data-dir", str(tmp_path / "file" / "room"))
    assert ending.code == 1
    assert lines(ending.out)["data folder"] == (
        f"broken, {tmp_path / 'file'} is no folder; choose another with --data-dir"
    )


def test_a_folder_that_may_not_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A read-only data folder is broken."""
    monkeypatch.setattr(check.os, "access", lambda *_: False)
    found = check.data(tmp_path)
    assert (found.state, found.found) == ("broken", f"{tmp_path} may not be written to")


def test_sound_records(drumlin, tmp_path: Path) -> None:
    """Records in order are named."""
    Records.open(tmp_path / "room", 0.0).close()
    told = lines(drumlin("check", "--data-dir", str(tmp_path / "room")).out)
    assert told["records"] == f"ok, {tmp_path / 'room' / 'records.sqlite'}"


def test_damaged_records(drumlin, tmp_path: Path) -> None:
    """Damaged records are told of and left as they are."""
    path = tmp_path / "records.sqlite"
    path.write_bytes(b"rain on the millrace" * 100)
    ending = drumlin("check", "--data-dir", str(tmp_path))
    assert ending.code == 1
    assert lines(ending.out)["records"].startswith(f"broken, {path} is no database; ")
    assert path.read_bytes() == b"rain on the millrace" * 100


def test_locked_records_are_not_damaged(drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where another program holds them: who has them, and what to do; no talk of restoring."""
    Records.open(tmp_path / "room", 0.0).close()
    path = tmp_path / "room" / "records.sqlite"
    connect = sqlite3.connect
    monkeypatch.setattr(sqlite3, "connect", lambda *place, **how: connect(*place, **how | {"timeout": 0.05}))
    with closing(connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        ending = drumlin("check", "--data-dir", str(tmp_path / "room"))
    assert ending.code == 1
    assert lines(ending.out)["records"] == (
        f"broken, {path} is in use by another program; close other Drumlin windows and try again"
    )


def test_an_empty_file_is_not_damaged(drumlin, tmp_path: Path) -> None:
    """A file without a byte holds nothing that could be lost."""
    (tmp_path / "records.sqlite").touch()
    ending = drumlin("check", "--data-dir", str(tmp_path))
    assert lines(ending.out)["records"] == f"ok, {tmp_path / 'records.sqlite'} is empty and will be filled"


def test_records_of_a_later_version_are_not_damaged(drumlin, tmp_path: Path) -> None:
    """They are told as what they are."""
    Records.open(tmp_path, 0.0).close()
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as connection:
        connection.execute("PRAGMA user_version = 99")
    told = lines(drumlin("check", "--data-dir", str(tmp_path)).out)["records"]
    assert "was written by a later Drumlin" in told
    assert "damaged" not in told


def test_backups_of_days_to_come_are_put_behind(drumlin, tmp_path: Path) -> None:
    """The newest is that of the latest day so far; what a wrong clock made is named."""
    for at in (NOW, 4_102_444_800.0 + 86_400.0, NOW + 86_400.0):
        for _ in range(2):
            Records.open(tmp_path, at).close()
    told = lines(drumlin("check", "--data-dir", str(tmp_path)).out)["backups"]
    assert f"records-{day(NOW + 86_400.0)}.sqlite; made while the clock was wrong: records-2100-01-0" in told


@pytest.mark.parametrize("name", ["stage-3.toml", "figures.toml", "ladder.toml"])
@pytest.mark.parametrize("damage", [b"\xff\xfe", b"title = [", b"", None])
def test_damaged_levels(
    drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, damage: bytes | None
) -> None:
    """Whatever became of a file that came with the program: its name, and to install again."""
    shipped = tmp_path / "shipped"
    shutil.copytree(levels.SHIPPED, shipped)
    if damage is None:
        (shipped / name).unlink()
    else:
        (shipped / name).write_bytes(damage)
    monkeypatch.setattr(levels, "SHIPPED", shipped)
    for cached in (levels.vocabulary, levels.ladder, levels.shipped_level):
        cached.cache_clear()
    try:
        told = lines(drumlin("check").out)["levels"]
    finally:
        for cached in (levels.vocabulary, levels.ladder, levels.shipped_level):
            cached.cache_clear()
    assert told == f"broken, {shipped / name}: is damaged, though it came with Drumlin; install Drumlin again"


def test_a_folder_with_too_long_a_name(tmp_path: Path) -> None:
    """No file system takes it."""
    found = check.data(tmp_path / ("x" * 300))
    assert (found.state, found.found) == ("broken", "its name is too long")


def test_unreadable_fonts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A font file that is no font is broken."""
    (tmp_path / "music.ttf").write_text("rain", encoding="utf-8")
    monkeypatch.setattr("game.cli.check.MUSIC_FONT", tmp_path / "music.ttf")
    found = check.fonts()
    assert found.state == "broken"
    assert found.found.startswith(f"{tmp_path / 'music.ttf'} can't be read")


def test_json(drumlin) -> None:
    """The findings as JSON."""
    told = json.loads(drumlin("check", "--json").out)
    assert {finding["state"] for finding in told} <= {"ok", "missing", "broken"}
    assert set(told[0]) == {"part", "state", "found", "advice"}


def test_kept_sounds_are_named(drumlin, tmp_path: Path) -> None:
    """What is kept of the sound has a place in the data folder, which the check names, and `write` fills."""
    drumlin("write", "1 e a", str(tmp_path / "bar.wav"), "--data-dir", str(tmp_path))
    assert (
        f"drum hits in {tmp_path / 'cache'}" in lines(drumlin("check", "--data-dir", str(tmp_path)).out)["kept sounds"]
    )


@pytest.mark.parametrize("text", ["class Other: ...", None], ids=["overwritten", "gone"])
def test_a_file_that_another_distribution_changed(
    drumlin, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, text: str | None
) -> None:
    """Each file is held against the record that the installation made of it."""
    files = []
    for name in ("shared/errors.py", "shared/files.py", "drumlin.dist-info/METADATA"):
        path = tmp_path / "site" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"# {name}\n", "utf-8")
        file = PackagePath(name)
        file.dist = SimpleNamespace(locate_file=lambda place: tmp_path / "site" / place)
        digest = urlsafe_b64encode(hashlib.sha256(path.read_bytes()).digest()).decode().rstrip("=")
        file.hash = FileHash(f"sha256={digest}")
        files.append(file)
    monkeypatch.setattr(check, "distribution", lambda _: SimpleNamespace(files=files))
    assert check.own_files().state == check.OK
    changed = tmp_path / "site" / "shared" / "errors.py"
    changed.unlink() if text is None else changed.write_text(text, "utf-8")
    ending = drumlin("check")
    assert ending.code == 1
    assert lines(ending.out)["own files"].startswith("broken, shared/errors.py not as installed; install Drumlin in an")
