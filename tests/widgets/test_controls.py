"""The controls, by key and by mouse."""

from typing import Any

import pygame
import pytest
from pygame import Rect

from game.widgets.controls import Button, Choice, Slider
from game.widgets.keycaps import key_name, title
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Pop
from game.widgets.theme import LIGHT
from tests.screens.window import key_down

BOX = Rect(0, 0, 300, 50)
OPTIONS = (("a", "First"), ("b", "Second"), ("c", "Third"))


def changed(kind: type, *arguments: Any) -> tuple[Any, list[Any]]:
    """A control, and the list of what it was changed to."""
    told: list[Any] = []
    filled = [told.append if argument is ... else argument for argument in arguments]
    return kind("it", BOX, *filled), told


def test_button_does_its_act() -> None:
    """A press gives what the act gives."""
    assert Button("it", BOX, "Back", Pop).press() == Pop()


@pytest.mark.parametrize(("key", "expected"), [("right", ["c"]), ("left", ["a"])])
def test_choice_moves_by_arrows(key: str, expected: list[str]) -> None:
    """Left and right choose the neighbour."""
    choice, told = changed(Choice, OPTIONS, "b", ...)
    assert choice.take(key_down(key))
    assert told == expected


def test_choice_leaves_arrows_at_its_ends() -> None:
    """At the last option the right arrow is left to the page."""
    choice, told = changed(Choice, OPTIONS, "c", ...)
    assert not choice.take(key_down("right"))
    assert told == []


def test_choice_takes_the_clicked_option() -> None:
    """A click chooses what lies under it."""
    choice, told = changed(Choice, OPTIONS, "a", ...)
    choice.click((290, 25))
    assert told == ["c"]


def test_options_share_one_type_size() -> None:
    """A long option makes all of them smaller, not only itself."""
    options = (("a", "On"), ("b", "A rather long word"))
    choice = Choice("it", Rect(0, 0, 220, 50), options, "a", lambda _value: None)
    sizes = {piece.fitted.size for piece in choice.lettering(Look((1280, 720), LIGHT))}
    assert len(sizes) == 1


@pytest.mark.parametrize(("key", "expected"), [("right", -9), ("left", -15), ("home", -48), ("end", 0)])
def test_slider_moves_by_steps(key: str, expected: float) -> None:
    """Arrows move by a step, Home and End to the ends."""
    slider, told = changed(Slider, -12, -48, 0, 3, ..., str)
    assert slider.take(key_down(key))
    assert told == [expected]


def test_slider_stays_within_its_ends() -> None:
    """It can't be moved past its end."""
    slider, told = changed(Slider, 0, -48, 0, 3, ..., str)
    slider.take(key_down("right"))
    assert told == [0]


def test_slider_follows_the_mouse() -> None:
    """While its button is held down the mouse drags the value along."""
    slider, told = changed(Slider, -12, -48, 0, 3, ..., str)
    assert slider.drag((0, 25))
    assert slider.drag((200, 25))
    assert told == [-48, 0]


@pytest.mark.parametrize(("key", "expected"), [("down", 3), ("up", 1), ("home", 0), ("end", 9), ("page down", 6)])
def test_list_moves_by_keys(key: str, expected: int) -> None:
    """Keys choose another row."""
    box = Rect(0, 0, 300, 200)
    told: list[int] = []
    rows = [Row(str(number)) for number in range(10)]
    assert ListBox("it", box, rows, 2, told.append, Pop, 50).take(key_down(key))
    assert told == [expected]


def test_list_keeps_chosen_row_in_sight() -> None:
    """A long list scrolls so that the chosen row is seen."""
    rows = [Row(f"row {number}") for number in range(30)]
    box = ListBox("it", Rect(0, 0, 300, 200), rows, 25, lambda _row: None, Pop, 50)
    texts = [piece.text for piece in box.lettering(Look((1280, 720), LIGHT))]
    assert "row 25" in texts
    assert len(texts) == 4


def test_second_click_acts() -> None:
    """A click on the chosen row acts on it, on another chooses that."""
    told: list[int] = []
    box = ListBox("it", Rect(0, 0, 300, 100), [Row("a"), Row("b")], 0, told.append, Pop, 50)
    assert box.click((10, 70)) is None
    assert told == [1]
    assert box.click((10, 20)) == Pop()


def test_number_pad_counts_as_digits() -> None:
    """Digits and Enter of the number pad are digits and Enter."""
    assert key_name(pygame.Event(pygame.KEYDOWN, key=pygame.K_KP7, scancode=0)) == "7"
    assert key_name(pygame.Event(pygame.KEYDOWN, key=pygame.K_KP_ENTER, scancode=0)) == "return"


def test_digits_are_found_where_they_need_shift() -> None:
    """On a layout whose digit row gives signs, the row still counts 1 to 0 (USB HID usage table, codes 30 to 39)."""
    assert key_name(pygame.Event(pygame.KEYDOWN, key=pygame.K_AMPERSAND, scancode=30)) == "1"
    assert key_name(pygame.Event(pygame.KEYDOWN, key=0xE0, scancode=39)) == "0"


def test_key_caps_read_as_on_the_keyboard() -> None:
    """Caps bear what stands on a key."""
    assert [title(name) for name in ("return", "escape", "s", "left")] == ["Enter", "Esc", "S", "Left"]


@pytest.mark.parametrize("wide", [220, 240, 260, 300])
def test_a_key_is_never_larger_than_its_word(wide: int) -> None:
    """Where a button has little room its word and its key shrink together: what it does is read before its key."""
    look = Look((1280, 720), LIGHT, 1.8)
    button = Button("it", Rect(0, 0, wide, 50), "Hear the bar", Pop, key="space")
    word, key = button.lettering(look)
    assert not word.fitted.cut
    assert key.fitted.size <= word.fitted.size
    assert word.box.right <= key.box.x
