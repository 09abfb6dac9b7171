"""The settings hold at once and are kept."""

import pytest

from game.screens.settings import MUSIC, PAGE, SettingsScreen
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


def test_kit_changes_the_sound(settings: Window) -> None:
    """Another kit sounds otherwise."""
    settings.press("h")
    settings.top.set_focus("kit")
    settings.press("right", "h")
    first, second = settings.device.played
    assert first.shape != second.shape or (first != second).any()
