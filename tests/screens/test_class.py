"""A lesson on the screen: run by a few keys, read from the back row, and silent about the answer."""

from dataclasses import replace
from itertools import count
from random import Random

import pytest

from game.learning.question import question_id
from game.records import Player, RecordsError
from game.screens.context import class_context, give_back
from game.screens.home.home import Home
from game.screens.lesson.end import ClassEnd
from game.screens.lesson.room import KEYS, ClassRoom, EndDialog, open_class_room
from game.screens.lesson.start import ClassStart, open_class_start, team_names
from game.screens.notices.unkept import Unkept
from game.screens.paper.paper import open_paper
from game.sessions.lesson.lesson import Stage
from game.sessions.letters import LETTERS
from game.widgets.classroom import NOTE_SPACES, Halves, VoteTile
from game.widgets.hints import Hint
from game.widgets.lettering import font
from shared.difference import difference
from shared.levels import shipped_names
from shared.notation.marks import CAPITALS
from shared.notation.page import COUNT_SIZE
from tests.sampling import some
from tests.screens.window import Opened, Window

SIZES = ((1024, 640), (1366, 768), (1920, 1080))


@pytest.fixture
def room(window: Window) -> Player:
    """A class."""
    return window.context.records.add_player("Millrace Drum Room", 0.0, "class")


def begin(window: Window, room: Player, *teams: str) -> ClassRoom:
    screen = open_class_room(window.context, room, teams, all_teams=True)
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
    assert all(word in window.texts() for word in ("Ten minutes with a class", "Collect", "Reveal", "write the name"))
    window.write("Millrace Drum Room")
    window.press("return")
    assert "Ten minutes with a class" not in window.texts()
    assert "Ten bars, each heard twice" in window.texts()
    assert window.top.focus == "begin"
    window.top.set_focus("answers")
    window.press("right", "right")
    window.top.set_focus("begin")
    window.press("return")
    assert isinstance(window.top, ClassRoom)
    assert window.top.room.name == "Millrace Drum Room"
    assert window.context.records.most_recent_player("player") == player


def test_hands_are_typed_by_letter(window: Window, room: Player) -> None:
    """Space, space, A 1 2, C 5: the prompt says how many in all, and Backspace takes the 5 back."""
    screen = begin(window, room)
    window.press("space", "space", "a", "1", "2", "c", "5")
    assert "Beat 1: 17 hands" in window.texts()
    window.press("backspace")
    assert "Beat 1: 12 hands" in window.texts()
    assert screen.session.stage is Stage.COLLECT


def test_what_was_collected_is_kept_with_the_reveal(window: Window, room: Player) -> None:
    """Before the reveal nothing is in the log; with it the hands are, as shares of kind class."""
    screen = begin(window, room)
    window.press("space", "space", "a", "9", "c", "3")
    while screen.session.stage is not Stage.READY:
        window.press("space")
    assert window.context.records.count_answers(room) == 0
    window.clock.now += 1.1
    window.press("space")
    assert [(row.kind, row.share) for row in window.context.records.answers(room)] == [("class", 0.75), ("class", 0.25)]


@pytest.mark.parametrize("one_beat", [False, True])
def test_the_tenth_bar_is_said_to_be_the_last(window: Window, room: Player, one_beat: bool) -> None:
    """After ten bars one key goes on and one ends, by letters and by remote; a key pressed twice does not end."""
    window.show(open_class_room(window.context, room, one_beat=one_beat), Home(window.context))
    screen = window.top
    for bar in range(1, 12):
        assert isinstance(window.top, ClassRoom)
        assert screen.session.number == bar
        with window.unseen():
            to_reveal(window)
        window.press(*(("page down", "page up") if one_beat else ("page down",)))
        if bar == 10:
            assert isinstance(window.top, EndDialog)
            assert "Bars done: ten" in window.texts()
            window.press("page down")
            assert isinstance(window.top, EndDialog)
            window.press("page up")
    with window.unseen():
        for _ in range(9):
            to_reveal(window)
            window.press(*(("page down", "page up") if one_beat else ("page down",)))
    assert isinstance(window.top, ClassRoom)


@pytest.mark.parametrize("key", ["page down", "space", "return"])
def test_a_lesson_ends_after_ten_bars(window: Window, room: Player, key: str) -> None:
    """The key that led through the lesson ends it at the question after the tenth bar, with all that was kept."""
    window.show(open_class_room(window.context, room), Home(window.context))
    with window.unseen():
        for _ in range(10):
            window.press("space", "space", "a", "c", "d", "e")
            to_reveal(window)
            window.press("space")
    window.clock.now += 1.1
    window.press(key)
    assert isinstance(window.top, ClassEnd)
    assert window.context.records.count_answers(room) == 40


def test_the_head_tells_how_far_the_lesson_is(window: Window, room: Player) -> None:
    """The bar of those that were planned, and the minute, which moves while nothing is pressed."""
    begin(window, room)
    assert all(words in window.texts() for words in ("Bar 1 of 10", "Minute 1"))
    window.clock.now += 200
    window.frames(2)
    assert "Minute 4" in window.texts()


def test_a_long_lesson_is_planned_to_fit_ten_minutes(window: Window, room: Player) -> None:
    """Where ten bars take longer, T plans as many as fit; the class keeps it, and after the last it is asked."""
    window.show(open_class_start(window.context))
    assert window.top.length.fitting == 0
    assert "bars" not in window.names()
    window.press("t")
    assert not window.context.records.settings(room).ten_minutes
    page = window.top
    page.lesson.change_settings(answers_by="4 teams", each_beat="all teams")
    page.stale = True
    window.frames(2)
    assert "as every team is asked on each beat. Ten minutes hold four." in window.texts()
    window.press("t")
    assert window.context.records.settings(room).ten_minutes
    window.press("page down")
    for _ in range(4):
        while window.top.session.stage is Stage.MEET:
            window.press("space")
        to_reveal(window)
        window.press("space")
    assert isinstance(window.top, EndDialog)
    assert "Bars done: four" in window.texts()


@pytest.mark.parametrize("key", ["space", "page down", "return"])
def test_mashing_a_key_never_reveals(window: Window, room: Player, key: str) -> None:
    """A key pressed again and again within the same second stops before the answer."""
    screen = begin(window, room)
    for _ in range(30):
        window.press(key)
    assert screen.session.stage is Stage.READY
    assert window.widget("prompt").text == "Once more, to reveal."


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
    """Answers from a later time than now count as given now: the lesson goes on, and keeps its own by this clock."""
    begin(window, room)
    window.press("space", "space", "a", "5")
    to_reveal(window)
    records = window.context.records
    ahead = [replace(one, at=one.at + 86_400) for one in records.answers(room)]
    records.append(room, question_id("ahead"), ahead)
    begin(window, room)
    window.press("space", "space", "a", "5")
    to_reveal(window)
    assert window.top.session.stage is Stage.SHOWN
    last = max(one.at for one in records.answers(room) if one not in ahead)
    assert last == window.clock.now < min(one.at for one in ahead)


@pytest.mark.parametrize("known", [0, 1, 3])
def test_time_goes_on_while_a_lesson_opens(window: Window, room: Player, known: int) -> None:
    """After a clock was set back: no bar is asked before the time at which its coach was made."""
    begin(window, room)
    window.press("space", "space", "a", "5")
    to_reveal(window)
    context, ticks = window.context, count()
    last = context.records.answers(room)[-1].at
    context.now = lambda: last - 3600 + next(ticks) / 100
    lesson = open_class_room(context, room, known=context.level.figures[:known])
    assert lesson.session.question.asked


def test_capitals_are_as_high_as_is_reckoned() -> None:
    """The text font's capitals are at least 0.66 of the type size, measured in pixels."""
    drawn = font(300, True).render("H", True, "black").get_bounding_rect()
    assert drawn.h >= CAPITALS * 300 - 1


@pytest.mark.parametrize(("level", "size"), some(6, shipped_names(), SIZES), ids=str)
def test_the_back_row_can_read(opened: Opened, level: str, size: tuple[int, int]) -> None:
    """Letters and notes take a twentieth of the height or more, counts a thirtieth (ISO 9241: 20 minutes of arc).

    Before the reveal on the tiles, after it in the bar; a count that could not be read so is left off the tiles.
    """
    window = opened(size, level=level)
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    begin(window, room)
    height = size[1]
    for tile in (widget for widget in window.top.widgets if isinstance(widget, VoteTile)):
        letter, *_ = tile.lettering(window.app.look)  # type: ignore[union-attr]
        assert letter.fitted.size * CAPITALS >= height / 20 - 1
        assert tile.space * NOTE_SPACES >= height / 20
        assert not tile.layout.words or tile.space * COUNT_SIZE * CAPITALS >= 0.035 * height - 1
    window.press("space", "space")
    to_reveal(window)
    staff = next(w for w in window.top.widgets if isinstance(w, Halves) or w.name == "staff")
    assert staff.space * NOTE_SPACES >= height / 20
    assert not staff.layout.words or staff.space * COUNT_SIZE * CAPITALS >= 0.035 * height - 1


def test_a_lesson_ends_with_a_summary_to_print(window: Window, room: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    """Escape asks first; the summary says what was collected, writes a PDF into the data folder, and opens that."""
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
    opened: list[str] = []
    monkeypatch.setattr("game.screens.saving.subprocess.Popen", lambda words, **_: opened.append(words[-1]))
    window.press("o")
    assert opened == [str(path.parent)]


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


def test_teams_are_counted_in_the_beats_box(window: Window, room: Player) -> None:
    """Each beat says how many teams have shown their hands."""
    begin(window, room, "Brook", "Hill")
    window.press("space", "space", "a")
    assert "1/2" in window.texts()
    window.press("c", "4")
    assert "2/2" in window.texts()


def test_a_beat_names_the_team_it_is_asked_of(window: Window, room: Player) -> None:
    """Of one team in turn: its name stands at its beat and in the prompt, and after the reveal whether it was right."""
    window.show(open_class_room(window.context, room, ("Brook", "Hill")))
    assert [window.widget(f"box {k}").number for k in range(4)] == ["1 Brook", "2 Hill", "3 Brook", "4 Hill"]
    window.press("space", "space")
    assert "Brook, beat 1: hands up" in window.texts()
    level = window.context.level
    bar = window.top.session.question.bar.figures
    said = [bar[0], next(figure for figure in level.figures if figure != bar[1]), *bar[2:]]
    window.press(*(KEYS[level.figures.index(figure)] for figure in said))
    to_reveal(window)
    tallies = [window.widget(f"outcome {beat}").tally for beat in range(4)]
    assert tallies == ["Brook", f"said {KEYS[level.figures.index(said[1])].upper()}", "Brook", "Hill"]


def test_a_letter_too_soon_says_what_comes_first(window: Window, room: Player) -> None:
    """Before the bar was heard, before hands are collected, and once they are down; nothing is written by it."""
    screen = begin(window, room)
    told = []
    for key, follows in (("c", "space"), ("3", "space"), ("a", "")):
        window.press(key)
        told.append(window.widget("prompt").text)
        window.press(*([follows] if follows else ["a"] * 4))
    window.press("d")
    assert told == ["Not yet. Space: play.", "Not yet. Space: collect.", "Beat 2: hands up"]
    assert window.widget("prompt").text == "Hands are down. Space: reveal; Backspace: more hands."
    assert screen.session.stage is Stage.READY


def picture(window: Window) -> bytes:
    return bytes(window.canvas.get_view("2"))


def test_hands_are_hidden_until_the_reveal(opened: Opened) -> None:
    """Whatever letters are typed, the picture is the same: nobody can follow those who answered first."""
    window = opened()
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class")
    pictures = set()
    for letter in "acd":
        begin(window, room)
        window.press("space", "space", letter, "9")
        pictures.add(picture(window))
    assert len(pictures) == 1


def by_remote(window: Window, room: Player) -> ClassRoom:
    screen = open_class_room(window.context, room, one_beat=True)
    window.show(screen)
    return screen


REMOTE = ("page down", "page up", "right", "left", "b", ".", "escape", "f5")
"""What the keys of presenters' remotes send: forward and back as pages or arrows, a dark picture, end, begin (common
practice, no source)."""


def test_a_remote_records_a_bar(window: Window, room: Player) -> None:
    """Six presses: play, collect, hands down, reveal, most, and back to keep it; the next bar waits."""
    screen = by_remote(window, room)
    window.press("page down", "page down", "page down")
    window.clock.now += 1.1
    window.press("page down", "page down", "page down")
    assert window.context.records.count_answers(room) == 0
    window.press("page up")
    rows = window.context.records.answers(room)
    assert [(row.share, row.unsure) for row in rows] == [(0.5, False), (0.5, True)]
    assert (screen.session.number, screen.session.stage) == (2, Stage.LISTEN)


def test_a_remote_asks_one_team_of_each_bar(window: Window, room: Player) -> None:
    """In turn; the page turns to the team whose beat it is, and most, half or few count for it as for the room."""
    window.show(open_class_room(window.context, room, ("Brook", "Hill"), one_beat=True))
    for team, presses in (("Brook", 1), ("Hill", 2), ("Brook", 1)):
        beat = window.top.session.question.asked[0] + 1
        assert window.widget("prompt").text == f"{team}, beat {beat}: listen"
        window.press("page down", "page down", "page down")
        window.clock.now += 1.1
        window.press("page down", *["page down"] * presses)
        assert window.widget("who").text == f"{team}, who had it?"
        window.press("page up")
    assert (window.top.session.right, window.top.session.asked_of) == ([1.7, 0.5], [2, 1])
    window.press("escape", "page down")
    assert "3 bars, 3 beats: 73% right." in window.texts()
    assert "Brook: 85% right in 2 beats." in window.texts()
    assert "Hill: 50% right in 1 beat." in window.texts()


def test_by_remote_alone_each_step_names_a_key_of_the_remote(window: Window, room: Player) -> None:
    """The foot and the main button; the summary claims no more than was told: half had it."""
    screen = by_remote(window, room)
    for _ in range(6):
        assert screen.keys()[0].name == window.widget("step").key == "page down"
        assert all(key.name in REMOTE for key in screen.keys()[:2])
        window.clock.now += 1.1
        window.press("page down")
    assert (screen.session.stage, screen.keys()[0].says, screen.keys()[1].says) == (Stage.HAD, "change", "next bar")
    window.press("page up", "escape")
    assert window.widget("go").key == "page down"
    window.press("page down")
    assert window.widget("mixed").text == "The fewest had:"
    assert window.widget("share 0").text == "1 &: 50% in 1 beat"


def test_arrows_of_a_remote_do_the_same(window: Window, room: Player) -> None:
    """Some remotes send Right and Left."""
    screen = by_remote(window, room)
    window.press("right")
    heard = len(window.device.played)
    window.press("left")
    assert len(window.device.played) == heard + 1
    window.press("right", "right")
    assert screen.session.stage is Stage.READY


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in (1, 2))])
@pytest.mark.parametrize("one_beat", [True, False], ids=["by remote", "by letters"])
def test_no_key_of_a_remote_votes_or_strands(window: Window, room: Player, seed: int, one_beat: bool) -> None:
    """A hundred keys of a remote at random: no letter is written, and forward always leads somewhere."""
    window.show(open_class_room(window.context, room, one_beat=one_beat), open_class_start(window.context))
    random = Random(seed)
    for _ in range(100):
        window.clock.now += random.choice((0.1, 1.5))
        window.press(random.choice(REMOTE))
        if isinstance(window.top, ClassRoom):
            assert not any(map(window.top.session.hands.said, window.top.session.hands.asked))
        elif isinstance(window.top, ClassStart):
            break
    for _ in range(40):
        if isinstance(window.top, ClassRoom) and window.top.session.number > 1:
            break
        window.clock.now += 1.5
        window.press("page down")
        if isinstance(window.top, ClassRoom) and window.top.session.stage is Stage.HAD:
            window.press("page up")
    assert isinstance(window.top, ClassRoom | ClassStart)


def test_the_dark_picture_comes_back_with_any_key(window: Window, room: Player) -> None:
    """B and the full stop darken it; the key that brings it back does nothing else."""
    screen = by_remote(window, room)
    for key in ("b", "."):
        window.press(key)
        assert window.canvas.get_at((10, 10))[:3] == (0, 0, 0)
        window.press("page down")
        assert window.canvas.get_at((10, 10))[:3] != (0, 0, 0)
    assert screen.session.hands.hearings == 0


def test_the_end_is_confirmed_by_a_remote(window: Window, room: Player) -> None:
    """Esc asks; back goes on, forward ends the lesson; from the summary forward leads home."""
    lesson = open_class_room(window.context, room, one_beat=True)
    window.show(lesson, open_class_start(window.context))
    window.press("page down", "page down", "page down")
    window.clock.now += 1.1
    window.press("page down", "page down", "page up", "escape")
    assert isinstance(window.top, EndDialog)
    # At the foot of the window stand the keys of the question, in place of those of the page below it.
    at_the_foot = [widget.cap for widget in window.top.widgets if isinstance(widget, Hint)]
    assert at_the_foot == ["Enter", "Tab", "Esc", "Page down", "Page up"]
    window.press("page up")
    assert window.top is lesson
    window.press("escape", "page down")
    assert isinstance(window.top, ClassEnd)
    window.press("page down")
    assert isinstance(window.top, ClassStart)


def test_the_reveal_sets_what_was_said_beside_what_was_played(window: Window, room: Player) -> None:
    """The beat that most took for something else comes first: both figures drawn, how many said it, how they differ."""
    screen = begin(window, room)
    level = window.context.level
    bar = screen.session.question.bar.figures
    wrong = next(figure for figure in level.figures if figure != bar[2])
    letters = [KEYS[level.figures.index(figure)] for figure in bar]
    said = KEYS[level.figures.index(wrong)]
    window.press("space", "space", letters[0], letters[1], said, "9", letters[2], "3", "space", letters[3])
    to_reveal(window)
    played, other = (window.widget(f"said {k}") for k in (0, 1))
    assert (played.sign, played.words) == (letters[2].upper(), f"beat 3: {bar[2].count_on(3)}")
    assert (other.sign, other.words) == (said.upper(), "said by 9")
    assert window.widget("sentence").text == difference(bar[2], wrong, f"figure {letters[2].upper()}").sentence
    assert "3/12" in window.texts()
    window.press("page up")
    assert len(window.device.played) == 2
    # The beat as it was played, as it was said, and as it was played: the word by the ruler speaks of a room.
    framed, words = [], set()
    for tenth in range(120):
        window.device.where = tenth / 10
        window.frames(2)
        now = [tile.sounds for tile in (window.widget("said 0"), window.widget("said 1"))]
        framed += [now] if any(now) and now not in framed[-1:] else []
        words.add(window.top.mark[0])
    assert framed == [[True, False], [False, True], [True, False]]
    assert words - {""} == {"As played", "As some said"}


def test_both_slower_and_one_beat_are_heard(window: Window, room: Player) -> None:
    """After the reveal the bar, both in turn, one beat and slower each sound; slower lasts longer."""
    begin(window, room)
    window.press("space", "space", "a", "a", "a", "a")
    to_reveal(window)
    lengths = {}
    for key in ("a", "page up", "o", "s"):
        before = len(window.device.played)
        window.press(key)
        assert len(window.device.played) == before + 1
        lengths[key] = len(window.device.played[-1])
    assert lengths["s"] > lengths["page up"] > lengths["o"]


def test_arrows_look_at_the_other_beats(window: Window, room: Player) -> None:
    """After the reveal Left and Right go from beat to beat."""
    screen = begin(window, room)
    window.press("space", "space")
    to_reveal(window)
    seen = []
    assert "other beat" in window.texts()
    for _ in range(4):
        seen.append(screen.beat)
        window.press("right")
    assert sorted(seen) == [0, 1, 2, 3]


def test_a_new_figure_is_met_by_the_room(window: Window, room: Player) -> None:
    """It is heard alone, then beside one like it with the sentence, before the bar in which it is asked."""
    level = window.context.level
    screen = open_class_room(window.context, room, known=level.figures[:4])
    window.show(screen)
    assert screen.session.stage is Stage.MEET
    window.press("page down")
    assert len(window.device.played) == 1
    window.press("page down")
    new, known = screen.session.meets[0], screen.session.rival
    letter = LETTERS[level.figures.index(new)]
    assert window.widget("sentence").text == screen.session.sentence(f"figure {letter}")
    assert [window.widget(f"figure {k}").words for k in (0, 1)] == [f"New: {new}", f"Known: {known}"]
    window.press("page down")
    assert screen.session.stage is Stage.LISTEN


def test_the_class_has_settings_of_its_own(window: Window) -> None:
    """Theme, level and who answers belong to the class; what the player at this machine chose stays as it was."""
    context = window.context
    context.change_settings(theme="dark", volume=-20)
    room = context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    app = window.show(open_class_start(context))
    window.change("levels", 4)
    window.press("page down")
    assert isinstance(window.top, ClassRoom)
    assert (app.look.theme.name, window.top.context.level.name) == ("projector", "stage-5")
    window.press("escape")
    assert (context.settings.theme, context.level.name) == ("dark", "stage-3")
    kept = context.records.settings(room)
    assert (kept.theme, kept.level, kept.volume) == ("projector", "stage-5", -20)
    window.show(open_class_start(context))
    assert window.top.level.name == "stage-5"


def test_settings_of_the_class_are_changed_by_a_key(window: Window) -> None:
    """S opens the settings page on the class; what is chosen there is the class's alone."""
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    window.show(open_class_start(window.context))
    window.press("s")
    window.top.context.change_settings(kit="stage", theme="light")
    window.press("escape")
    assert isinstance(window.top, ClassStart)
    assert window.context.records.settings(room).kit == "stage"
    assert window.context.settings.kit == "practice"


def test_ticks_say_what_the_class_knows(window: Window) -> None:
    """What the level brings in is not known to a new class; Enter changes a tick; A ticks all, and gives them back."""
    window.context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    window.show(open_class_start(window.context))
    level = window.context.level
    known = window.widget("known")
    assert known.ticked == {k for k, figure in enumerate(level.figures) if figure not in level.new}
    window.top.set_focus("known")
    window.press("return")
    assert 0 not in window.widget("known").ticked
    window.press("a")
    assert len(window.widget("known").ticked) == len(level.figures)
    assert "All are asked from the first bar." in window.texts()
    assert window.widget("all").text == "Not all known"
    window.press("a")
    assert window.widget("known").ticked == known.ticked
    window.press("page down")
    assert window.top.session.stage is Stage.MEET


def test_what_was_met_already_is_not_to_be_ticked(window: Window, room: Player) -> None:
    """Of a class that has answered every figure of its level there is nothing to tick: no key is shown that does it."""
    figures = class_context(window.context, room).level.figures
    begin(window, room)
    window.press("space", "space", "a")
    to_reveal(window)
    (sample, *_) = window.context.records.answers(room)
    heard = [replace(sample, heard=figure.count) for figure in figures]
    window.context.records.append(room, question_id("all met"), heard)
    window.show(open_class_start(window.context))
    assert len(window.widget("known").ticked) == len(figures)
    assert "all" not in window.names()
    assert "all known" not in window.texts()


def test_teams_have_names_of_their_own(window: Window) -> None:
    """Names with commas between; where there are too few or two alike, names from the land fill up."""
    assert team_names("Otters, Herons", 2) == ("Otters", "Herons")
    assert team_names("Otters,, Otters", 3) == ("Otters", "Brook", "Hill")
    window.context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    window.show(open_class_start(window.context))
    window.change("answers", "2 teams")
    window.fill_in("names", "Otters, Herons")
    window.top.set_focus("begin")
    window.press("return")
    assert window.top.session.teams == ("Otters", "Herons")


def test_records_that_fail_in_a_lesson_go_on_in_memory_for_all(window: Window) -> None:
    """A lesson that goes on without keeping leaves no closed records behind for the home page."""
    room = window.context.records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
    lesson = class_context(window.context, room)
    lesson.go_on_in_memory("The disk is full")
    assert lesson.records is window.context.records
    assert not window.context.records.lasting
    assert window.context.records.players("class")[0].uuid == lesson.player.uuid


def test_a_class_has_words_of_the_count_of_its_own(window: Window) -> None:
    """Its level, its sentences and its sheets show them; whoever plays alone keeps theirs."""
    room = window.context.records.add_player("Otter Room", 1.0, "class")
    lesson = class_context(window.context, room)
    lesson.choose_counting("e + e")
    again = class_context(window.context, room)
    assert again.level.as_shown("1 e & a") == "1 e + e"
    assert window.context.level.as_shown("1 e & a") == "1 e & a"
    window.show(open_paper(window.context))
    window.change("room", "Otter Room")
    assert window.top.sheet.level.count == "e + e"
    window.change("room", "")
    assert window.top.sheet.level.count == ""


def test_the_foot_tells_the_letters_while_they_are_votes(window: Window, room: Player) -> None:
    """Only while hands are up; the key A still votes for the first figure."""
    window.show(open_class_room(window.context, room))
    assert "the letter most show" not in window.texts()
    window.press("space", "space")
    assert "the letter most show" in window.texts()
    keys = window.top.keys()
    next(key for key in keys if key.says == "the letter most show").act()
    assert window.top.told == "Press the letter that most show."
    window.press("a")
    assert window.top.told == ""
    ballots = window.top.session.hands.of_beat(window.top.session.question.asked[0])
    assert [ballot.leader for ballot in ballots.values()] == [window.top.offered[0]]


def test_a_class_is_left_though_its_records_are_damaged(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """What can't be read again stays as it was: leaving is what an error of the records leads to."""
    lesson = class_context(window.context, window.context.records.add_player("Linden 1", 0.0, "class"))
    before = window.context.settings

    def damaged(_: Player) -> None:
        raise RecordsError("the records are damaged")

    monkeypatch.setattr(window.context.records, "settings", damaged)
    give_back(lesson)
    assert window.context.settings == before


@pytest.mark.usefixtures("room")
def test_a_lesson_is_prepared_without_a_disk(window: Window) -> None:
    """Where the first page of a class goes on unkept, the class goes along."""
    window.show(open_class_start(window.context), Home(window.context))
    window.context.records.database.connection.execute("PRAGMA query_only = ON")
    window.top.set_focus("levels")
    window.press("down")
    assert isinstance(window.top, Unkept)
    window.press("n")
    level = window.top.lesson.level
    window.press("down")
    assert isinstance(window.top, ClassStart)
    assert window.top.lesson.level != level
