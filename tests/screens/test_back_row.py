"""What the room reads in a lesson, measured on pictures of it, from the last row.

At six picture heights 3.5 % of the height are 20 minutes of arc, the character height that ISO 9241-303 prefers.
Keys, buttons and the head of the page are the teacher's, and may be smaller.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pygame
import pytest

from game.records import Player
from game.screens.lesson.end import ClassEnd
from game.screens.lesson.room import KEYS, ClassRoom, open_class_room
from game.sessions.lesson.lesson import Stage
from game.widgets.base import Lettered, Widget
from game.widgets.classroom import NOTE_SPACES, Halves, SaidTile, VoteTile
from game.widgets.controls import Button
from game.widgets.hints import Hint
from game.widgets.lettering import font
from game.widgets.notation import Staff
from game.widgets.ruler import Ruler
from shared.levels import Level, find_level, vocabulary
from tests.sampling import some
from tests.screens.window import Opened, Window

SIZES = ((1280, 800), (1920, 1080), (3840, 2160))
FIGURES = (2, 3, 5, 8, 12, 16, 20, 24)
LEAST = 0.035
TEAMS = ("Brook", "Hill", "Marsh", "Dune")

SMALLER = (Button, Hint, Ruler)
"""The teacher's: keys and buttons; the ruler has no words in a lesson."""


def level_of(count: int) -> Level:
    """A level of so many figures, the densest of the vocabulary among them."""
    simple = [figure for figure in vocabulary().figures if not figure.compound]
    return replace(find_level("stage-3"), name=f"of-{count}", figures=tuple(simple[-count:]), new=(), order=())


def for_the_room(window: Window) -> Iterator[tuple[Widget, Lettered]]:
    """What the room reads on the page: every text but the teacher's."""
    for widget in window.top.widgets:
        if not isinstance(widget, SMALLER) and not widget.name.startswith("head "):
            yield from ((widget, lettered) for lettered in widget.lettering(window.app.look) if lettered.text)


def capital(size: int, bold: bool) -> int:
    """The height of a capital, in pixels, drawn in a type size."""
    return int(font(size, bold).render("H", True, "black").get_bounding_rect().h)


def ink(window: Window, box: pygame.Rect) -> int:
    """How many rows of the picture bear ink in a box: rows in which a pixel differs from the box's corner."""
    part = pygame.surfarray.array3d(window.canvas.subsurface(box.clip(window.canvas.get_rect()))).astype(int)
    differs = np.abs(part - part[0, 0]).sum(axis=2) > 120
    return int(differs.any(axis=0).sum())


def too_small(window: Window) -> list[str]:
    """What on the page is smaller than the back row can read."""
    high = window.canvas.get_height()
    found = []
    for widget, lettered in for_the_room(window):
        if capital(lettered.fitted.size, lettered.bold) < LEAST * high - 1 or lettered.fitted.cut:
            found.append(f"{widget.name}: {lettered.text!r} in {lettered.fitted.size} px")
        elif (
            any(letter.isupper() or letter.isdigit() for letter in lettered.text)
            and ink(window, lettered.box) < LEAST * high - 1
        ):
            found.append(f"{widget.name}: {lettered.text!r} bears no ink so high")
    for widget in window.top.widgets:
        if isinstance(widget, VoteTile | SaidTile | Staff | Halves):
            if widget.space * NOTE_SPACES < high / 20:
                found.append(f"{widget.name}: a staff space of {widget.space}")
            sizes = [round(word.size * widget.space) for word in widget.layout.words]
            if sizes and capital(min(sizes), bold=True) < LEAST * high - 1:
                found.append(f"{widget.name}: counts in {min(sizes)} px")
    return found


def listening(window: Window, room: Player) -> None:
    window.show(open_class_room(window.context, room))
    window.press("space")


def counted(window: Window, room: Player) -> None:
    listening(window, room)
    window.press("space", "a", "1", "2", "c", "9")


def revealed(window: Window, room: Player) -> None:
    listening(window, room)
    letters = KEYS[: min(4, len(window.context.level.figures))]
    window.press("space", *(key for letter in letters for key in (letter, "9")))
    to_reveal(window)


def teams_revealed(window: Window, room: Player) -> None:
    window.show(open_class_room(window.context, room, TEAMS, all_teams=True))
    window.press("space", "space", *("ac" * 8))
    to_reveal(window)


def who_had_it(window: Window, room: Player) -> None:
    window.show(open_class_room(window.context, room, one_beat=True))
    to_reveal(window)
    window.press("space", "space")
    assert window.top.session.stage is Stage.HAD


def met(window: Window, room: Player) -> None:
    figures = window.context.level.figures
    window.show(open_class_room(window.context, room, known=figures[:-1] if len(figures) > 2 else ()))
    window.press("space", "space")
    assert window.top.session.stage is Stage.MEET


def ended(window: Window, room: Player) -> None:
    teams_revealed(window, room)
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ClassEnd)


def to_reveal(window: Window) -> None:
    assert isinstance(window.top, ClassRoom)
    while window.top.session.stage is not Stage.READY:
        window.press("space")
    window.clock.now += 1.1
    window.press("space")


def told(value: object) -> str:
    """A name for a case."""
    return getattr(value, "__name__", str(value))


PAGES = (listening, counted, revealed, teams_revealed, who_had_it, met, ended)


@pytest.mark.parametrize(("page", "size", "count"), some(14, PAGES, SIZES, FIGURES), ids=told)
def test_the_back_row_reads_all_of_it(
    opened: Opened, page: Callable[[Window, Player], None], size: tuple[int, int], count: int
) -> None:
    """Capitals and digits take 3.5 % of the picture's height or more, notes with their stems 5 %."""
    window = opened(size)
    window.context.change_settings(theme="projector")
    window.context.level = level_of(count)
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    page(window, room)
    window.frames()
    assert too_small(window) == []
