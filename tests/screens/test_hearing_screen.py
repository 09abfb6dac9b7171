"""Buttons that play something short show that it sounds, stop it, and are themselves again when it is over."""

from collections.abc import Callable

import pytest

from game.screens.home.first_start import FirstStart
from tests.screens.test_walk import round_end, settings
from tests.screens.test_walk_sessions import class_end, exam_end, progress_mix_ups
from tests.screens.window import Opened, Window

pytestmark = pytest.mark.usefixtures("one_coach_a_log")

Page = Callable[[Window], None]

PAGES: tuple[tuple[Page, str], ...] = (
    (settings, "hear"),
    (round_end, "hear 0"),
    (class_end, "hear 0"),
    (exam_end, "hear"),
    (progress_mix_ups, "hear"),
)
"""Each page with such buttons, and the name of one."""


def shown(page: Page, lived: Opened) -> Window:
    """A window with a page on it, in silence."""
    window = lived()
    page(window)
    window.device.stop()
    window.frames(2)
    return window


@pytest.mark.parametrize(("page", "name"), PAGES)
def test_what_sounds_is_seen_and_can_be_stopped(lived: Opened, page: Page, name: str) -> None:
    """The key of the button fills it and has it say Stop; the same key again brings silence and the word back.

    When the sound is over the button is as before too, without a key pressed.
    """
    window = shown(page, lived)
    words, key = window.widget(name).text, window.widget(name).key
    assert not window.widget(name).lit
    window.press(key)
    assert (window.widget(name).text, window.widget(name).lit) == ("Stop", True)
    assert window.device.where is not None
    window.press(key)
    assert (window.widget(name).text, window.widget(name).lit) == (words, False)
    assert window.device.where is None
    window.press(key)
    assert window.widget(name).lit
    window.device.where = None
    window.frames(2)
    assert (window.widget(name).text, window.widget(name).lit) == (words, False)


def test_another_button_takes_over(lived: Opened) -> None:
    """Whoever presses the second button while the first sounds hears the second at once."""
    window = shown(round_end, lived)
    window.press("1")
    before = len(window.device.played)
    window.press("2")
    assert len(window.device.played) == before + 1
    assert [window.widget(name).text for name in ("hear 0", "hear 1")] == ["Hear", "Stop"]


def test_another_setting_ends_the_sound(lived: Opened) -> None:
    """What no longer sounds as it is set stops, so that the next press plays it as it is set now."""
    window = shown(settings, lived)
    window.press("h")
    window.top.set_focus("feel")
    window.press("right")
    assert window.device.where is None
    assert window.widget("hear").text == "Hear a bar"


def test_the_foot_says_stop_too(lived: Opened) -> None:
    """The key's line at the foot says what the key would do now."""
    window = shown(exam_end, lived)
    window.press("h")
    assert "stop" in window.texts().split("\n")


def test_the_first_bar_has_a_key(window: Window) -> None:
    """On the first page of the welcome H plays the bar, as on the settings' page."""
    window.show(FirstStart(window.context))
    window.press("h")
    assert len(window.device.played) == 1
