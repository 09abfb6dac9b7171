"""Copies of the records."""

from pathlib import Path

import pytest

from game.records import Records, RecordsError
from game.records.backups import newest_backup
from game.records.folders import day, minute
from tests.records.record_samples import DAY, NOW, bar, integrity, uuid


@pytest.fixture
def kept(folder: Path) -> Path:
    """A data folder whose records hold a pupil with one bar; the program is closed."""
    with Records.open(folder, NOW) as records:
        records.append(records.add_player("Wren", NOW), uuid(1), bar())
    return folder


def backups_in(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "backups").glob("*"))


def open_on(folder: Path, days: float) -> None:
    Records.open(folder, NOW + days * DAY).close()


def test_empty_records_need_no_backup(folder: Path) -> None:
    """The very first start makes none."""
    open_on(folder, 0)
    assert not (folder / "backups").exists()


def test_each_day_has_one_backup(kept: Path) -> None:
    """The first start of a day makes it; the next ones leave it as it is."""
    open_on(kept, 1)
    before = (kept / "backups" / backups_in(kept)[0]).stat()
    open_on(kept, 1)
    assert backups_in(kept) == [f"records-{day(NOW + DAY)}.sqlite"]
    assert (kept / "backups" / backups_in(kept)[0]).stat() == before


def test_the_last_seven_are_kept(kept: Path) -> None:
    """After ten days of play the seven latest are there, sound and whole."""
    for days in range(1, 11):
        open_on(kept, days)
    assert backups_in(kept) == [f"records-{day(NOW + days * DAY)}.sqlite" for days in range(4, 11)]
    assert all(integrity(kept / "backups" / name) == "ok" for name in backups_in(kept))


def test_a_clock_that_jumped_back_loses_no_backup(kept: Path) -> None:
    """Today's backup is made and kept even when seven later ones are there."""
    for days in (*range(10, 18), 1):
        open_on(kept, days)
    assert backups_in(kept) == [f"records-{day(NOW + days * DAY)}.sqlite" for days in (1, *range(12, 18))]


def test_other_files_among_the_backups_stay(kept: Path) -> None:
    """Pruning touches only the daily backups."""
    open_on(kept, 1)
    (kept / "backups" / "records-from-school.sqlite").write_bytes(b"mine")
    for days in range(2, 12):
        open_on(kept, days)
    assert "records-from-school.sqlite" in backups_in(kept)


def test_a_failed_backup_stops_nothing(kept: Path) -> None:
    """Where today's backup can't be made, the records open, with a notice."""
    (kept / "backups").write_text("in the way")
    with Records.open(kept, NOW + DAY) as records:
        assert records.opening.notice is not None
        assert records.opening.notice.startswith("Today's backup could not be made:")
        assert records.answers(records.find_player("Wren")) == bar()


def test_an_unsound_backup_is_not_offered(kept: Path) -> None:
    """The newest backup is the newest that is sound."""
    open_on(kept, 1)
    (kept / "backups" / f"records-{day(NOW + 2 * DAY)}.sqlite").write_bytes(b"torn")
    assert newest_backup(kept, NOW + DAY) == kept / "backups" / f"records-{day(NOW + DAY)}.sqlite"


def test_a_backup_can_go_anywhere(kept: Path, tmp_path: Path) -> None:
    """A backup on demand is a whole copy; an older backup of that name is replaced."""
    target = tmp_path / "stick.sqlite"
    with Records.open(kept, NOW) as records:
        wren = records.find_player("Wren")
        records.backup(target)
        records.append(wren, uuid(2), bar(at=NOW + 1))
        records.backup(target)
    with Records.in_memory() as other:
        other.restore(target, NOW)
        assert other.answers(other.find_player("Wren")) == bar() + bar(at=NOW + 1)
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".part"] == []


def test_a_backup_replaces_nothing_else(kept: Path, tmp_path: Path) -> None:
    """Another file of that name, the records themselves, a folder, a missing folder: one line each."""
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Ash")
    with Records.open(kept, NOW) as records:
        with pytest.raises(RecordsError, match=r"letter\.txt: a file that is no backup of records is there already"):
            records.backup(letter)
        with pytest.raises(RecordsError, match="is the records file itself; choose another name"):
            records.backup(kept / "records.sqlite")
        with pytest.raises(RecordsError, match="this is a folder"):
            records.backup(tmp_path)
        with pytest.raises(RecordsError, match="there is no folder"):
            records.backup(tmp_path / "nowhere" / "copy.sqlite")
    assert letter.read_text() == "Dear Ash"


def test_restoring_keeps_what_was_there(kept: Path) -> None:
    """What is replaced by a backup is first kept under a new name, and the caller is told where."""
    open_on(kept, 1)
    backup = newest_backup(kept, NOW)
    assert backup is not None
    with Records.open(kept, NOW + DAY) as records:
        records.append(records.find_player("Wren"), uuid(2), bar(at=NOW + 1))
        aside = records.restore(backup, NOW + DAY)
        assert records.answers(records.find_player("Wren")) == bar()
        assert aside == kept / f"records-before-restore-{minute(NOW + DAY)}.sqlite"
        records.restore(aside, NOW + DAY)
        assert records.answers(records.find_player("Wren")) == bar() + bar(at=NOW + 1)


def test_a_backup_is_no_history_file(kept: Path, tmp_path: Path) -> None:
    """Who mixes up the two is told what the other is brought back with."""
    with Records.open(kept, NOW) as records:
        records.backup(tmp_path / "all.sqlite")
        with pytest.raises(RecordsError, match="use `drumlin history restore`"):
            records.import_history(tmp_path / "all.sqlite", NOW)


def test_the_records_are_no_backup_of_themselves(kept: Path) -> None:
    """It is said in so many words, by whatever path they are named; nothing is changed."""
    with Records.open(kept, NOW) as records:
        for path in (kept / "records.sqlite", kept / ".." / kept.name / "records.sqlite"):
            with pytest.raises(RecordsError, match="is the records file itself; choose a backup"):
                records.restore(path, NOW)
    assert list(kept.glob("records-before-restore*")) == []


def test_an_unsound_backup_is_not_restored(kept: Path, tmp_path: Path) -> None:
    """A file that is no backup changes nothing."""
    (tmp_path / "torn.sqlite").write_bytes(b"torn")
    with Records.open(kept, NOW) as records:
        for name in ("torn.sqlite", "missing.sqlite"):
            with pytest.raises(RecordsError, match=rf"{name} is no sound backup of records; choose another"):
                records.restore(tmp_path / name, NOW)
        assert records.answers(records.find_player("Wren")) == bar()
    assert not (tmp_path / "missing.sqlite").exists()
