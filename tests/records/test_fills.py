"""Fills and riddles: kept by name, asked and answered; and bars of an earlier Drumlin become fills."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from uuid import RFC_4122, UUID

import pytest

from game.records import KeptFill, Player, Records, Riddle
from game.records.schema import MIGRATIONS, upgrade
from game.sessions.fills.keeping import kept_setting, opened
from shared.counting import parse_bar
from shared.errors import UserError
from shared.fills import as_values
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from tests.records.record_samples import NOW
from tests.shared.fills import fill

FILL = fill("1 e a 2 & 3 4", "Ssshhmf")


@pytest.fixture
def records(folder: Path) -> Records:
    """New records."""
    return Records.open(folder, NOW)


@pytest.fixture
def wren(records: Records) -> Player:
    """A player."""
    return records.add_player("Wren", NOW)


def kept(name: str, count: str = FILL.count) -> KeptFill:
    return KeptFill(name, count, as_values(FILL), kept_setting(Setting(tempo=72)))


def test_fills_are_kept_by_name(records: Records, wren: Player) -> None:
    """One fill a name, whatever the letter case; another player has their own."""
    finch = records.add_player("Finch", NOW)
    for name in ("River", "Alder", "river"):
        records.save_fill(wren, kept(name))
    assert records.fills(wren) == [kept("Alder"), kept("river")]
    assert records.fills(finch) == []
    records.remove_fill(wren, "ALDER")
    records.remove_fill(wren, "Alder")
    assert [one.name for one in records.fills(wren)] == ["river"]


def test_a_kept_fill_is_opened_as_it_was(records: Records, wren: Player) -> None:
    """Figures, drums, forces and the way it is played come back."""
    setting = Setting(tempo=96, groove="ride", groove_bars=2, swing=60, lead="L")
    records.save_fill(wren, KeptFill("Mill", FILL.count, as_values(FILL), kept_setting(setting)))
    (one,) = records.fills(wren)
    found = opened(one.name, one.count, one.fill, one.setting, Setting())
    assert (found.name, found.fill, found.setting) == ("Mill", FILL, setting)


def test_a_riddle_waits_until_it_is_answered(records: Records, wren: Player) -> None:
    """It is there for the one who is asked, replaced when it is asked again, and gone once answered."""
    finch = records.add_player("Finch", NOW)
    asked = Riddle("River", "Wren", NOW, as_values(FILL), {"tempo": 72.0}, 4)
    records.ask_riddle(wren, finch, asked)
    records.ask_riddle(wren, finch, asked)
    (riddle,) = records.riddles(finch)
    assert (riddle.asker, riddle.name, riddle.fill, riddle.beats) == ("Wren", "River", as_values(FILL), 4)
    assert records.riddles(wren) == []
    records.answer_riddle(riddle, 3, NOW + 9, ("1 e a", "1 &", "1", "1 &"))
    assert records.riddles(finch) == []
    assert records.riddles_asked(wren)[0].said == ("1 e a", "1 &", "1", "1 &")
    assert [(one.player, one.right) for one in records.riddles_asked(wren)] == [("Finch", 3)]


def test_a_riddle_is_removed(records: Records, wren: Player) -> None:
    """Answered or not, it is gone for both, and no other goes with it; removing it twice is no fault."""
    finch = records.add_player("Finch", NOW)
    for name in ("River", "Alder"):
        records.ask_riddle(wren, finch, Riddle(name, "Wren", NOW, as_values(FILL), {}, 4))
    gone = next(one for one in records.riddles(finch) if one.name == "River")
    for _ in range(2):
        records.remove_riddle(gone)
    assert [one.name for one in records.riddles(finch)] == ["Alder"]
    assert [one.name for one in records.riddles_asked(wren)] == ["Alder"]


def test_riddles_of_before_are_brought_along(folder: Path) -> None:
    """What version 4 kept is there, each with a UUID as the standard writes it; what was said is not known."""
    folder.mkdir()
    with closing(sqlite3.connect(folder / "records.sqlite", isolation_level=None)) as old:
        upgrade(old, MIGRATIONS[:4])
        for number, name in ((7, "Wren"), (8, "Finch")):
            old.execute("INSERT INTO player VALUES (?, ?, ?, ?, 'player', ?, ?)",
                        (number, str(number), name, name.lower(), NOW, number))  # fmt: skip
        for answered, right in ((None, None), (NOW + 5, 3)):
            old.execute("INSERT INTO riddle VALUES (NULL, 8, 7, 'River', ?, ?, '{}', ?, ?, 4)",
                        (NOW, json.dumps(as_values(FILL)), answered, right))  # fmt: skip
    with Records.open(folder, NOW) as records:
        asked = records.riddles_asked(records.find_player("Wren"))
        assert {(one.player, one.asker, one.answered, one.right, one.said) for one in asked} == {
            ("Finch", "Wren", None, None, ()), ("Finch", "Wren", NOW + 5, 3, ())
        }  # fmt: skip
        assert len({one.uuid for one in asked}) == 2
        # RFC 9562: version 4, of the variant it describes, in lower case.
        for one in asked:
            found = UUID(one.uuid)
            assert (str(found), found.version, found.variant) == (one.uuid, 4, RFC_4122)


@pytest.mark.parametrize("orchestration", ORCHESTRATIONS)
def test_bars_of_before_become_fills(folder: Path, orchestration: str) -> None:
    """A bar that version 3 kept is there with its name, its figures on the drums it was heard on, and its tempo."""
    count = "1 e a 2 & (3) 4 & a"
    folder.mkdir()
    with closing(sqlite3.connect(folder / "records.sqlite", isolation_level=None)) as old:
        upgrade(old, MIGRATIONS[:3])
        old.execute("INSERT INTO player VALUES (7, 'uuid', 'Wren', 'wren', 'player', ?, 1)", (NOW,))
        setting = f'{{"meter": "4/4", "orchestration": "{orchestration}", "tempo": 72.0, "groove_bars": 1, "seed": 3}}'
        old.execute("INSERT INTO own_bar VALUES (7, 'Mill Pond', 'mill pond', ?, ?)", (count, setting))
    with Records.open(folder, NOW) as records:
        (one,) = records.fills(records.find_player("Wren"))
    assert (one.name, one.count, one.fill) == ("Mill Pond", count, None)
    found = opened(one.name, one.count, one.fill, one.setting, Setting())
    assert (found.setting.tempo, found.setting.groove_bars) == (72.0, 1)
    bar = parse_bar(count)
    heard = arrange(bar, Setting(orchestration, seed=3, count_in=False)).strokes
    wanted = {(s.beat, s.at, s.instrument, s.accent) for s in heard if s.figure}
    ours = {(s.beat, s.at, s.instrument, s.accent) for s in found.fill.strokes(Setting()) if s.figure}
    if orchestration not in ("hat", "ride"):
        assert ours == wanted
    assert {place[:3] for place in ours} == {place[:3] for place in wanted}
    asked = ORCHESTRATIONS[orchestration].asked(bar.meter)
    assert found.fill.played == asked


@pytest.mark.parametrize(
    ("count", "values"), [("one and two", None), ("1 2 3 4", {"meter": "4/4"}), ("1 2 3 4", [1, 2])]
)
def test_what_cannot_be_read_is_told(count: str, values: object) -> None:
    """A kept fill that is none is refused in one line; what can't be read of its setting is as usual."""
    with pytest.raises(UserError) as caught:
        opened("Odd", count, values, {}, Setting())
    assert "\n" not in str(caught.value)
    found = opened("Odd", "1 2 3 4", None, {"tempo": "quick", "click": 1, "groove": "none"}, Setting(tempo=66))
    assert found.setting.tempo == 66
    assert found.setting.groove == "straight"
