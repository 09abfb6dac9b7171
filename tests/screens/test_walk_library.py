"""The figure library, the own bars and the levels in every size and theme."""

import pygame
import pytest

from game.records import OwnBar
from game.screens.bars.desk import BarDesk
from game.screens.bars.files import BarFiles
from game.screens.bars.shelf import OwnBars
from game.screens.figures.library import open_library
from game.screens.levels.editor import LevelEditor
from game.screens.levels.files import new_name, write_level
from game.screens.levels.levels import Levels
from game.screens.paper.paper import open_paper
from game.sessions.levels.draft import PLACES
from game.widgets.editing import Edited
from game.widgets.theme import THEMES
from shared.counting import parse_bar
from shared.levels import Level, vocabulary
from shared.orchestration import Setting
from tests.sampling import some
from tests.screens.test_walk import (
    BETWEEN,
    SIZES,
    Page,
    assert_focus_is_seen,
    assert_tab_reaches_all,
    named,
    walked,
)
from tests.screens.window import Opened, Window

LONG_NAME = "Wilhelmina-Alexandra at the Old Millrace"
DENSE = " ".join(f"{beat} ta e ta & ta a ta" for beat in (1, 2, 3, 4))


def library(window: Window) -> None:
    window.show(open_library(window.context))
    window.press("a")
    window.device.where = 5.5
    window.frames(2)


def library_all(window: Window) -> None:
    window.show(open_library(window.context))
    window.top._show("all")
    window.top._choose([figure.count for figure in vocabulary().figures].index("1 (e) ta & (a) ta"))


def library_word(window: Window) -> None:
    window.show(open_library(window.context))
    window.press("w")
    window.write("a very long word for so short a figure")


def paper(window: Window) -> None:
    if not window.context.records.players("class"):
        window.context.records.add_player(LONG_NAME, 0.0, "class")
    window.show(open_paper(window.context))
    window.press("v")


def own_bars(window: Window) -> None:
    for name, count in ((LONG_NAME, DENSE), ("Rain", "1 & 2 & 3 & 4 &")):
        window.context.records.save_bar(window.context.player, OwnBar(name, count, {"meter": "4/4", "tempo": 60.0}))
    window.show(OwnBars(window.context))
    window.top._choose(1)


def no_bars(window: Window) -> None:
    for bar in window.context.records.bars(window.context.player):
        window.context.records.remove_bar(window.context.player, bar.name)
    window.show(OwnBars(window.context))


def bar_desk(window: Window) -> None:
    window.show(BarDesk(window.context, (LONG_NAME, parse_bar(DENSE), Setting(tempo=60, orchestration="fill-2"))))
    window.device.where = 5.0


def bar_desk_faulty(window: Window) -> None:
    window.show(BarDesk(window.context))
    window.top.set_focus("count")
    window.write("1 e a 2 & 3 wobblesomething")


def bar_name(window: Window) -> None:
    desk = BarDesk(window.context)
    window.show(desk)
    window.write("1 2 3 4")
    window.press("tab", "s", "return")


def bar_files(window: Window) -> None:
    window.show(BarFiles(window.context, LONG_NAME, parse_bar("1 2 3 4"), Setting(tempo=200)))
    window.press("2")


def levels(window: Window) -> None:
    window.show(Levels(window.context))


def levels_own(window: Window) -> None:
    name = own_level(window).name
    window.show(Levels(window.context))
    window.top._choose([level.name for level in window.top._levels].index(name))


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
        window.top._choose(PLACES.index(place))

    page.__name__ = f"editor_{place}"
    return page


def editor_faulty(window: Window) -> None:
    window.show(LevelEditor(window.context, own_level(window)))
    window.top._choose(PLACES.index("figures"))
    counts = window.top._edited.text + ", 1 wobble, 1 banter, 1 & and, 1 q, 1 x"
    window.top._type(Edited.at_end(counts))
    window.press("s", mod=pygame.KMOD_CTRL)


PAGES = (
    library, library_all, library_word, own_bars, no_bars, bar_desk, bar_desk_faulty, bar_name, bar_files, levels,
    levels_own, levels_faults, editor_faulty, paper,
    *map(editor, ("about", "figures", "spelling", "words", "orchestrations")),
)  # fmt: skip

ROWS = {
    "Library": ("figures",),
    "OwnBars": ("own bars",),
    "BarDesk": ("own bars",),
    "BarFiles": ("own bars",),
    "Levels": ("levels",),
    "LevelEditor": ("level editor",),
    "PaperPage": ("paper",),
}
"""The rows of the manual that tell these screens' keys.  One that has only the keys of every page needs none."""


@pytest.mark.parametrize(("page", "size"), some(4, PAGES, SIZES), ids=named)
def test_nothing_is_cut_or_overlaps(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """In every theme, whatever the window, all text is whole and all widgets keep to their places."""
    window = opened(size)
    assert [(theme, fault) for theme in THEMES for fault in walked(window, page, theme)] == []


@pytest.mark.parametrize(("page", "size"), some(3, PAGES, [SIZES[0], *BETWEEN[2:4]]), ids=named)
def test_largest_type_fits(opened: Opened, page: Page, size: tuple[int, int]) -> None:
    """The largest type size, on the way between window sizes too, cuts nothing."""
    assert walked(opened(size), page, "dark", 130) == []


@pytest.mark.parametrize(
    ("page", "level"), some(3, [library, bar_desk_faulty, levels], ["stage-1", "stage-7", "stage-8"]), ids=named
)
def test_every_level_fits(opened: Opened, page: Page, level: str) -> None:
    """From two figures to seventeen, in crotchets and dotted crotchets, all is seen in the smallest window."""
    assert walked(opened((1024, 640), level=level), page, "light") == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_focus_is_seen_and_targets_are_large(window: Window, page: Page) -> None:
    """One widget has the focus, and whatever can be pressed is at least 44 pixels high (WCAG 2.2, 2.5.5)."""
    assert_focus_is_seen(window, page)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_every_widget_is_reached_by_tab(window: Window, page: Page) -> None:
    """Tab comes to everything that can have the focus, and back to where it began."""
    assert_tab_reaches_all(window, page)
