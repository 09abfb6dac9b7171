"""Settings."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.records import Player, Records, RecordsError, Settings
from game.records.settings import settings_from
from tests.records.record_samples import NOW, empty_records


def test_settings_begin_with_defaults(records: Records, wren: Player) -> None:
    """Without anything kept, every setting is the usual one, and the sound is not loud."""
    assert records.settings(wren) == records.settings() == Settings()
    assert Settings().volume <= -12


def test_settings_come_back_as_kept(records: Records, wren: Player) -> None:
    """Settings of every kind are kept."""
    kept = Settings(theme="dark", type_size=150, hand="L", words={"1 e a": "waterfall"}, calibration=-20.5)
    records.save_settings(wren, kept)
    assert records.settings(wren) == kept


def test_players_have_their_own_settings(records: Records, wren: Player) -> None:
    """A player's taste does not change another's, while the machine's settings hold for both."""
    ash = records.add_player("Ash", NOW)
    records.save_settings(wren, Settings(theme="dark", volume=-30.0))
    assert records.settings(ash) == Settings(volume=-30.0)


def test_new_players_begin_with_the_machine(records: Records, wren: Player) -> None:
    """What was chosen before there was a player is what each player begins with."""
    records.save_settings(None, Settings(terms="us", first_start_done=True))
    assert records.settings(wren) == Settings(terms="us", first_start_done=True)


def test_bad_settings_are_not_kept(records: Records, wren: Player) -> None:
    """Every bad value is named at once, and nothing is kept."""
    with pytest.raises(RecordsError, match=r"theme is 'pink'; use one of light, dark, projector; volume is '7'; use a"):
        records.save_settings(wren, replace(Settings(), theme="pink", volume=7))
    assert records.settings(wren) == Settings()


@pytest.fixture
def meddle(folder: Path) -> Callable[[str, str], None]:
    """Puts a text into the machine's settings behind the program's back."""

    def put(key: str, text: str) -> None:
        with closing(sqlite3.connect(folder / "records.sqlite")) as connection, connection:
            connection.execute("INSERT OR REPLACE INTO machine_setting VALUES (?, ?)", (key, text))

    return put


@pytest.mark.parametrize("text", ['"pink"', "not JSON", "[" * 100_000, "7", "null", "1e999"])
def test_a_bad_value_falls_back(records: Records, meddle: Callable[[str, str], None], text: str) -> None:
    """A kept value that won't do is replaced by the usual one, and a notice says so."""
    meddle("theme", text)
    settings = records.settings()
    assert settings.theme == "light"
    assert [notice[:38] for notice in settings.notices] == ["A setting can't be used: theme is '" + settings_text(text)]


def settings_text(text: str) -> str:
    """The first three characters of a value as the notice shows it."""
    return {'"pink"': "pin", "not JSON": "not", "7": "7';", "null": "Non", "1e999": "inf"}.get(text, "[[[")


def test_unknown_settings_are_kept(records: Records, folder: Path, meddle: Callable[[str, str], None]) -> None:
    """A setting of a later version is passed over, and still there after saving."""
    meddle("tuning", '"432"')
    assert records.settings() == Settings()
    records.save_settings(None, Settings())
    with closing(sqlite3.connect(folder / "records.sqlite")) as connection:
        assert connection.execute("SELECT value FROM machine_setting WHERE key = 'tuning'").fetchone() == ('"432"',)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=5,
)


@given(st.dictionaries(st.sampled_from(list(vars(Settings()))), JSON))
def test_any_kept_values_give_settings(values: dict[str, Any]) -> None:
    """Whatever lies in the file: settings that can be kept again, and a notice for each that won't do."""
    settings = settings_from(values)
    with empty_records() as records:
        records.save_settings(None, settings)
        assert records.settings() == settings
