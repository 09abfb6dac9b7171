"""Takes, and what is worked out from the log."""

from dataclasses import replace
from pathlib import Path

from game.records import Player, Records
from tests.records.record_samples import DAY, NOW, TAKE, uuid


def test_a_take_comes_back_as_played(folder: Path) -> None:
    """Stroke by stroke, also after the file was closed."""
    with Records.open(folder, NOW) as records:
        records.keep_take(records.add_player("Wren", NOW), TAKE)
    with Records.open(folder, NOW) as records:
        assert records.takes(records.find_player("Wren")) == [TAKE]


def test_a_take_is_kept_once(records: Records, wren: Player) -> None:
    """Keeping it again changes nothing."""
    records.keep_take(wren, TAKE)
    records.keep_take(wren, replace(TAKE, tempo=90.0))
    assert records.takes(wren) == [TAKE]


def test_takes_can_be_narrowed(records: Records, wren: Player) -> None:
    """Oldest first; those of one bar; the last so many."""
    takes = [replace(TAKE, uuid=uuid(number), at=NOW + number * DAY, question=None) for number in range(3)]
    for take in (takes[2], takes[0], takes[1], TAKE):
        records.keep_take(wren, take)
    assert [take.at for take in records.takes(wren)] == [NOW, NOW, NOW + DAY, NOW + 2 * DAY]
    assert records.takes(wren, question=TAKE.question) == [TAKE]
    assert records.takes(wren, last=2) == takes[1:]


def test_takes_belong_to_their_player(records: Records, wren: Player) -> None:
    """Nobody sees another's take."""
    ash = records.add_player("Ash", NOW)
    records.keep_take(wren, TAKE)
    assert (records.takes(ash), records.takes(wren)) == ([], [TAKE])


def test_derived_values_are_replaced(records: Records, wren: Player) -> None:
    """The last value under a key stands, for each player; where there is none, None."""
    ash = records.add_player("Ash", NOW)
    for probability in (0.25, 0.5):
        records.keep_derived(wren, "forecast/stage-3", {"probability": probability})
    assert records.derived(wren, "forecast/stage-3") == {"probability": 0.5}
    assert records.derived(ash, "forecast/stage-3") is None
    assert records.derived(wren, "class settings") is None


def test_a_spoilt_derived_value_is_as_none(records: Records, wren: Player) -> None:
    """It can be worked out again."""
    records.database.execute("INSERT INTO derived VALUES (?, 'forecast', 'spoilt')", (wren.id,))
    assert records.derived(wren, "forecast") is None
