"""Bars of one's own, from the first figure to the file."""

import json
import wave
from pathlib import Path

import pytest

from game.pieces import KINDS
from game.records import OwnBar
from game.screens.bars.desk import BarDesk
from game.screens.bars.files import BarFiles
from game.screens.bars.shelf import OwnBars
from game.screens.notices.dialog import Dialog
from game.widgets.hints import Hint
from shared.counting import parse_bar
from shared.orchestration import Setting
from tests.screens.window import Window


@pytest.fixture
def desk(window: Window) -> Window:
    """A window with a new bar, over the list."""
    window.show(BarDesk(window.context), OwnBars(window.context))
    return window


@pytest.fixture
def book(window: Window) -> Window:
    """A window with two bars in the list."""
    for name, count in (("Reeds", "1 e a 2 & 3 4"), ("Rain", "1 & 2 & 3 & 4 &")):
        window.context.records.save_bar(window.context.player, OwnBar(name, count, {"meter": "4/4"}))
    window.show(OwnBars(window.context))
    window.top.set_focus("bars")
    return window


def names(window: Window) -> list[str]:
    return [bar.name for bar in window.context.records.bars(window.context.player)]


def test_figures_fill_the_beats_in_turn(desk: Window) -> None:
    """Enter puts the chosen figure on the beat and goes on to the next."""
    desk.top.set_focus("figures")
    desk.press("return", "right", "return", "return", "return")
    assert desk.top._draft.bar.count == "1 2 & 3 & 4 &"
    assert desk.top._count.text == "1 2 & 3 & 4 &"


def test_typed_count_is_engraved_and_heard(desk: Window) -> None:
    """Typing the count draws the bar, letter by letter; Enter plays it."""
    desk.write("1 e a 2 &")
    assert desk.widget("staff").layout.label == "1 e a 2 & _ _"
    desk.press("return")
    assert len(desk.device.played) == 1


def test_a_wrong_count_loses_nothing(desk: Window) -> None:
    """The fault is told in one line under the count; the text and the bar stay, and it is not saved."""
    desk.write("1 e a 2 & xx")
    told = next(piece for piece in desk.widget("told").lettering(desk.app.look))
    assert "'xx'" in told.text
    assert len(told.fitted.lines) == 1
    assert desk.widget("staff").layout.label == "1 e a 2 & _ _"
    desk.press("tab", "s")
    assert names(desk) == []
    desk.top.set_focus("count")
    desk.press("backspace", "backspace")
    assert not desk.top._draft.fault


def test_the_count_is_mended_in_the_middle(desk: Window) -> None:
    """The caret goes back into the text, and what is written there stands there."""
    desk.write("1 a 2")
    desk.press("left", "left", "left")
    desk.write("e ")
    assert desk.top._count.text == "1 e a 2" or desk.top._count.text == "1 e  a 2"


def test_saving_asks_for_a_name_once(desk: Window) -> None:
    """The first save asks for a name, later ones keep it; what was played comes back with it."""
    desk.write("1 & 2 & 3 & 4 &")
    desk.top._set(orchestration="ride", tempo=96.0, groove_bars=2, swing=60.0, click=True, lead="L")
    desk.press("tab", "s")
    desk.write("Mill pond")
    desk.press("return")
    assert isinstance(desk.top, BarDesk)
    (bar,) = desk.context.records.bars(desk.context.player)
    assert (bar.name, bar.count) == ("Mill pond", "1 & 2 & 3 & 4 &")
    assert json.loads(json.dumps(dict(bar.setting)))["orchestration"] == "ride"
    desk.press("delete", "s")
    assert [bar.count for bar in desk.context.records.bars(desk.context.player)] != ["1 & 2 & 3 & 4 &"]
    assert names(desk) == ["Mill pond"]


def test_leaving_asks_while_unsaved(desk: Window) -> None:
    """A changed bar is not lost by one key; an unchanged one is left at once."""
    desk.write("1 2")
    desk.press("tab", "escape")
    assert isinstance(desk.top, Dialog)
    desk.press("escape")
    assert isinstance(desk.top, BarDesk)
    assert desk.top._count.text == "1 2"


def test_a_taken_name_is_refused(book: Window) -> None:
    """No bar takes another's name, whatever the letter case, and both stay."""
    book.press("r")
    book.press(*["backspace"] * 5)
    book.write("reeds")
    book.press("return")
    assert "already" in book.texts()
    book.press("escape")
    assert names(book) == ["Rain", "Reeds"]


def test_renaming_keeps_the_bar(book: Window) -> None:
    """The bar has its new name, the same count, and is still the chosen one."""
    book.press("r", "end")  # the whole name is selected; End keeps it
    book.write(" shower")
    book.press("return")
    assert names(book) == ["Rain shower", "Reeds"]
    assert book.widget("name").text == "Rain shower"


def test_removing_asks_first(book: Window) -> None:
    """Delete asks, staying keeps the bar, going removes it and no other."""
    book.press("delete")
    assert isinstance(book.top, Dialog)
    book.press("return")
    assert names(book) == ["Rain", "Reeds"]
    book.press("delete")
    book.press("right", "return")
    assert names(book) == ["Reeds"]


def test_opening_brings_the_bar_back(book: Window) -> None:
    """Enter opens the chosen bar with its name and its count."""
    book.press("down", "return")
    assert isinstance(book.top, BarDesk)
    assert book.top._count.text == "1 e a 2 & 3 4"
    assert book.top.heading().left == "Reeds"


def test_an_unreadable_bar_is_told(window: Window) -> None:
    """A kept count that is no count is shown as such; opening it does nothing."""
    window.context.records.save_bar(window.context.player, OwnBar("Odd", "one and two", {}))
    window.show(OwnBars(window.context))
    window.press("o", "space", "f")
    assert isinstance(window.top, OwnBars)
    assert "can't be read" in window.texts()


def test_all_six_files_are_written(window: Window) -> None:
    """Into the data folder's own place for bars, and never over an older file."""
    window.show(BarFiles(window.context, "Mill pond", parse_bar("1 e a 2 & 3 4"), Setting(tempo=90)))
    window.press("a")
    window.press("a")
    folder = window.context.data_folder / "bars"
    found = {path.name for path in folder.iterdir()}
    assert found == {f"mill-pond{tail}{ending}" for ending in KINDS for tail in ("", "-2")}
    with wave.open(str(folder / "mill-pond.wav")) as sound:
        assert sound.getnframes() >= 8 * 60 / 90 * 48_000


def test_another_folder_is_taken(window: Window, tmp_path: Path) -> None:
    """The folder in the field is made and written to; half a path is refused and nothing is written."""
    window.show(BarFiles(window.context, "", parse_bar("1 2 3 4"), Setting()))
    window.top.set_focus("folder")
    window.press("end", *["backspace"] * 300)
    window.write("sheets")
    window.press("return", "2")
    assert "whole path" in window.texts()
    window.top.set_focus("folder")
    window.press(*["backspace"] * 300)
    window.write(str(tmp_path / "out"))
    window.press("return", "2")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["bar.mid"]


def test_a_faulty_count_is_not_saved_in_words(desk: Window) -> None:
    """Whoever saves while the count is not understood is told so, with what is wrong; typing on takes it back."""
    desk.write("1 zz")
    desk.press("tab")
    assert "Not saved" not in desk.texts()
    desk.press("s")
    assert "Not saved: character 3, 'zz'" in desk.texts()
    assert names(desk) == []
    desk.top.set_focus("count")
    desk.press("backspace")
    assert "Not saved" not in desk.texts()


def test_the_foot_shows_no_key_that_would_write(desk: Window) -> None:
    """While the count is typed, Space and letters belong to it: the foot leaves them out, and brings them back."""

    def caps() -> set[str]:
        return {widget.cap for widget in desk.top.widgets if isinstance(widget, Hint)}

    assert desk.top.takes_text
    assert caps() == {"Delete", "Esc"}
    desk.press("tab")
    assert caps() == {"Space", "1 - 4", "Delete", "S", "F", "Esc"}
