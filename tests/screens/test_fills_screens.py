"""The fill desk in the window, from the first figure to the file, and a riddle from one player to another."""

import wave
from pathlib import Path

import numpy as np
import pygame
import pytest

from game.pieces import KINDS
from game.records import KeptFill, Riddle
from game.screens.fills.asked import AskedRiddles
from game.screens.fills.desk import FillDesk, open_desk
from game.screens.fills.files import ChartFiles
from game.screens.fills.kept import opened_fills
from game.screens.fills.play_in import PlayIn
from game.screens.fills.riddles import RiddlePage
from game.screens.fills.shelf import FillShelf, open_fills
from game.screens.fills.variations import VariationsPage
from game.screens.home.home import Home
from game.screens.notices.dialog import Dialog
from game.screens.playing.ears import SOUND_DELAY
from game.sessions.fills.heard import as_chart
from game.sessions.fills.keeping import OpenedFill, kept_setting
from game.sessions.inputs import Input
from shared.fills import as_values
from shared.orchestration import Setting
from tests.screens.window import NOW, Opened, Window
from tests.shared.fills import fill
from tests.stand_ins import drummed, with_microphone

REEDS = fill("1 e a 2 & 3 4", "sss hh m f")
SETTING = Setting(tempo=90, groove_bars=3)


@pytest.fixture
def desk(window: Window) -> Window:
    """A window with a new fill, over the shelf."""
    window.show(open_desk(window.context), open_fills(window.context))
    return window


@pytest.fixture
def shelf(window: Window) -> Window:
    """A window with two fills on the shelf."""
    for name, one in (("Reeds", REEDS), ("Rain", fill("1 & 2 & 3 & 4 &", "s"))):
        kept = KeptFill(name, one.count, as_values(one), kept_setting(SETTING))
        window.context.records.save_fill(window.context.player, kept)
    window.show(open_fills(window.context))
    window.top.set_focus("fills")
    return window


def names(window: Window) -> list[str]:
    return [one.name for one in window.context.records.fills(window.context.player)]


def drums(window: Window, beat: int) -> list[tuple[str, ...]]:
    found = window.top.draft.fill.beats[beat]
    return [stroke.drums for stroke in found.strokes] if found else []


def test_a_fill_is_made_by_keys_alone(desk: Window) -> None:
    """Figures, the way round the kit, a drum, an accent, a hand, a stroke left out; then heard and kept by name."""
    desk.top.set_focus("figures")
    desk.press("return", "right", "return", "return", "return", "d")
    assert desk.top.draft.fill.count == "1 2 & 3 & 4 &"
    assert drums(desk, 1) == [("high-tom",), ("high-tom",)]
    desk.top.set_focus("stave")
    desk.press("1", "right", "up", "a", "h")
    stroke = desk.top.draft.here
    assert (stroke.drums, stroke.force, stroke.hand) == (("ride",), "accent", "L")
    desk.press("delete", "b")
    assert desk.top.draft.fill.count == "1 2 & 3 & 4 &".replace("2 &", "(2) &")
    desk.press("space")
    assert len(desk.device.played) == 1
    desk.press("s")
    desk.write("Mill pond")
    desk.press("return")
    assert isinstance(desk.top, FillDesk)
    assert names(desk) == ["Mill pond"]
    desk.press("escape")
    assert isinstance(desk.top, FillShelf)
    desk.press("o")
    assert desk.top.draft.fill.count == "1 (2) & 3 & 4 &"


def test_a_typed_count_is_engraved_and_a_wrong_one_loses_nothing(desk: Window) -> None:
    """The staff follows the typing; a fault is told in one line, and is not saved."""
    desk.top.set_focus("count")
    desk.write("1 e a 2 & xx")
    assert "'xx'" in desk.texts()
    assert desk.top.draft.fill.count == "1 e a 2 & (3) (4)"
    desk.press("return")
    assert not desk.device.played
    desk.press("tab", "s")
    assert "Not saved: character 11, 'xx'" in desk.texts()
    assert names(desk) == []


def test_the_example_in_the_field_of_the_count_can_be_typed_and_heard(desk: Window) -> None:
    """It begins within the bar, as most fills do; Enter plays it, and the foot says so."""
    desk.top.set_focus("count")
    field = desk.widget("count")
    desk.write(field.empty.removeprefix("The count, such as "))
    assert desk.top.draft.fill.count == "(1) (2) 3 e a 4 & a"
    assert "hear it" in desk.texts()
    desk.press("return")
    assert len(desk.device.played) == 1


def test_two_clicks_on_one_place_put_the_figure_that_was_there(desk: Window) -> None:
    """The rows under the mouse stay where they are between the clicks, though keys bring a chosen row to the middle."""
    desk.lay_out((1024, 640))
    desk.top.set_focus("figures")
    desk.press("down", "down")
    grid = desk.widget("figures")
    # The first that is seen: chosen by a key, its row would go to the middle of the box.
    place, cell = grid.shown()[0]
    assert place > 0
    for _ in range(2):
        pygame.event.post(pygame.Event(pygame.MOUSEBUTTONDOWN, pos=cell.center, button=1))
        desk.frames(1)
    assert (desk.widget("figures").chosen, desk.top.draft.fill.played) == (place, (0,))


def test_what_was_saved_is_the_one_that_is_chosen(shelf: Window) -> None:
    """Back on the shelf the new fill is shown, whatever its place by name, and Enter opens it."""
    shelf.press("n", "return", "s")
    shelf.write("Reservoir")
    shelf.press("return", "escape")
    assert isinstance(shelf.top, FillShelf)
    assert shelf.top.own.name == "Reservoir"
    shelf.press("return")
    assert isinstance(shelf.top, FillDesk)
    assert shelf.top.draft.fill.count == "1 (2) (3) (4)"


def test_nothing_written_is_not_saved_or_varied(desk: Window) -> None:
    """Each says what would do."""
    desk.press("s")
    assert "Nothing is written yet" in desk.texts()
    desk.press("v")
    assert "Put a figure on a beat first" in desk.texts()


def test_tempo_goes_by_steps_and_the_line_tells_what_is_hard(window: Window) -> None:
    """Faster and slower by 6; where hands can't play it any more, a line says where and why, and nothing is refused."""
    crossing = fill("1 e & a 2 e & a 3 e & a 4 e & a", "sf")
    window.show(open_desk(window.context, OpenedFill("", crossing, Setting(tempo=40))))
    assert "Hands can play it at this tempo" in window.texts()
    window.press(*["="] * 10)
    assert window.top.setting.tempo == 100
    assert "hands cross, the right hand on the snare drum while the left is on the floor tom" in window.texts()
    window.press("-", "l")
    assert window.top.setting.tempo == 94
    assert window.top.loudspeaker.loops
    window.press("=")
    assert len(window.device.played) == 2
    assert window.top.loudspeaker.loops


def test_enter_opens_the_fill_that_is_chosen_on_arrival(shelf: Window) -> None:
    """The list has the focus where there are fills, and not the button that makes a new one."""
    shelf.show(open_fills(shelf.context))
    shelf.press("return")
    assert isinstance(shelf.top, FillDesk)
    assert shelf.top.heading().left == "Rain"


def test_a_variation_is_heard_and_taken(shelf: Window) -> None:
    """Each is heard by one key; the one that is taken stands on the desk, one step from what was there."""
    shelf.press("down", "o", "v")
    assert isinstance(shelf.top, VariationsPage)
    assert len(shelf.top.found) > 3
    shelf.press("space", "w", "down", "space")
    assert len(shelf.device.played) == 3
    assert "Stop" in shelf.texts()
    shelf.press("space")
    assert shelf.device.where is None
    assert len(shelf.device.played) == 3
    taken = shelf.top.found[1].fill
    shelf.press("return")
    assert isinstance(shelf.top, FillDesk)
    assert shelf.top.draft.fill == taken != REEDS
    shelf.press("escape")
    assert isinstance(shelf.top, Dialog)
    # Saved, it stands beside the fill it was made of, under a name that is proposed.
    shelf.press("escape", "s", "return")
    assert isinstance(shelf.top, FillDesk)
    kept = {one.name: one.fill for one in opened_fills(shelf.context)}
    assert (kept["Reeds"], kept["Reeds (2)"]) == (REEDS, taken)


def test_stop_is_said_only_while_it_sounds(shelf: Window) -> None:
    """Once the sound has come to its end, the key that stopped it says again that it lets it be heard."""
    shelf.press("down", "space")
    assert "Stop" in shelf.texts()
    shelf.device.where = None
    shelf.frames(2)
    assert "Stop" not in shelf.texts()


def test_a_fill_is_played_in(desk: Window) -> None:
    """After a count-in the strokes of two keys are read, and what was played stands on the desk."""
    desk.press("p", "space")
    page = desk.top
    assert isinstance(page, PlayIn)
    assert page.taking
    beat, begins = 60 / page.setting.tempo, page.run.begins
    for k in (-2, -1):
        page.strike(Input("keys", "j", begins + k * beat))
    for place, key in ((0, "j"), (1, "j"), (1.5, "j"), (2, "j"), (2.5, "j"), (3, "j")):
        page.strike(Input("keys", key, begins + place * beat))
    desk.device.where = 99.0
    desk.frames(2)
    assert not page.taking
    assert "This is what you played" in desk.texts()
    assert "notes" in desk.names()
    desk.press("return")
    assert isinstance(desk.top, FillDesk)
    assert desk.top.draft.fill.count == "1 2 & 3 & 4"
    desk.press("space")
    assert len(desk.device.played) == 2


def test_a_fill_is_played_in_by_the_microphone(desk: Window) -> None:
    """A drum in the room is read as it was struck; a take without a sound says so, and the fill stays."""
    room = with_microphone(desk.context)
    desk.press("p", "space")
    page = desk.top
    beat, begins = 60 / page.setting.tempo, page.run.begins
    times = [begins + place * beat for place in (-2, -1, 0, 1, 1.5, 2, 2.5, 3)]
    room.hear(drummed([SOUND_DELAY + time for time in times], page.run.ends + 0.5))
    desk.device.where = page.run.ends
    desk.frames(2)
    assert "This is what you played" in desk.texts()
    assert page.draft.fill.count == "1 2 & 3 & 4"
    assert not desk.context.microphone.running
    desk.press("space")
    room.hear(np.zeros(48_000))
    desk.device.where = 99.0
    desk.frames(2)
    assert "Nothing came in, so the fill is as it was." in desk.texts()
    assert "not muted" in desk.texts()
    assert page.draft.fill.count == "1 2 & 3 & 4"


def test_a_take_can_be_broken_off(desk: Window) -> None:
    """Esc stops it, and the fill is as it was."""
    desk.press("p", "space", "escape")
    assert not desk.top.taking
    desk.press("escape")
    assert isinstance(desk.top, FillDesk)
    assert desk.top.draft.is_empty


def test_names_are_changed_and_fills_removed(shelf: Window) -> None:
    """No fill takes another's name; removing asks first and removes no other."""
    shelf.press("r", *["backspace"] * 5)
    shelf.write("reeds")
    shelf.press("return")
    assert "already" in shelf.texts()
    shelf.press(*["backspace"] * 9)
    shelf.write("Rain shower")
    shelf.press("return")
    assert names(shelf) == ["Rain shower", "Reeds"]
    shelf.press("delete", "return")
    assert names(shelf) == ["Rain shower", "Reeds"]
    shelf.press("delete", "right", "return")
    assert names(shelf) == ["Reeds"]


def test_a_fill_is_printed(shelf: Window) -> None:
    """As a page with its groove, into the folder of reports; the page says where."""
    shelf.press("p")
    (page,) = (shelf.context.data_folder / "reports").iterdir()
    assert page.read_bytes()[:5] == b"%PDF-"
    assert page.name in shelf.top.news
    # A page that was saved is no warning.
    assert shelf.widget("news").colour == "ink"


def test_all_six_files_are_written_and_none_over_another(window: Window, tmp_path: Path) -> None:
    """Into the data folder's own place for fills, or the folder that is named; half a path is refused."""
    window.show(ChartFiles(window.context, "Mill pond", as_chart(REEDS, 3), SETTING))
    window.press("a", "2")
    folder = window.context.data_folder / "fills"
    assert {path.name for path in folder.iterdir()} == {f"mill-pond{ending}" for ending in KINDS} | {"mill-pond-2.mid"}
    with wave.open(str(folder / "mill-pond.wav")) as sound:
        # A bar of count-in, three of groove and the fill.
        assert sound.getnframes() >= 20 * 60 / 90 * 48_000
    window.top.set_focus("folder")
    window.press("end", *["backspace"] * 300)
    window.write("sheets")
    window.press("return", "2")
    assert "whole path" in window.texts()
    window.top.set_focus("folder")
    window.press(*["backspace"] * 300)
    window.write(str(tmp_path / "out"))
    window.press("return", "2")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mill-pond.mid"]


def test_an_unreadable_fill_is_told(window: Window) -> None:
    """It is shown as such; opening, hearing and asking it do nothing."""
    window.context.records.save_fill(window.context.player, KeptFill("Odd", "one and two"))
    window.show(open_fills(window.context))
    window.press("o", "space", "l", "w", "p", "k")
    assert isinstance(window.top, FillShelf)
    assert "can't be read" in window.texts()


def test_a_riddle_goes_from_one_player_to_another(shelf: Window) -> None:
    """Who is asked finds it on the page of their fills, hears it, names its figures, and sees the fill and its name."""
    finch = shelf.context.records.add_player("Finch", 1.0)
    asker = shelf.context.player
    shelf.press("down", "k")
    assert "Who is to name" in shelf.texts()
    shelf.press("return")
    assert "Asked Finch" in shelf.texts()
    shelf.context.choose_player(finch)
    shelf.show(Home(shelf.context))
    shelf.frames(2)
    assert f"A riddle from {asker.name} waits in your fills (B)." in shelf.texts()
    shelf.show(open_fills(shelf.context))
    assert f"A riddle from {asker.name}" in shelf.texts()
    shelf.press("a", "space")
    page = shelf.top
    assert isinstance(page, RiddlePage)
    assert "Reeds" not in shelf.texts()
    assert len(shelf.device.played) == 1
    shelf.press("return")
    assert "Not every beat" in shelf.texts()
    for beat in range(4):
        wanted = REEDS.figures[beat]
        other = next(one for one in page.answer.choices if one != wanted)
        shelf.click(f"tile {(other if beat == 2 else wanted).count}")
    shelf.press("return")
    assert "3 of 4 beats right" in shelf.texts()
    assert "Reeds" in shelf.texts()
    shelf.press("return")
    assert isinstance(shelf.top, FillShelf)
    assert "riddle" not in shelf.texts()
    assert [(one.player, one.right) for one in shelf.context.records.riddles_asked(asker)] == [("Finch", 3)]


def test_who_asked_sees_how_it_came_out(shelf: Window) -> None:
    """Who answered and what they said to each beat, beside the fill; one that waits says so; removing asks first."""
    records, wren = shelf.context.records, shelf.context.player
    finch = records.add_player("Finch", 1.0)
    for name in ("Reeds", "Rain"):
        records.ask_riddle(wren, finch, Riddle(name, wren.name, NOW, as_values(REEDS), kept_setting(SETTING), 4))
    answered = next(one for one in records.riddles(finch) if one.name == "Reeds")
    records.answer_riddle(answered, 3, NOW, ("1 e a", "1 &", "1 &", "1"))
    shelf.show(open_fills(shelf.context))
    assert "Riddles you asked: 1 answered" in shelf.texts()
    shelf.press("m")
    assert isinstance(shelf.top, AskedRiddles)
    row = [one.name for one in shelf.top.riddles].index("Rain")
    shelf.press(*["down"] * row)
    assert "Not answered yet" in shelf.texts()
    shelf.press("up" if row else "down")
    assert "Finch answered today: 3 of 4 beats right." in shelf.texts()
    said = [shelf.widget(f"place {beat}") for beat in range(4)]
    assert [one.right for one in said] == [True, True, False, True]
    shelf.press("space")
    assert len(shelf.device.played) == 1
    shelf.press("delete", "escape")
    assert len(records.riddles_asked(wren)) == 2
    shelf.press("delete", "right", "return")
    assert [one.name for one in records.riddles_asked(wren)] == ["Rain"]
    shelf.press("delete", "right", "return")
    assert records.riddles(finch) == []
    assert "No riddle of yours is left" in shelf.texts()
    assert names(shelf) == ["Rain", "Reeds"]


def test_an_empty_shelf_has_one_fill_to_begin_with(window: Window) -> None:
    """An example of figures that the player knows: heard by a key, opened on the desk by another, kept only by name."""
    window.show(open_fills(window.context))
    assert "An example" in window.texts()
    window.press("space", "space", "o")
    assert len(window.device.played) == 1
    assert isinstance(window.top, FillDesk)
    assert window.top.draft.fill.played == (2, 3)
    window.press("escape")
    assert isinstance(window.top, FillShelf)
    assert names(window) == []


def test_a_name_that_will_not_do_is_told_in_a_sentence(desk: Window) -> None:
    """Alone on the page the reason begins with a capital; and without a figure the desk leads to playing it in."""
    assert [button for button in ("variations", "play in") if desk.widget(button).main] == ["play in"]
    desk.top.set_focus("figures")
    desk.press("return", "s", "return")
    assert "A name needs at least one character." in desk.texts()


def test_a_riddle_of_nobody(shelf: Window) -> None:
    """Where nobody else plays here the page says so, and how somebody would."""
    shelf.press("k")
    assert "Nobody else plays on this machine yet" in shelf.texts()


@pytest.mark.parametrize("size", [(1024, 640), (1366, 768), (1920, 1080)])
def test_figures_to_choose_are_large(opened: Opened, size: tuple[int, int]) -> None:
    """Whatever the window, eight figures are seen at once, their heads as large as on a page of small music.

    A stave of small print, as in a pocket score, is 4 to 5 mm high (common practice, no source): 1 mm a space, which
    is 6 pixels at the 150 to the inch of a small laptop.
    """
    window = opened(size)
    window.show(open_desk(window.context))
    grid = window.widget("figures")
    assert len(grid.shown()) >= 8
    assert grid.cells.space >= 6
    # One of the widest is drawn smaller and stays in its cell.
    grid.chosen = max(range(len(grid.layouts)), key=lambda place: grid.layouts[place].width)
    cell = dict(grid.shown())[grid.chosen]
    assert cell.contains(grid.extent_of(grid.chosen, cell))


def test_the_example_is_read_in_huge_type(window: Window) -> None:
    """It had become a smear of five lines in one, under a long sentence."""
    window.context.change_settings(type_size=200, theme="projector")
    window.show(open_fills(window.context))
    for size in ((1024, 640), (1536, 864)):
        window.lay_out(size)
        # A stave with its stems and counts is some fourteen staff spaces high, here of at least 5 units.
        assert window.widget("notes").rect.h >= window.app.look.u(70)
