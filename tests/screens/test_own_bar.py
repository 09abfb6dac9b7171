"""A class whose teacher plays the bar: it is read, not shown, and the room is asked what it was."""

from game.records import Player
from game.screens.lesson.own_bar import OwnBar
from game.screens.lesson.room import ClassRoom, open_class_room
from game.sessions.lesson.lesson import Stage
from shared.bars import Bar
from tests.screens.test_class import to_reveal
from tests.screens.test_playing_screen import play
from tests.screens.window import Window


def to_own_bar(window: Window) -> OwnBar:
    """Begin a lesson and open the page on which the teacher plays."""
    context = window.context
    room: Player = context.records.add_player("Reed Room", 0.0, "class")
    window.show(open_class_room(context, room))
    window.press("z")
    assert isinstance(window.top, OwnBar)
    return window.top


def played_bar(window: Window, late: float = 0.003, left_out: int = 0) -> Bar:
    """Let the teacher play a bar."""
    bar: Bar = window.top.playing.bar
    play(window, late, left_out)
    return bar


def test_the_room_sees_no_stroke(window: Window) -> None:
    """While the teacher plays, the wall counts along and shows no stroke: it would give the bar away."""
    to_own_bar(window)
    window.press("space")
    window.device.where = window.top.run.begins + 0.2
    window.press("j")
    window.frames(2)
    assert len(window.top.struck) == 1
    assert window.widget("line").so_far() == (0, ())


def test_the_room_is_asked_for_the_teachers_bar(window: Window) -> None:
    """Nothing of it is shown before the reveal, and what the hands say of it is kept for the class."""
    to_own_bar(window)
    bar = played_bar(window)
    assert "Your bar was read." in window.texts()
    assert bar.figures[0].count_on(1) not in window.texts().splitlines()
    window.press("return")
    room = window.top
    assert isinstance(room, ClassRoom)
    assert room.session.question.bar == bar
    assert room.session.hands.hearings == 1
    window.press("page up")
    assert len(window.device.played) == 2
    window.press("space", "a", "3", "space", "c", "2", "space", "a", "1", "space", "a", "1")
    to_reveal(window)
    assert room.session.stage is Stage.SHOWN
    rows = window.context.records.answers(room.room)
    assert {row.bar for row in rows} == {bar.count}
    assert window.context.records.takes(window.context.player) == []
    assert window.context.records.answers(window.context.player) == []


def test_a_bar_that_cannot_be_read(window: Window) -> None:
    """Nothing came in, or a figure that is not the level's: the teacher is told, and the room is not asked."""
    page = to_own_bar(window)
    played_bar(window, left_out=100)
    assert "Nothing came in." in window.texts()
    assert page.bar is None
    window.press("return")
    assert window.top is page or page.taking
    window.press("escape")


def test_own_bars_come_before_the_hands(window: Window) -> None:
    """Once hands are collected the key does nothing."""
    to_own_bar(window)
    window.press("escape", "space", "space", "z")
    assert isinstance(window.top, ClassRoom)
    assert window.top.session.stage is Stage.COLLECT
