"""Who plays."""

import sqlite3
from contextlib import closing
from pathlib import Path
from threading import Timer

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.records import Player, Records, RecordsError
from game.service import found_or_added
from tests.records.record_samples import NOW, empty_records, uuid


def test_a_name_is_trimmed(records: Records) -> None:
    """Spaces round a name and double spaces in it are put in order."""
    assert records.add_player("  Wren   of  the Weir ", NOW).name == "Wren of the Weir"


@pytest.mark.parametrize("other", ["wren", " WREN ", "Ｗｒｅｎ"])
def test_a_name_is_taken_once(records: Records, wren: Player, other: str) -> None:
    """Letter case, spaces and full-width letters do not make another name."""
    with pytest.raises(RecordsError, match="there is already a player called 'Wren'; choose another name"):
        records.add_player(other, NOW)
    assert records.players() == [wren]


def test_a_class_shares_the_names(records: Records, wren: Player) -> None:
    """A class can't have a player's name either, so that a name always means one."""
    with pytest.raises(RecordsError, match="already a player called 'Wren'"):
        records.add_player(wren.name, NOW, kind="class")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "at least one character"),
        (" \t ", "at least one character"),
        ("x" * 41, "has 41 characters; use at most 40"),
        ("Wr\x00en", "control character"),
        ("Wr\ud800en", "half a character"),
    ],
)
def test_a_bad_name_is_refused(records: Records, name: str, words: str) -> None:
    """Empty, too long and unprintable names are refused in one line."""
    with pytest.raises(RecordsError, match=words) as caught:
        records.add_player(name, NOW)
    assert "\n" not in str(caught.value)
    assert records.players() == []


@pytest.mark.parametrize("name", ["Ünal Ş.", "小鳥", "O'Rowan; DROP TABLE player", "🥁", "x" * 40, "-1", "%s"])
def test_odd_characters_are_fine(records: Records, name: str) -> None:
    """Any printable name is kept as it was written."""
    records.add_player(name, NOW)
    assert records.find_player(name).name == name


@given(st.text(max_size=50))
def test_any_text_is_a_name_or_a_line(name: str) -> None:
    """Whatever is typed: a player of a name that is found again, or one line that says why not."""
    with empty_records() as records:
        try:
            player = records.add_player(name, NOW)
        except RecordsError as error:
            refusal = str(error)
            assert refusal.splitlines() == [refusal]
        else:
            assert records.find_player(name) == player


def test_renaming_keeps_the_player(records: Records, wren: Player) -> None:
    """A renamed player keeps its UUID, and the old name is free again."""
    renamed = records.rename_player(wren, "Ash")
    assert (renamed.uuid, renamed.name) == (wren.uuid, "Ash")
    assert records.player_named("Wren") is None


def test_renaming_may_change_letter_case(records: Records, wren: Player) -> None:
    """A player's own name is not in its own way."""
    assert records.rename_player(wren, "WREN").name == "WREN"


def test_renaming_to_a_taken_name_changes_nothing(records: Records, wren: Player) -> None:
    """Another player's name is refused, and both keep theirs."""
    ash = records.add_player("Ash", NOW)
    with pytest.raises(RecordsError, match="already a player called 'Wren'"):
        records.rename_player(ash, "wren")
    assert records.players() == [ash, wren]


def test_the_last_chosen_is_most_recent(records: Records, wren: Player) -> None:
    """Who was added or chosen last comes first, without asking a clock."""
    ash = records.add_player("Ash", NOW - 1000)
    assert records.most_recent_player() == ash
    records.choose_player(wren)
    assert records.players() == [wren, ash]


def test_players_and_classes_are_listed_apart(records: Records, wren: Player) -> None:
    """One kind can be asked for."""
    group = records.add_player("Tuesday group", NOW, kind="class")
    assert records.players("player") == [wren]
    assert records.most_recent_player("class") == group
    assert records.most_recent_player("player") == wren


@pytest.mark.usefixtures("wren")
def test_a_misspelt_name_gets_a_hint(records: Records) -> None:
    """The nearest name is offered; where none is near, all are listed."""
    with pytest.raises(RecordsError, match=r"no player is called 'Wrem'; did you mean 'Wren'\?"):
        records.find_player("Wrem")
    with pytest.raises(RecordsError, match="no player is called 'Hazel'; there are: Wren"):
        records.find_player("Hazel")


def test_empty_records_have_no_player(records: Records) -> None:
    """Before anybody was added there is nobody."""
    assert records.most_recent_player() is None
    with pytest.raises(RecordsError, match="there are: none yet"):
        records.find_player("Wren")


@pytest.mark.parametrize(
    "name", ["\u200b", "As\u202eh", "\ufeffAsh", "Ash\u200d", "\u3164", "\u2800", "As\u00adh", "As\u2066h"]
)
def test_names_that_cannot_be_seen_are_refused(records: Records, name: str) -> None:
    """Letters that show nothing or turn the line around: the message shows which, in plain letters."""
    with pytest.raises(
        RecordsError, match="holds a letter that can't be seen or turns the line; leave it out"
    ) as caught:
        records.add_player(name, NOW)
    assert str(caught.value).isascii()
    assert records.players() == []


def test_joiners_between_letters_are_borne(records: Records) -> None:
    """Persian and the scripts of India need them within a word."""
    assert (
        records.add_player("\u0645\u06cc\u200c\u0634\u0648\u062f", NOW).name == "\u0645\u06cc\u200c\u0634\u0648\u062f"
    )


def test_two_windows_that_open_at_once_play_as_one(folder: Path) -> None:
    """The name that another window is adding right now is seen as taken; whoever has no name plays as that player."""
    with Records.open(folder, NOW) as records:
        other = sqlite3.connect(folder / "records.sqlite", isolation_level=None, check_same_thread=False)
        with closing(other):
            other.execute("BEGIN IMMEDIATE")
            other.execute("INSERT INTO player VALUES (1, ?, 'Player 1', 'player 1', 'player', ?, 1)", (uuid(1), NOW))
            Timer(0.1, other.execute, ("COMMIT",)).start()
            found, added = found_or_added(records, None, NOW)
        assert (found.uuid, added) == (uuid(1), False)
        with pytest.raises(RecordsError, match="already a player called 'Player 1'"):
            records.add_player("player 1", NOW)
