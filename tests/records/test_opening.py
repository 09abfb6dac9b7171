"""Opening the records file: new, old, newer, damaged, somebody else's, in use, out of reach."""

import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest

from game.data_folder import data_folder
from game.records import (
    DamagedRecordsError,
    NewerRecordsError,
    Player,
    Records,
    RecordsError,
    levels_folder,
)
from game.records.folders import made_folder, minute
from game.records.inspection import inspect
from game.records.log import Logged
from game.records.opening import set_aside
from game.records.schema import APPLICATION_ID, MIGRATIONS, upgrade
from tests.records.record_samples import ANSWER, DAY, NOW, bar, integrity, uuid
from tests.sampling import some


@pytest.fixture
def file(folder: Path) -> Path:
    """A closed records file with a pupil and two hundred answers."""
    with Records.open(folder, NOW - DAY) as records:
        wren = records.add_player("Wren", NOW)
        bars = (enumerate(bar(at=NOW + number)) for number in range(50))
        records.append_all(wren, [Logged(uuid(n), *answer) for n, answers in enumerate(bars) for answer in answers])
    return folder / "records.sqlite"


def answers_in(folder: Path) -> int:
    with Records.open(folder, NOW) as records:
        return records.count_answers(records.find_player("Wren"))


def test_a_new_file_says_whose_it_is(folder: Path) -> None:
    """A fresh file carries our mark and version, and needs no notice."""
    with Records.open(folder, NOW) as records:
        assert (records.opening.created, records.opening.notice, records.lasting) == (True, None, True)
    with closing(sqlite3.connect(folder / "records.sqlite")) as connection:
        assert connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        assert connection.execute("PRAGMA user_version").fetchone()[0] == MIGRATIONS[-1].version


def test_a_file_is_written_safely(records: Records) -> None:
    """One plain file, each commit forced to the disk, foreign keys checked."""
    settings = {"journal_mode": "delete", "synchronous": 2, "foreign_keys": 1}
    found = {name: records.database.row(f"PRAGMA {name}") for name in settings}
    assert found == {name: (value,) for name, value in settings.items()}


def test_every_table_is_strict(records: Records) -> None:
    """A text can't slip into a column of numbers."""
    tables = records.database.rows("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    assert {name for name, strict in tables if not strict and not name.startswith("sqlite_")} == set()


def test_opening_again_is_quiet(file: Path) -> None:
    """A sound file opens without a word."""
    with Records.open(file.parent, NOW) as records:
        assert (records.opening.created, records.opening.notice) == (False, None)


def cut_short(data: bytes) -> bytes:
    return data[: len(data) // 2]


def begun_anew(data: bytes) -> bytes:
    return b"Dear diary" + data[10:]


def flipped_owner(data: bytes) -> bytes:
    return data[:68] + bytes([data[68] ^ 1]) + data[69:]


def flipped_table(data: bytes) -> bytes:
    return data.replace(b'CREATE TABLE "answer"', b'CREATE TABLE "ancwer"', 1)


def flipped_comment(data: bytes) -> bytes:
    return data.replace(b"-- as shown", b"-- as \xf3hown", 1)


def flipped_page(data: bytes) -> bytes:
    return data[:8192] + bytes(byte ^ 0x10 for byte in data[8192:8200]) + data[8200:]


def flipped_row(data: bytes) -> bytes:
    return data.replace(b"wrenplayer", b"wrenplaxer", 1)


DAMAGES = (
    cut_short,
    flipped_row,
    begun_anew,
    flipped_owner,
    flipped_table,
    flipped_comment,
    flipped_page,
    lambda _: b"\0" * 5000,
    lambda _: b"x",
)


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_file_is_set_aside(file: Path, damage) -> None:  # type: ignore[no-untyped-def]
    """It is kept byte for byte under a new name, the newest backup is offered, and the player is told both."""
    with Records.open(file.parent, NOW):
        pass
    spoilt = damage(file.read_bytes())
    file.write_bytes(spoilt)
    with Records.open(file.parent, NOW) as records:
        opening = records.opening
        assert records.players() == []
    assert opening.set_aside == file.with_name(f"records-damaged-{minute(NOW)}.sqlite")
    assert opening.set_aside.read_bytes() == spoilt
    assert opening.backup is not None
    assert opening.notice is not None
    assert str(file) in opening.notice
    assert f"set aside as {opening.set_aside}" in opening.notice
    assert f"newest backup is {opening.backup}" in opening.notice


@pytest.mark.parametrize("damage", some(3, DAMAGES))
def test_a_backup_brings_everything_back(file: Path, damage) -> None:  # type: ignore[no-untyped-def]
    """After the damage the offered backup restores every answer it held, and the next start is quiet."""
    with Records.open(file.parent, NOW):
        pass
    file.write_bytes(damage(file.read_bytes()))
    with Records.open(file.parent, NOW) as records:
        assert records.opening.backup
        assert records.restore(records.opening.backup, NOW) is None
        assert records.count_answers(records.find_player("Wren")) == 200
    assert integrity(file) == "ok"
    assert answers_in(file.parent) == 200


def test_set_aside_files_never_collide(file: Path) -> None:
    """Two damaged files in one minute lie side by side."""
    asides = []
    for content in (b"first", b"second"):
        file.write_bytes(content)
        with Records.open(file.parent, NOW) as records:
            asides.append(records.opening.set_aside)
    assert [aside.read_bytes() for aside in asides if aside] == [b"first", b"second"]


@pytest.mark.parametrize("apart", [4999, pytest.param(1499, marks=pytest.mark.long)])
def test_every_flipped_bit_is_borne(file: Path, apart: int) -> None:
    """One bit flipped anywhere: the file opens, is set aside, or is refused in one line; never worse."""
    whole = file.read_bytes()
    with Records.open(file.parent, NOW):
        pass
    for place in range(0, len(whole), apart):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ (1 << place % 8)]) + whole[place + 1 :])
        try:
            with Records.open(file.parent, NOW) as records:
                for player in records.players():
                    records.answers(player)
        except RecordsError as error:
            refusal = str(error)
            assert refusal.splitlines() == [refusal]


def test_an_empty_file_is_a_new_one(folder: Path) -> None:
    """A start that was killed at once leaves an empty file, which is no damage."""
    folder.mkdir()
    (folder / "records.sqlite").touch()
    with Records.open(folder, NOW) as records:
        assert (records.opening.created, records.opening.notice) == (True, None)


def test_lost_records_mention_the_backup(file: Path) -> None:
    """Where the file has gone but a backup is there, the player is told."""
    with Records.open(file.parent, NOW):
        pass
    file.unlink()
    with Records.open(file.parent, NOW) as records:
        assert records.opening.notice == (
            f"No records were found in {file.parent}. "
            f"The newest backup is {records.opening.backup}: it can be brought back."
        )


def test_another_programs_database_is_left_alone(folder: Path) -> None:
    """A sound database that is not ours is refused in one line and not touched."""
    folder.mkdir()
    path = folder / "records.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE weather (rain REAL)")
    before = path.read_bytes()
    with pytest.raises(RecordsError, match=r"belongs to another program; move it away or choose another --data-dir"):
        Records.open(folder, NOW)
    assert [entry.name for entry in folder.iterdir()] == ["records.sqlite"]
    assert path.read_bytes() == before


def test_a_later_versions_file_is_left_alone(file: Path) -> None:
    """Records of a later Drumlin are refused kindly and not touched."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA user_version = 99")
    before = file.read_bytes()
    told = rf"later Drumlin \(version 99; this one reads up to {MIGRATIONS[-1].version}\); nothing was"
    with pytest.raises(NewerRecordsError, match=told):
        Records.open(file.parent, NOW)
    assert file.read_bytes() == before


@contextmanager
def locked(file: Path) -> Iterator[None]:
    """The file, held by another connection that is writing."""
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        yield


def test_a_locked_file_is_waited_for_and_told(file: Path) -> None:
    """Where another program does not let go, one line says so, and nothing is set aside."""
    with locked(file), pytest.raises(RecordsError, match="is in use by another program; close other Drumlin windows"):
        Records.open(file.parent, NOW, wait=0.05)
    assert answers_in(file.parent) == 200


def test_writing_to_a_locked_file_is_told(file: Path) -> None:
    """A lock that comes later stops an append in one line; afterwards the same append goes through."""
    with Records.open(file.parent, NOW, wait=0.05) as records:
        wren = records.find_player("Wren")
        with locked(file), pytest.raises(RecordsError, match="is in use by another program"):
            records.append(wren, uuid(900), bar())
        assert records.append(wren, uuid(900), bar()) == 4


def test_a_folder_that_cannot_be_is_told(tmp_path: Path) -> None:
    """Where the data folder can't be made, one line names it and what would do."""
    (tmp_path / "wall").touch()
    with pytest.raises(RecordsError, match=r"wall/data can't be used as a folder: .*; choose another with --data-dir"):
        Records.open(tmp_path / "wall" / "data", NOW)


def test_out_of_reach_records_live_in_memory(tmp_path: Path) -> None:
    """The program goes on without a file, says why, and everything but lasting works."""
    (tmp_path / "wall").touch()
    with Records.open_or_in_memory(tmp_path / "wall" / "data", NOW) as records:
        assert not records.lasting
        assert records.opening.notice is not None
        assert records.opening.notice.endswith("Until then nothing of this session is kept.")
        wren = records.add_player("Wren", NOW)
        records.append(wren, uuid(1), bar())
        assert records.answers(wren) == bar()


def test_a_vanished_file_is_noticed(file: Path) -> None:
    """Nothing is written into a file that was deleted or replaced under our feet."""
    with Records.open(file.parent, NOW) as records:
        wren = records.find_player("Wren")
        file.rename(file.with_name("elsewhere.sqlite"))
        with pytest.raises(RecordsError, match=r"records\.sqlite was moved, deleted or replaced; put it back"):
            records.append(wren, uuid(900), bar())
        file.with_name("elsewhere.sqlite").rename(file)
        assert records.append(wren, uuid(900), bar()) == 4


@pytest.mark.parametrize("content", [b"Dear diary" * 5000, b""])
def test_damage_while_running_is_told(file: Path, content: bytes) -> None:
    """A file that breaks or is emptied while it is open: one line, and the next start goes on from there."""
    with Records.open(file.parent, NOW) as records:
        wren = records.find_player("Wren")
        file.write_bytes(content)
        with pytest.raises(DamagedRecordsError, match="start Drumlin again"):
            records.append(wren, uuid(900), bar())


def test_a_garbled_letter_costs_no_more(file: Path) -> None:
    """A text that is no UTF-8 any more is read with a mark in place of the letter."""
    file.write_bytes(file.read_bytes().replace(b"1 e a 2 & 3 e a 4 & a", b"1 e a 2 & 3 e a 4 & \xff", 1))
    with Records.open(file.parent, NOW) as records:
        answers = records.answers(records.find_player("Wren"))
    assert sum(answer.bar.endswith("\N{REPLACEMENT CHARACTER}") for answer in answers) == 4
    assert len(answers) == 200


def test_the_data_folder_can_be_chosen(tmp_path: Path) -> None:
    """The folder asked for is used as it is; else it is the system's own place for data."""
    assert data_folder(str(tmp_path)) == tmp_path
    assert data_folder().name == "drumlin"


def test_own_levels_have_a_folder(folder: Path) -> None:
    """The folder for own levels is made within the data folder."""
    assert levels_folder(folder) == folder / "levels"
    assert (folder / "levels").is_dir()


def test_closing_twice_is_no_fault(folder: Path) -> None:
    """Records may be closed again."""
    records = Records.open(folder, NOW)
    records.close()
    records.close()


def test_a_read_only_place_is_told(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the folder or the file may not be written, one line says which, before anything is played."""
    for place in (file.parent, file):
        monkeypatch.setattr("os.access", lambda path, _, place=place: path != place)
        with pytest.raises(RecordsError, match=rf"{place} is read-only; allow writing there or choose another"):
            Records.open(file.parent, NOW)


def test_a_write_to_a_read_only_file_is_told(records: Records, wren: Player) -> None:
    """A file that became read-only later stops an append in one line."""
    records.database.connection.execute("PRAGMA query_only = ON")
    with pytest.raises(RecordsError, match=r"can't be written: the file or its folder is read-only; allow writing"):
        records.append(wren, uuid(1), bar())


def test_a_full_disk_is_told(records: Records, wren: Player) -> None:
    """A file that can grow no further stops an append in one line, and what was kept is still there."""
    records.append(wren, uuid(1), bar())
    records.database.connection.execute("PRAGMA max_page_count = 1")
    many = [Logged(uuid(number), 0, ANSWER) for number in range(1000)]
    with pytest.raises(RecordsError, match="can't be written: the disk is full; free some space and try again"):
        records.append_all(wren, many)
    assert records.count_answers(wren) == 4
    assert integrity(records.path or Path()) == "ok"


def test_a_session_can_go_on_in_memory(file: Path) -> None:
    """After an error everything kept so far is carried on in memory, and new answers with it."""
    with Records.open(file.parent, NOW) as records:
        wren = records.find_player("Wren")
        with records.to_memory("the disk is full") as carried:
            carried.append(wren, uuid(900), bar(at=NOW + 900))
            assert carried.count_answers(wren) == 204
            assert carried.opening.notice == "the disk is full. Until then nothing of this session is kept."
        assert records.count_answers(wren) == 200


def test_odd_folders_are_told(tmp_path: Path) -> None:
    """A folder name with a zero character, or somebody unknown's home, ends in one line or in a plain folder."""
    with pytest.raises(RecordsError, match=r"can't be used as a folder: .*; choose another with --data-dir"):
        Records.open(Path("no\0folder"), NOW)
    assert data_folder("~nobody-of-that-name/x").is_absolute()
    with Records.open(tmp_path / "two\nlines ü %", NOW) as records:
        assert records.lasting
    # Longer than any system takes for one name.
    with pytest.raises(RecordsError, match="can't be used as a folder: File name too long"):
        made_folder(tmp_path / ("x" * 300) / "fills")


def test_an_odd_clock_names_files_too() -> None:
    """A time beyond the calendar still gives a name."""
    assert minute(1e300) == minute(float("nan")) == "1970-01-01-0000"


def test_many_may_open_a_new_folder_at_once(folder: Path) -> None:
    """Windows that start together on an empty folder make one file, and each can write to it."""

    def start(number: int) -> None:
        with Records.open(folder, NOW, wait=60) as records:
            records.append(records.add_player(f"Pupil {number}", NOW), uuid(number), bar())

    with ThreadPoolExecutor(6) as together:
        list(together.map(start, range(6)))
    with Records.open(folder, NOW) as records:
        assert [records.count_answers(player) for player in records.players()] == [4] * 6
    assert [path.name for path in folder.glob("records*")] == ["records.sqlite"]


def test_tables_made_meanwhile_are_no_damage(folder: Path) -> None:
    """A file whose tables are made by another window while it is looked through is empty or sound, not damaged."""
    folder.mkdir(parents=True)
    path = folder / "records.sqlite"
    found = []
    with closing(sqlite3.connect(path)) as looking, closing(sqlite3.connect(path, timeout=0)) as making:
        making.isolation_level = looking.isolation_level = None

        def make(statement: str) -> None:
            if "user_version" in statement and not found:
                found.append(statement)
                with suppress(sqlite3.OperationalError):
                    upgrade(making)

        looking.set_trace_callback(make)
        assert not inspect(looking, path)
        upgrade(making)
        assert inspect(looking, path)


def test_a_journal_goes_with_its_file(file: Path) -> None:
    """What SQLite left beside a damaged file is set aside with it, so that it can't touch the new one."""
    for ending in ("", "-journal", "-wal"):
        file.with_name(file.name + ending).write_text(f"content{ending}")
    aside = set_aside(file, NOW)
    for ending in ("", "-journal", "-wal"):
        assert aside.with_name(aside.name + ending).read_text() == f"content{ending}"
        assert not file.with_name(file.name + ending).exists()


def test_a_lost_table_is_damage(file: Path) -> None:
    """A sound database that lacks one of our tables is set aside, not half used."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("DROP TABLE exam")
    with Records.open(file.parent, NOW) as records:
        assert records.opening.notice is not None
        assert "is damaged: its tables have changed" in records.opening.notice


def test_another_journal_mode_is_put_right(file: Path) -> None:
    """A file that some tool has switched to another journal opens as one plain file again."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
    assert answers_in(file.parent) == 200
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_full_disk_leaves_no_empty_record(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first tables could not be written there is no file, and no talk of damage later."""

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("game.records.opening.upgrade", full)
    with pytest.raises(RecordsError, match="disk is full"):
        Records.open(folder, NOW)
    assert list(folder.iterdir()) == []


def test_an_empty_file_of_somebody_stays(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what was just made is taken away again."""
    folder.mkdir()
    (folder / "records.sqlite").touch()
    monkeypatch.setattr("game.records.opening.upgrade", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        Records.open(folder, NOW)
    assert (folder / "records.sqlite").exists()
