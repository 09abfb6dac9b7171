"""Text being written: caret, selection, words, the clipboard, input methods and lines that scroll."""

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pygame import Rect

from game.clipboard import Clipboard
from game.widgets.editing import Edited, line_spans
from game.widgets.look import Look
from game.widgets.moves import Pop
from game.widgets.text_field import TextField
from game.widgets.theme import LIGHT
from tests.screens.window import key_down

LOOK = Look((1280, 720), LIGHT)
SHIFT, CTRL, ALT, CMD = pygame.KMOD_SHIFT, pygame.KMOD_CTRL, pygame.KMOD_ALT, pygame.KMOD_META


def field(text: str, longest: int = 60, size: tuple[int, int] = (300, 50), caret: int | None = None) -> TextField:
    """A focused field that holds a text, its caret at the end unless told otherwise."""
    edited = Edited(text, len(text) if caret is None else caret)
    return TextField("it", Rect((10, 10), size), LOOK, edited, lambda _: None, Pop, "", longest, focused=True)


def keys(text_field: TextField, *names: str, mod: int = 0) -> Edited:
    """The text after some keys."""
    for name in names:
        assert text_field.take(key_down(name, mod)), name
    return text_field.edited


def typed(text_field: TextField, text: str) -> Edited:
    """The text after more was typed."""
    text_field.take(pygame.Event(pygame.TEXTINPUT, text=text))
    return text_field.edited


def test_it_takes_text_and_backspace() -> None:
    """Text is added at the caret, Backspace takes the last letter, and no more than the longest is kept."""
    assert typed(field("Wre", longest=5), "nling").text == "Wrenl"
    assert keys(field("Wre"), "backspace").text == "Wr"
    assert keys(field("Wre", caret=0), "delete").text == "re"


def test_two_pieces_of_one_frame_are_both_kept() -> None:
    """What is typed before the page is laid out again is not written over what came before it."""
    text_field = field("")
    typed(text_field, "re")
    assert typed(text_field, "ed") == Edited.at_end("reed")


@pytest.mark.parametrize(
    ("names", "mod", "selected"),
    [
        (("left", "left"), SHIFT, "ds"),
        (("home",), SHIFT, "rain on reeds"),
        (("left",), SHIFT | CTRL, "reeds"),
        (("left", "left"), SHIFT | ALT, "on reeds"),
        (("a",), CTRL, "rain on reeds"),
        (("a",), CMD, "rain on reeds"),
    ],
)
def test_keys_select(names: tuple[str, ...], mod: int, selected: str) -> None:
    """Shift takes along what the caret passes, by letters, words or to the end; Ctrl A or Cmd A takes all."""
    assert keys(field("rain on reeds"), *names, mod=mod).selected == selected


def test_an_arrow_leaves_the_selection_at_its_end() -> None:
    """Left goes to the start of what was selected, right to its end; nothing is selected then."""
    for key, caret in (("left", 0), ("right", 4)):
        assert keys(field("reed", caret=2), "a", mod=CTRL).selected == "reed"
        chosen = field("reed")
        keys(chosen, "a", mod=CTRL)
        assert keys(chosen, key) == Edited("reed", caret)


def test_typing_replaces_the_selection() -> None:
    """So do Backspace and Delete, which take the selection alone."""
    for act in ("typed", "backspace", "delete"):
        chosen = field("rain on reeds")
        keys(chosen, "left", mod=SHIFT | CTRL)
        after = typed(chosen, "moss") if act == "typed" else keys(chosen, act)
        assert after.text == ("rain on moss" if act == "typed" else "rain on ")


def test_words_go_at_once() -> None:
    """Ctrl with Backspace or Delete takes a word; with an arrow it steps over one."""
    assert keys(field("rain on reeds"), "backspace", mod=CTRL).text == "rain on "
    assert keys(field("rain on reeds", caret=4), "delete", mod=CTRL).text == "rain reeds"
    assert keys(field("rain on reeds", caret=0), "right", "right", mod=CTRL).caret == 7


def test_tab_and_letters_are_left_to_the_page() -> None:
    """Keys that mean nothing in a text go on; a letter does too, for its text comes by itself."""
    for name in ("tab", "escape", "return", "x"):
        assert not field("reed").take(key_down(name))
    assert not field("reed").take(key_down("s", CTRL))


def test_cut_takes_the_selection_away() -> None:
    """Copying leaves all as it was."""
    text_field = field("rain on reeds")
    keys(text_field, "left", mod=SHIFT | CTRL)
    assert keys(text_field, "c", mod=CTRL).selected == "reeds"
    assert keys(text_field, "x", mod=CTRL) == Edited.at_end("rain on ")


def test_what_is_pasted_stays_one_line() -> None:
    """Line ends and tabs become spaces; signs that can't be seen are dropped."""
    assert typed(field(""), "1 e\na\t2\x00 &").text == "1 e a 2 &"


def test_composition_shows_and_leaves_no_trace() -> None:
    """What an input method composes is seen at the caret, is no part of the text, and keys are its own meanwhile."""
    text_field = field("ab", caret=1)
    text_field.take(pygame.Event(pygame.TEXTEDITING, text="に", start=1, length=0))
    assert [piece.text for piece in text_field.lettering(LOOK)] == ["aにb"]
    assert text_field.edited.text == "ab"
    assert keys(text_field, "backspace", "left").composing == "に"
    assert text_field.take(key_down("return")) is False or text_field.edited.text == "ab"
    assert typed(text_field, "日") == Edited("a日b", 2)
    text_field.take(pygame.Event(pygame.TEXTEDITING, text="ほ", start=1, length=0))
    text_field.take(pygame.Event(pygame.TEXTEDITING, text="", start=0, length=0))
    assert text_field.edited == Edited("a日b", 2)


def test_the_mouse_puts_the_caret_and_selects() -> None:
    """A click puts the caret between two letters; dragging takes along what lies between."""
    text_field = field("mmmm")
    box = text_field.lettering(LOOK)[0].box
    wide = text_field.lettering(LOOK)[0].fitted.width
    text_field.click((box.x + wide // 2, box.centery))
    assert text_field.edited == Edited("mmmm", 2)
    assert text_field.drag((box.right + 50, box.centery))
    assert text_field.edited.selected == "mm"
    assert text_field.drag((0, box.centery))
    assert (text_field.edited.caret, text_field.edited.selected) == (0, "mm")


def test_a_long_line_scrolls_with_its_caret() -> None:
    """What is too long for the box is not squeezed beyond reading: the part with the caret is shown, inside the box."""
    text = " ".join(str(number) for number in range(60))
    for caret, shown in ((0, "0 1 2"), (len(text), "58 59")):
        (piece,) = field(text, longest=400, caret=caret).lettering(LOOK)
        assert shown in piece.text
        assert piece.fits


def test_lines_are_walked_up_and_down() -> None:
    """In a high box the caret goes from line to line, and leaves the field at the first and the last."""
    high = field("rain on reeds and rushes at the brim of the old mill pond", size=(200, 200), caret=2)
    starts = [0]
    while high.take(key_down("down")):
        starts.append(high.edited.caret)
    assert len(starts) == len(high.lettering(LOOK)) > 2
    while high.take(key_down("up")):
        pass
    assert high.edited.caret == 2


@given(st.text(alphabet="ab c", max_size=40), st.integers(1, 12))
def test_broken_lines_hold_every_letter(text: str, room: int) -> None:
    """Lines follow each other without a gap, and only spaces hang over the edge."""
    spans = line_spans(text, room, len)
    assert [start for start, _ in spans] == [0, *(end for _, end in spans[:-1])]
    assert spans[-1][1] == len(text)
    assert all(len(text[start:end].rstrip()) <= room for start, end in spans)


@given(st.lists(st.sampled_from(["left", "right", "home", "end", "backspace", "delete", "a", "x"]), max_size=12),
       st.lists(st.booleans(), min_size=24, max_size=24))  # fmt: skip
def test_no_key_leaves_the_text(names: list[str], flags: list[bool]) -> None:
    """Whatever keys come, caret and selection stay inside the text."""
    now = Edited("ab cd", 2)
    for name, shift, command in zip(names, flags, flags[12:], strict=False):
        now = now.after_key(name, shift, command, by_word=command) or now
        assert 0 <= now.span[0] <= now.caret <= len(now.text) or now.caret == now.span[0]
        assert now.span[1] <= len(now.text)


def test_clipboard_does_without_a_system() -> None:
    """With no display to ask, what was copied here can be pasted here."""
    pygame.display.quit()
    clipboard = Clipboard()
    assert clipboard.text() == ""
    clipboard.copy("mill pond")
    assert clipboard.text() == "mill pond"


def test_clipboard_is_the_systems() -> None:
    """With a display the text goes through the system, also what it can't hold stays here."""
    clipboard = Clipboard()
    clipboard.copy("mill pond")
    assert pygame.scrap.get_text() == "mill pond" == Clipboard().text()
    clipboard.copy("half a sign \ud800")
    assert clipboard.text() == "half a sign \ud800"
