"""The figure library: all there is to know of a figure, and how it sounds."""

import numpy as np
import pytest
from pygame import Surface, mask

from game.learning import Answer
from game.learning.question import question_id
from game.screens.figures.library import open_library
from shared.levels import vocabulary
from tests.screens.window import Opened, Window


@pytest.fixture
def library(window: Window) -> Window:
    """A window with the library of stage 3."""
    window.show(open_library(window.context))
    return window


def chosen(window: Window) -> str:
    return str(window.top.figure)


def test_arrows_go_through_every_figure(library: Window) -> None:
    """From the first figure to the last of all sixty, one key each, and the page follows."""
    library.press("v", "home")
    across = library.widget("figures").cells.across
    seen = {chosen(library)}
    count = len(vocabulary().figures)
    for _ in range(-(-count // across)):
        for _ in range(across - 1):
            library.press("right")
            seen.add(chosen(library))
        library.press("down")
        seen.add(chosen(library))
        for _ in range(across - 1):
            library.press("left")
            seen.add(chosen(library))
    assert len(seen) == len({figure.count for figure in vocabulary().figures})


def test_page_tells_all_names(library: Window) -> None:
    """The count, the syllables, the note names in the player's terms, the hands and the word."""
    library.context.change_settings(terms="us", hand="L")
    library.change("figures", 3)
    told = library.texts()
    drawn = [one.text for one in library.widget("notes").layout.words]
    assert drawn[:4] == ["1", "e", "&", "a"]
    for words in ("ta ka di mi", "sixteenth, sixteenth", "L R L R", "wa-ter-fall-ing"):
        assert words in told


def test_page_tells_how_firm_a_figure_is(library: Window) -> None:
    """Each ability that was tried, with its right answers; nothing of a figure that never was."""
    assert "1/1" not in library.texts()
    context, figure = library.context, library.top.figure
    answer = Answer(1.0, "stage-3", "4/4", "1 2 3 4", 0, figure.count, figure.count, None, "snare", 60.0,
                    ability="playing")  # fmt: skip
    context.keep(question_id("played"), (answer,))
    library.show(open_library(context))
    assert "Played\n1/1" in library.texts()
    assert "Heard\nnot tried" in library.texts()


@pytest.mark.parametrize("key", ["1", "2", "3", "4"])
def test_each_way_sounds_different(library: Window, key: str) -> None:
    """Alone, as a bar, round the kit and in a groove are four sounds."""
    library.press(key)
    library.press("1" if key != "1" else "2")
    first, second = library.device.played
    assert first.shape != second.shape or (first != second).any()


def test_a_mix_up_is_heard_in_turn(library: Window) -> None:
    """The figure, then the other: a bar of both, and the other is marked while it sounds."""
    library.press("a")
    assert len(library.device.played) == 1
    beat = 60 / library.top.tempo
    library.device.where = 5.5 * beat
    library.frames(2)
    assert library.widget("neighbour a").chosen
    library.device.where = 6.5 * beat
    library.frames(2)
    assert not library.widget("neighbour a").chosen


def test_a_mix_up_holds_both_figures(library: Window) -> None:
    """What is heard with a neighbour is not what is heard of the figure alone."""
    library.press("2", "a", "b")
    bar, first, second = library.device.played
    assert not np.array_equal(bar, first)
    assert not np.array_equal(first, second)


def test_own_word_is_kept(library: Window) -> None:
    """A word of the player's own stands in the settings, and an empty one brings the shipped word back."""
    library.press("m")
    assert [key.says for key in [*library.top.keys()]] == ["keep the word", "leave the word as it was"]
    library.press(*["backspace"] * 10)
    library.write("frog")
    library.press("return")
    assert library.context.settings.words == {"1": "frog"}
    assert "frog" in library.texts()
    library.press("m", *["backspace"] * 10)
    library.press("return")
    assert "rain" in library.texts()


def test_twenty_four_figures_and_sixty_fit(opened: Opened) -> None:
    """In the smallest window the rows scroll, and the chosen figure is always among those shown."""
    window = opened((1024, 640))
    window.show(open_library(window.context))
    window.press("v")
    grid = window.widget("figures")
    for place in range(len(vocabulary().figures)):
        grid.chosen = place
        shown = dict(grid.shown())
        assert grid.rect.contains(shown[place])


@pytest.mark.parametrize("size", [100, 200])
def test_other_spellings_stay_off_the_line_below(library: Window, size: int) -> None:
    """Where large type leaves them no room they are left out; they had become specks over other words."""
    library.context.change_settings(type_size=size, theme="projector")
    library.show(open_library(library.context))
    seen = 0
    for _ in library.context.level.figures:
        look = library.lay_out((1024, 640)).look
        for one in library.top.widgets:
            if one.name == "others":
                canvas = Surface(look.size)
                canvas.fill(look.theme.paper)
                one.paint(canvas, look)
                ink = mask.from_threshold(canvas, look.theme.paper, (1, 1, 1, 255))
                ink.invert()
                assert all(one.rect.contains(part) for part in ink.get_bounding_rects())
                seen += 1
        library.press("right")
    assert seen or size > 100
