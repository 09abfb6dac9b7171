"""A lesson on the screen: run by a few keys, read from the back row, and silent about the answer."""

import pytest

from game.records import Player
from game.screens.lesson.end import ClassEnd
from game.screens.lesson.room import ClassRoom, open_class_room
from game.screens.lesson.start import ClassStart, open_class_start
from game.sessions.lesson.lesson import Stage
from game.widgets.classroom import CAPITAL, COUNT_SIZE, NOTE_SPACES, Halves, VoteTile
from game.widgets.lettering import font
from shared.levels import shipped_names
from tests.screens.window import Opened, Window

SIZES = ((1024, 640), (1366, 768), (1920, 1080))


@pytest.fixture
def room(window: Window) -> Player:
    """A class."""
    return window.context.records.add_player("Millrace Drum Room", 0.0, "class")


def begin(window: Window, room: Player, *teams: str) -> ClassRoom:
    screen = open_class_room(window.context, room, teams)
    window.show(screen)
    return screen


def to_reveal(window: Window) -> None:
    """Space until the hands are down, then a second later once more."""
    while window.top.session.stage is not Stage.READY:
        window.press("space")
    window.clock.now += 1.1
    window.press("space")


def test_a_class_is_made_and_begun_by_keyboard(window: Window) -> None:
    """A name, Enter, teams, Enter: the lesson is on the screen, and the player who plays stays the same."""
    player = window.context.player
    window.show(open_class_start(window.context))
    window.write("Millrace Drum Room")
    window.press("return")
    assert window.top.focus == "begin"
    window.press("up", "right", "return")
    window.top.set_focus("begin")
    window.press("return")
    assert isinstance(window.top, ClassRoom)
    assert window.top.room.name == "Millrace Drum Room"
    assert window.context.records.most_recent_player("player") == player


def test_hands_are_typed_by_letter(window: Window, room: Player) -> None:
    """Space, space, A 1 2, B 5: the prompt says so, and Backspace takes the 5 back."""
    screen = begin(window, room)
    window.press("space", "space", "a", "1", "2", "b", "5")
    assert "A 12, B 5" in window.texts()
    window.press("backspace")
    assert "A 12\n" in window.texts()
    assert screen.session.stage is Stage.COLLECT


def test_what_was_collected_is_kept_with_the_reveal(window: Window, room: Player) -> None:
    """Before the reveal nothing is in the log; with it the hands are, as shares of kind class."""
    screen = begin(window, room)
    window.press("space", "space", "a", "9", "b", "3")
    while screen.session.stage is not Stage.READY:
        window.press("space")
    assert window.context.records.count_answers(room) == 0
    window.clock.now += 1.1
    window.press("space")
    assert [(row.kind, row.share) for row in window.context.records.answers(room)] == [("class", 0.75), ("class", 0.25)]


@pytest.mark.parametrize("key", ["space", "page down", "return"])
def test_mashing_a_key_never_reveals(window: Window, room: Player, key: str) -> None:
    """A key pressed again and again within the same second stops before the answer."""
    screen = begin(window, room)
    for _ in range(30):
        window.press(key)
    assert screen.session.stage is Stage.READY


def test_a_double_click_never_reveals(window: Window, room: Player) -> None:
    """Nor does the mouse."""
    screen = begin(window, room)
    for _ in range(30):
        window.click("step")
    assert screen.session.stage is Stage.READY


def test_nothing_hints_at_the_answer(opened: Opened) -> None:
    """Until the reveal, windows of different bars show the same pixels, whatever is right."""
    window = opened()
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    pictures = set()
    for seed in range(4):
        window.context.seed = lambda seed=seed: seed  # type: ignore[misc]
        screen = begin(window, room)
        while screen.session.stage is not Stage.READY:
            window.press("space")
        pictures.add((screen.session.question.asked, bytes(window.canvas.get_view("2"))))
    asked = {one for one, _ in pictures}
    assert len(pictures) == len(asked)


def test_a_remote_runs_the_lesson(window: Window, room: Player) -> None:
    """Page down leads to the reveal and on; Page up plays again."""
    screen = begin(window, room)
    window.press("page down")
    heard = len(window.device.played)
    window.press("page up")
    assert len(window.device.played) == heard + 1
    while screen.session.stage is not Stage.READY:
        window.press("page down")
    window.clock.now += 1.1
    window.press("page down")
    assert screen.session.stage is Stage.SHOWN
    window.press("page down")
    assert screen.session.number == 2


def test_a_clock_set_back_does_no_harm(window: Window, room: Player) -> None:
    """Answers from a later time than now: the lesson goes on."""
    begin(window, room)
    window.press("space", "space", "a", "5")
    to_reveal(window)
    window.clock.now -= 86400
    begin(window, room)
    window.press("space", "space", "a", "5")
    to_reveal(window)
    assert window.top.session.stage is Stage.SHOWN


def test_capitals_are_as_high_as_is_reckoned() -> None:
    """The text font's capitals are at least 0.66 of the type size, measured in pixels."""
    drawn = font(300, True).render("H", True, "black").get_bounding_rect()
    assert drawn.h >= CAPITAL * 300 - 1


@pytest.mark.parametrize("level", shipped_names())
@pytest.mark.parametrize("size", SIZES, ids="{0[0]}x{0[1]}".format)
def test_the_back_row_can_read(opened: Opened, size: tuple[int, int], level: str) -> None:
    """Letters and notes take a twentieth of the height or more, counts a thirtieth (ISO 9241: 20 minutes of arc).

    Before the reveal on the tiles, after it in the bar; a count that could not be read so is left off the tiles.
    """
    window = opened(size, level=level)
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    begin(window, room)
    height = size[1]
    for tile in (widget for widget in window.top.widgets if isinstance(widget, VoteTile)):
        letter, *_ = tile.lettering(window.app.look)  # type: ignore[union-attr]
        assert letter.fitted.size * CAPITAL >= height / 20 - 1
        assert tile.space * NOTE_SPACES >= height / 20
        assert not tile.layout.words or tile.space * COUNT_SIZE >= height / 30
    window.press("space", "space")
    to_reveal(window)
    space = next(w.space for w in window.top.widgets if isinstance(w, Halves) or w.name == "staff")
    assert space * NOTE_SPACES >= height / 20
    assert space * COUNT_SIZE >= height / 30


def test_a_lesson_ends_with_a_summary_to_print(window: Window, room: Player) -> None:
    """Escape asks first; the summary says what was collected and writes a PDF into the data folder."""
    begin(window, room, "Brook", "Hill")
    window.press("space", "space", "a", "5")
    to_reveal(window)
    window.press("escape")
    window.press("tab", "return")
    assert isinstance(window.top, ClassEnd)
    window.press("p")
    (path,) = (window.context.data_folder / "reports").glob("*.pdf")
    assert path.read_bytes().startswith(b"%PDF-")
    assert "Saved as" in window.texts()


def test_the_lesson_s_end_leads_home(window: Window, room: Player) -> None:
    """From the summary Escape leaves the lesson altogether: nobody meets the lesson that is over again."""
    lesson = open_class_room(window.context, room)
    app = window.show(lesson, open_class_start(window.context))
    window.press("space", "space", "a")
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ClassEnd)
    window.press("escape")
    assert isinstance(window.top, ClassStart)
    assert len(app.stack) == 1


def test_a_lesson_without_an_answer_ends_at_once(window: Window, room: Player) -> None:
    """Where nothing was typed there is nothing to lose: Escape leads back without a question or a summary."""
    app = window.show(open_class_room(window.context, room), open_class_start(window.context))
    window.press("space", "space", "a", "backspace", "escape")
    assert isinstance(window.top, ClassStart)
    assert len(app.stack) == 1


def test_hands_down_shows_no_choice(window: Window, room: Player) -> None:
    """Once the hands are down no tile is marked: it would look like the answer."""
    screen = begin(window, room)
    window.press("space", "space")
    while screen.session.stage is not Stage.READY:
        window.press("a", "space")
    assert not any(tile.chosen for tile in window.top.widgets if isinstance(tile, VoteTile))


def test_teams_are_counted_in_the_beats_box(window: Window, room: Player) -> None:
    """Each beat says how many teams have shown their hands."""
    begin(window, room, "Brook", "Hill")
    window.press("space", "space", "a", "space")
    assert "1/2" in window.texts()
    window.press("b", "4")
    assert "2/2" in window.texts()
