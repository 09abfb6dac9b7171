"""The figure library, the fills and the levels in every size and theme."""

import pygame
import pytest

from game.records import KeptFill, Riddle
from game.screens.figures.library import open_library
from game.screens.fills.asked import AskedRiddles
from game.screens.fills.desk import open_desk
from game.screens.fills.files import ChartFiles
from game.screens.fills.riddles import AskRiddle, RiddlePage
from game.screens.fills.shelf import open_fills
from game.screens.fills.variations import VariationsPage
from game.screens.levels.editor import LevelEditor
from game.screens.levels.files import new_name, write_level
from game.screens.levels.levels import Levels
from game.screens.paper.paper import open_paper
from game.sessions.fills.heard import as_chart
from game.sessions.fills.keeping import OpenedFill, kept_setting
from game.sessions.inputs import Input
from game.sessions.levels.draft import PLACES
from game.widgets.theme import THEMES
from shared.counting import parse_bar
from shared.fills import as_values, fill_of
from shared.levels import Level, vocabulary
from shared.orchestration import Setting
from tests.sampling import some
from tests.screens.test_hands_view import played_for_another
from tests.screens.test_walk import (
    BETWEEN,
    SIZES,
    Page,
    named,
    walked,
)
from tests.screens.window import NOW, Opened, Window
from tests.shared.fills import fill

LONG_NAME = "Wilhelmina-Alexandra at the Old Millrace"
DENSE = " ".join(f"{beat} ta e ta & ta a ta" for beat in (1, 2, 3, 4))


def library(window: Window) -> None:
    played_for_another(window)
    window.show(open_library(window.context))
    window.press("a")
    window.device.where = 5.5
    window.frames(2)


def library_all(window: Window) -> None:
    window.show(open_library(window.context))
    window.change("shelf", "all")
    window.change("figures", [figure.count for figure in vocabulary().figures].index("1 (e) ta & (a) ta"))


def library_word(window: Window) -> None:
    window.show(open_library(window.context))
    window.press("m")
    window.write("a very long word for so short a figure")


def paper(window: Window) -> None:
    if not window.context.records.players("class"):
        window.context.records.add_player(LONG_NAME, 0.0, "class")
    window.show(open_paper(window.context))
    window.press("v")


FULL = fill(DENSE, "sSghH mmff", sticking="alternating")


def kept_fills(window: Window) -> None:
    records, player = window.context.records, window.context.player
    for name, one in ((LONG_NAME, FULL), ("Rain", fill("1 & 2 & 3 & 4 &", "sshhmmff"))):
        records.save_fill(player, KeptFill(name, one.count, as_values(one), kept_setting(Setting(groove_bars=3))))


def fill_shelf(window: Window) -> None:
    kept_fills(window)
    other = window.context.records.free_name("Millicent")
    asker = window.context.records.add_player(other, 1.0)
    riddle = Riddle("Rain", asker.name, 1.0, as_values(FULL), {"tempo": 60.0}, 4)
    window.context.records.ask_riddle(asker, window.context.player, riddle)
    window.show(open_fills(window.context))
    window.change("fills", 1)


def no_fills(window: Window) -> None:
    for one in window.context.records.fills(window.context.player):
        window.context.records.remove_fill(window.context.player, one.name)
    for riddle in window.context.records.riddles(window.context.player):
        window.context.records.answer_riddle(riddle, 0, 1.0)
    window.show(open_fills(window.context))


def fill_desk(window: Window) -> None:
    window.show(
        open_desk(window.context, OpenedFill(LONG_NAME, FULL, Setting(tempo=160, groove="ghosted", groove_bars=1)))
    )
    window.press("space")
    window.device.where = 7.0
    window.frames(2)


def fill_desk_two_bars(window: Window) -> None:
    two = fill_of([parse_bar("1 e & a 2 e & a 3 e & a 4 e & a")] * 2, way="down the kit")
    window.show(open_desk(window.context, OpenedFill("", two, Setting(tempo=70))))
    window.press("right", "right", "h")


def fill_desk_faulty(window: Window) -> None:
    window.show(open_desk(window.context))
    window.top.set_focus("count")
    window.write("1 e & a 2 banter & wobble and more")


def fill_name(window: Window) -> None:
    desk = open_desk(window.context, OpenedFill("", FULL, Setting(tempo=60)))
    window.show(desk)
    window.press("s")


def fill_files(window: Window) -> None:
    window.show(ChartFiles(window.context, LONG_NAME, as_chart(FULL, 3), Setting(tempo=200)))
    window.press("2")


def fill_variations(window: Window) -> None:
    fill_desk_two_bars(window)
    window.press("v")
    assert isinstance(window.top, VariationsPage)


def fill_no_variations(window: Window) -> None:
    window.show(open_desk(window.context, OpenedFill("", FULL, Setting(tempo=300))))
    window.press("v")
    assert window.top.found == ()


def fill_play_in(window: Window) -> None:
    window.show(open_desk(window.context, OpenedFill("", FULL, Setting(tempo=60))))
    window.press("p")


def fill_playing_in(window: Window) -> None:
    fill_play_in(window)
    window.press("space")
    window.device.where = 1.0
    window.frames()


def fill_played_in(window: Window) -> None:
    fill_playing_in(window)
    beat, begins = 60 / window.top.setting.tempo, window.top.run.begins
    for place in (-2, -1, 0, 1, 1.5, 2, 2.25, 2.5, 2.75, 3):
        window.top.strike(Input("keys", "j", begins + place * beat))
    window.device.where = 99.0
    window.frames(2)
    assert "This is what you played" in window.texts()


def fill_nothing_played(window: Window) -> None:
    fill_playing_in(window)
    window.device.where = 99.0
    window.frames(2)


def riddle_ask(window: Window) -> None:
    fill_shelf(window)
    window.press("k")
    assert isinstance(window.top, AskRiddle)


def riddle(window: Window) -> None:
    fill_shelf(window)
    window.press("a", "1", "2")
    assert isinstance(window.top, RiddlePage)


def riddle_shown(window: Window) -> None:
    riddle(window)
    window.press("3", "4", "return")
    assert window.top.answer.handed_in


def riddles_asked(window: Window) -> None:
    """A riddle of two bars that was answered, and one that waits, of players with long names."""
    kept_fills(window)
    records, player = window.context.records, window.context.player
    two = fill_of([parse_bar("1 e & a 2 e & a 3 e & a 4 e & a")] * 2)
    for number, (name, one) in enumerate(((LONG_NAME, FULL), ("Rain", two))):
        other = records.add_player(records.free_name(LONG_NAME), 1.0)
        setting = kept_setting(Setting(groove_bars=3))
        records.ask_riddle(player, other, Riddle(name, player.name, NOW + number, as_values(one), setting, 8))
    (riddle,) = records.riddles(other)
    records.answer_riddle(riddle, 7, NOW, ("1 e & a",) * 7 + ("1 e a",))
    window.show(open_fills(window.context))
    window.press("m")
    assert isinstance(window.top, AskedRiddles)


def levels(window: Window) -> None:
    window.show(Levels(window.context))


def levels_own(window: Window) -> None:
    name = own_level(window).name
    window.show(Levels(window.context))
    window.change("levels", [level.name for level in window.top.levels].index(name))


def levels_faults(window: Window) -> None:
    file = window.context.data_folder / "odd.toml"
    file.write_text('format = 1\nmeter = "5/4"\ntempo = { low = 1 }\n' + "\n".join(f"wrong{k} = 1" for k in range(9)))
    window.show(Levels(window.context))
    pygame.event.post(pygame.Event(pygame.DROPFILE, file=str(file)))
    window.frames(2)


def own_level(window: Window) -> Level:
    """The widest level there can be: the 24 longest figures, a long title and a long account."""
    figures = sorted((figure for figure in vocabulary().figures if not figure.compound), key=lambda f: -len(f.count))
    level = Level(
        new_name(window.context, "widest"), "Everything the Millrace Drum Room ever played in one beat",
        window.context.level.meter, tuple(figures[:24]), about="All that is dense and hard to hear. " * 11,
    )  # fmt: skip
    write_level(window.context, level)
    return level


def editor(place: str) -> Page:
    def page(window: Window) -> None:
        window.show(LevelEditor(window.context, own_level(window)))
        window.change("places", PLACES.index(place))

    page.__name__ = f"editor_{place}"
    return page


def editor_faulty(window: Window) -> None:
    window.show(LevelEditor(window.context, own_level(window)))
    window.change("places", PLACES.index("figures"))
    window.fill_in("control", window.top.edited.text + ", 1 wobble, 1 banter, 1 & and, 1 q, 1 x")
    window.press("s", mod=pygame.KMOD_CTRL)


PAGES = (
    library, library_all, library_word, fill_shelf, no_fills, fill_desk, fill_desk_two_bars, fill_desk_faulty,
    fill_name, fill_files, fill_variations, fill_no_variations, fill_play_in, fill_playing_in, fill_played_in,
    fill_nothing_played,
    riddle_ask, riddle, riddle_shown, riddles_asked,
    levels, levels_own, levels_faults, editor_faulty, paper,
    *map(editor, ("about", "figures", "spelling", "words", "orchestrations")),
)  # fmt: skip

ROWS = {
    "Library": ("figures",),
    "FillShelf": ("your fills",),
    "FillDesk": ("fill desk",),
    "ChartFiles": ("your fills",),
    "VariationsPage": ("fill desk",),
    "PlayIn": ("fill desk",),
    "AskRiddle": ("your fills",),
    "AskedRiddles": ("your fills",),
    "RiddlePage": ("riddle", "practice, mock exam"),
    "Levels": ("levels",),
    "LevelEditor": ("level editor",),
    "PaperPage": ("paper",),
}
"""The rows of the manual that tell these screens' keys.  One that has only the keys of every page needs none."""


BIG = (SIZES[0], *BETWEEN[2:4])
"""The windows in which pages are opened in the largest type."""


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, SIZES), ids=named)
def test_a_page_opens_in_any_window(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """Opened in the window's size and painted in every theme, nothing is cut and nothing overlaps."""
    assert walked(opened(size), page, *THEMES) == []


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, BIG), ids=named)
def test_largest_type_fits(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """The largest type size, on the way between window sizes too, cuts nothing."""
    assert walked(opened(size), page, "dark", type_size=130) == []


@pytest.mark.parametrize(
    ("page", "level"), some(3, [library, fill_desk_two_bars, levels], ["stage-1", "stage-7", "stage-8"]), ids=named
)
def test_every_level_fits(opened: Opened, page: Page, level: str) -> None:
    """From two figures to seventeen, in crotchets and dotted crotchets, all is seen in the smallest window."""
    assert walked(opened((1024, 640), level=level), page, "light") == []
