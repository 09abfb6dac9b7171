"""Every error comes out in one line that names the place."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from game.records import DamagedRecordsError, Player, Records, RecordsError
from game.records.errors import LockedRecordsError, explaining
from game.records.folders import check_target, written_whole
from game.records.history_file import write_lines
from tests.records.record_samples import NOW

PLACE = Path("folder") / "records.sqlite"


def sqlite_error(code: int) -> sqlite3.OperationalError:
    """SQLite's own error of a code, extended codes included."""
    error = sqlite3.OperationalError("told by SQLite")
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("error", "kind", "words"),
    [
        (sqlite_error(sqlite3.SQLITE_BUSY), LockedRecordsError, "is in use by another program; close other Drumlin"),
        (sqlite_error(sqlite3.SQLITE_BUSY_SNAPSHOT), LockedRecordsError, "is in use by another program"),
        (sqlite_error(sqlite3.SQLITE_IOERR_WRITE), RecordsError, "the disk reports a fault; check it, keep a copy"),
        (sqlite_error(sqlite3.SQLITE_CANTOPEN), RecordsError, "look whether its folder is there and may be written"),
        (sqlite_error(sqlite3.SQLITE_CORRUPT), DamagedRecordsError, "start Drumlin again to set it aside and offer a"),
        (sqlite3.ProgrammingError("two\n lines"), RecordsError, "refused this: two lines"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "?"), DamagedRecordsError, "it holds text that is no UTF-8"),
        (OSError(5, "Input/output error"), RecordsError, "Input/output error; check the folder and its permissions"),
    ],
)
def test_errors_are_told_in_one_line(error: Exception, kind: type[RecordsError], words: str) -> None:
    """What happened, where, and what would do."""
    with pytest.raises(RecordsError, match=words) as caught, explaining(PLACE):
        raise error
    line = str(caught.value)
    assert type(caught.value) is kind
    assert line.startswith(str(PLACE))
    assert line.splitlines() == [line]


def test_an_error_names_its_own_file() -> None:
    """Where the system says which file it was, that one is named."""
    with pytest.raises(RecordsError, match="other: No such file or directory"), explaining(PLACE):
        raise FileNotFoundError(2, "No such file or directory", "other")


def test_errors_in_memory_have_a_place() -> None:
    """Records without a file are named as what they are."""
    with Records.in_memory() as records, pytest.raises(RecordsError, match=r"^the records in memory refused this: no"):
        records.database.rows("SELECT 1 FROM nowhere")


def test_a_closed_file_is_told(records: Records, wren: Player) -> None:
    """Using closed records is an error of ours, too."""
    records.close()
    with pytest.raises(RecordsError, match="Cannot operate on a closed database"):
        records.answers(wren)


def test_a_stranger_is_told(wren: Player) -> None:
    """A player of other records is not known here."""
    with Records.in_memory() as other, pytest.raises(RecordsError, match="no longer in these records; choose a player"):
        other.rename_player(wren, "Ash")


def test_a_file_that_cannot_take_its_place_is_told(tmp_path: Path) -> None:
    """When the finished file can't be put where it belongs, one line says so and no draft stays."""
    (tmp_path / "taken").mkdir()
    with (
        pytest.raises(RecordsError, match=r"taken: .*; choose another place"),
        written_whole(tmp_path / "taken") as draft,
    ):
        draft.touch()
    assert list(tmp_path.iterdir()) == [tmp_path / "taken"]


def test_an_unreadable_file_is_not_replaced(tmp_path: Path) -> None:
    """Where a file is there but can't be looked into, one line says so."""

    def refused(_: Path) -> bool:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "file").touch()
    with pytest.raises(RecordsError, match="file: Permission denied; choose another name"):
        check_target(tmp_path / "file", refused, "history file")


def test_lines_for_nowhere_are_told(tmp_path: Path) -> None:
    """A text file that can't be written is told in one line."""
    with pytest.raises(RecordsError, match=r"there is no folder .*; make it first"):
        write_lines(tmp_path / "nowhere" / "file", ["a line\n"])


def test_a_locked_clean_up_is_told(folder: Path) -> None:
    """A left exam that can't be marked as interrupted, since another program writes, is told on opening."""
    with Records.open(folder, NOW) as records:
        records.start_exam(records.add_player("Wren", NOW), "stage-3", {}, NOW)
    Records.open(folder, NOW).close()
    with Records.open(folder, NOW) as records:
        records.start_exam(records.find_player("Wren"), "stage-3", {}, NOW)
        with closing(sqlite3.connect(folder / "records.sqlite", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(RecordsError, match="is in use by another program"):
                Records.open(folder, NOW, wait=0.05)
