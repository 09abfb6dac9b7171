"""One-shots are kept between runs, never needed and never trusted."""

import os
from pathlib import Path

import numpy as np
import pytest

from audio import store
from audio.kit import Bank
from audio.store import Store, version


def kept_in(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_kept_hits_are_the_same_to_the_bit(tmp_path: Path) -> None:
    """A second run takes what the first one made, unchanged, peaks and all."""
    made, taken = (Bank("stage", 3, folder=tmp_path).shot("snare", 0.8) for _ in range(2))
    assert np.array_equal(made.samples, taken.samples)
    assert np.array_equal(made.peaks, taken.peaks)
    assert np.array_equal(made.samples, Bank("stage", 3).shot("snare", 0.8).samples)


def test_a_kept_hit_is_not_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is synthesised for what is there."""
    Bank(folder=tmp_path).shot("kick", 0.8)
    monkeypatch.setattr("audio.voicing.hit_of", lambda *_: pytest.fail("made again"))
    assert Bank(folder=tmp_path).shot("kick", 0.8).samples.size


@pytest.mark.parametrize("damage", [lambda data: data[:-1], lambda data: data[:9] + b"?" + data[10:], lambda _: b""])
def test_a_damaged_file_is_made_anew(damage, tmp_path: Path) -> None:
    """Whatever has become of a file, the player hears the right sound, and the file is mended."""
    right = Bank(folder=tmp_path).shot("kick", 0.8)
    (path,) = kept_in(tmp_path)
    data = path.read_bytes()
    path.write_bytes(damage(data))
    assert np.array_equal(Bank(folder=tmp_path).shot("kick", 0.8).samples, right.samples)
    assert path.read_bytes() == data


def test_kits_rooms_and_takes_do_not_mix(tmp_path: Path) -> None:
    """Each kit, room and seed has its own files."""
    banks = [Bank("practice", folder=tmp_path), Bank("stage", folder=tmp_path), Bank("practice", 1, folder=tmp_path)]
    for bank in (*banks, Bank("practice", room="hall", folder=tmp_path)):
        bank.shot("snare", 0.8)
    assert len(kept_in(tmp_path)) == 4


def test_another_version_forgets_the_old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the sources change, what they made before goes."""
    Bank(folder=tmp_path).shot("kick", 0.8)
    (old,) = kept_in(tmp_path)
    monkeypatch.setattr(store, "version", lambda: "another")
    Bank(folder=tmp_path).shot("kick", 0.8)
    assert not old.exists()
    assert [path.parent.name for path in kept_in(tmp_path)] == ["another"]


def test_the_version_follows_the_sources(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is worked out from every file that shapes the sound, so that nobody has to think of it."""
    folder = Path(store.__file__).parent
    shaping = {path.stem for path in folder.glob("*.py")} - {
        "__init__", "midi", "mixdown", "outputs", "player", "sound", "wav"
    }  # fmt: skip
    assert shaping >= set(store.SOURCES)
    for name in store.SOURCES:
        (tmp_path / f"{name}.py").write_text(name, "utf-8")
    monkeypatch.setattr(store, "__file__", str(tmp_path / "store.py"))
    version.cache_clear()
    before = version()
    (tmp_path / "voices.py").write_text("louder", "utf-8")
    version.cache_clear()
    assert len({before, version()}) == 2
    version.cache_clear()


def test_the_folder_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond its bound the oldest files go."""
    monkeypatch.setattr(store, "MOST_BYTES", 50_000)
    one = Store(tmp_path)
    for number in range(20):
        one.keep(f"hit-{number}", np.ones(4, np.float32), np.ones((2000, 2), np.int16))
        os.utime(tmp_path / version() / f"hit-{number}", (number, number))
    assert sum(path.stat().st_size for path in kept_in(tmp_path)) <= 50_000
    assert one.take("hit-19") is not None
    assert one.take("hit-0") is None


@pytest.mark.parametrize("fault", ["a file", "read-only"])
def test_a_folder_that_cannot_be_is_no_fault(fault: str, tmp_path: Path) -> None:
    """Where nothing can be kept, the sound is made as ever."""
    folder = tmp_path / "cache"
    if fault == "a file":
        folder.write_text("", "utf-8")
    else:
        folder.mkdir(mode=0o500)
    assert Bank(folder=folder).shot("kick", 0.8).samples.size
