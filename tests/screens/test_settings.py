"""The settings hold at once and are kept."""

from dataclasses import replace

import pytest

from game.screens.context import class_context
from game.screens.settings.settings import MUSIC, PAGE, SettingsScreen
from shared.levels import find_level
from shared.orchestration import Setting
from tests.screens.window import Window


@pytest.fixture
def settings(window: Window) -> Window:
    """A window with the settings."""
    window.show(SettingsScreen(window.context))
    return window


@pytest.mark.parametrize("name", [name for name, _, _ in (*MUSIC, *PAGE)])
def test_every_setting_changes_and_is_kept(settings: Window, name: str) -> None:
    """The right arrow takes the next value, and the records have it."""
    before = getattr(settings.context.settings, name)
    settings.top.set_focus(name)
    settings.press("right")
    after = getattr(settings.context.settings, name)
    assert after != before
    assert getattr(settings.context.records.settings(settings.context.player), name) == after


@pytest.mark.parametrize("kind", ["player", "class"])
def test_tab_goes_down_the_page(window: Window, kind: str) -> None:
    """Tab reaches every setting in the order in which they stand; of a class those that a lesson has no use for go."""
    player = window.context.player if kind == "player" else window.context.records.add_player("Otter Room", 0.0, kind)
    context = window.context if kind == "player" else class_context(window.context, player)
    window.show(SettingsScreen(context))
    first = [widget for widget in window.top.focusable() if widget.rect.x < window.canvas.width // 2]
    second = [widget for widget in window.top.focusable() if widget not in first]
    for side in (first, second):
        assert [widget.rect.y for widget in side] == sorted(widget.rect.y for widget in side)
    names = {widget.name for widget in (*first, *second)}
    assert {"counting", "kit", "theme", "volume"} <= names
    assert {"second_try", "begin", "keys", "full_screen", "terms"} & names == (
        set() if kind == "class" else {"second_try", "begin", "keys", "full_screen", "terms"}
    )


def test_theme_changes_the_page_at_once(settings: Window) -> None:
    """The very next picture is dark."""
    settings.top.set_focus("theme")
    settings.press("right")
    assert settings.app.look.theme.name == "dark"
    assert settings.canvas.get_at((2, 2))[:3] == (16, 20, 24)


def test_larger_type_is_larger(settings: Window) -> None:
    """The type size setting makes text larger at once."""
    before = settings.app.look.type_size("body")
    settings.top.set_focus("type_size")
    settings.press("right")
    assert settings.app.look.type_size("body") > before


def test_volume_reaches_the_device(settings: Window) -> None:
    """A new volume is that of the next sound."""
    settings.top.set_focus("volume")
    settings.press("left", "left", "h")
    assert settings.context.settings.volume == -18
    assert settings.device.volume == -18


def test_delay_reaches_the_device(settings: Window) -> None:
    """The delay of the sound is told to the device, in seconds."""
    settings.top.set_focus("delay")
    settings.press("right", "h")
    assert settings.device.latency == pytest.approx(0.010)


def test_swing_is_offered_where_it_blurs_nothing(settings: Window) -> None:
    """On stage 3 all swings are on offer, beside triplets none; what was chosen holds again elsewhere."""
    settings.context.change_settings(swing=67)
    assert settings.context.heard(Setting()).swing == 67
    settings.context.level = find_level("stage-5")
    settings.top.stale = True
    settings.frames()
    assert "Straight: swing would blur" in settings.texts()
    assert settings.context.heard(Setting()).swing == 50


def sounds_otherwise(settings: Window, choice: str) -> bool:
    """Whether a bar sounds otherwise with the next option of a choice."""
    settings.press("h")
    settings.top.set_focus(choice)
    settings.press("right", "h")
    first, second = settings.device.played
    return first.shape != second.shape or bool((first != second).any())


def test_feel_reaches_the_sound(settings: Window) -> None:
    """Loose strokes are not where exact ones are."""
    assert sounds_otherwise(settings, "feel")


def test_the_room_reaches_the_sound(settings: Window) -> None:
    """The stage kit's own room is not a dry one."""
    settings.context.change_settings(kit="stage")
    assert sounds_otherwise(settings, "room")


def tap_all(window: Window, late: float, uneven: float = 0.0) -> None:
    """Tap to all sixteen clicks, so late, every other one more so."""
    window.press("space")
    for k in range(16):
        window.device.where = 0.75 * k + late + uneven * (k % 2)
        window.press("space")
    window.device.where = None
    window.frames(2)


def test_delay_is_measured_by_tapping(settings: Window) -> None:
    """T, Space, sixteen taps, Enter: the delay is told, kept, and the device has it."""
    settings.press("t")
    tap_all(settings, 0.085)
    assert "85 ms after the clicks" in settings.texts()
    settings.press("return")
    assert isinstance(settings.top, SettingsScreen)
    assert settings.context.settings.calibration == 85
    settings.press("h")
    assert settings.device.latency == pytest.approx(0.085)


def test_tapping_is_measured_without_the_old_delay(settings: Window) -> None:
    """While the clicks sound the device is told of no delay; leaving half way brings the old one back."""
    settings.context.change_settings(calibration=120.0)
    settings.press("t", "space")
    assert settings.device.latency == 0
    settings.press("escape", "h")
    assert settings.device.latency == pytest.approx(0.120)


def test_uneven_taps_are_not_kept(settings: Window) -> None:
    """A spread of more than 25 ms is told, and the only way on is once more."""
    settings.press("t")
    tap_all(settings, 0.02, uneven=0.08)
    assert "too uneven" in settings.texts()
    assert "keep" not in settings.names()


def test_few_taps_are_told(settings: Window) -> None:
    """Whoever taps to a few clicks only is asked for all."""
    settings.press("t", "space", "space")
    settings.device.where = None
    settings.frames(2)
    assert "Only 0 of the clicks that count had a tap" in settings.texts()


def test_key_is_chosen_by_pressing_it(settings: Window) -> None:
    """K, the act, a key: kept as the player's own; the usual keys come back with one button."""
    settings.press("k", "return")
    assert "Hear the bar: press its new key." in settings.texts()
    settings.press("v")
    assert settings.context.records.settings(settings.context.player).keys == {"hear": "v"}
    settings.click("tile 1")
    settings.press("space")
    assert settings.context.bindings.tiles[0] == "space"
    settings.click("usual")
    assert settings.context.settings.keys == {}


def test_taken_key_is_told_in_one_line(settings: Window) -> None:
    """The line names what has the key; another one can be pressed at once, and Esc leaves all as it was."""
    settings.press("k", "return", "4")
    assert "taken by “Tile 4”" in settings.texts()
    settings.press("v", "return", "escape")
    assert settings.context.settings.keys == {"hear": "v"}
    settings.press("escape")
    assert isinstance(settings.top, SettingsScreen)


def test_kit_changes_the_sound(settings: Window) -> None:
    """Another kit sounds otherwise."""
    assert sounds_otherwise(settings, "kit")


def test_words_of_the_count_are_shown_at_once(settings: Window) -> None:
    """What is typed stands in place of the level's own words, is kept, and goes when it is taken out."""
    context = settings.context
    context.choose_level(replace(find_level("stage-3"), count="a b c"))
    settings.top.set_focus("counting")
    settings.write("e + e")
    assert context.level.as_shown("1 e & a") == "1 e + e"
    assert context.records.settings(context.player).counting == "e + e"
    context.choose_level(find_level("stage-4"))
    assert context.level.as_shown("1 & a") == "1 + e"
    settings.press(*["backspace"] * 5)
    assert context.level.as_shown("1 & a") == "1 & a"


def test_what_can_be_no_words_of_the_count_is_told(settings: Window) -> None:
    """A digit is refused beside the field, and the words before it hold."""
    settings.top.set_focus("counting")
    settings.write("e +")
    settings.write(" 2")
    assert "No digits" in settings.texts()
    assert settings.context.settings.counting == "e +"
