"""The home page: players, levels, ways in."""

import itertools
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pygame
import pytest

from game.records import Round
from game.screens.home.first_start import PAGES, FirstStart
from game.screens.home.home import WAYS, Home, first_screens
from game.screens.home.ways import DEMO, SETTINGS
from game.screens.lesson.room import ClassRoom
from game.screens.lesson.start import open_class_start
from game.screens.levels.levels import Levels
from game.screens.practice.question import Practice
from game.screens.practice.round_end import RoundEnd
from game.screens.settings.settings import SettingsScreen
from game.sessions.levels.writing import level_text
from game.sessions.progress.standing import HORIZONS, Standing
from game.widgets.controls import Button
from game.widgets.lists import ListBox
from game.widgets.skyline import LEGEND
from game.wording import local_day
from shared import levels
from shared.levels import find_level, ladder_names, load_level
from tests.records.record_samples import bar, uuid
from tests.screens.window import NOW, Opened, Window, faults


@pytest.fixture
def home(window: Window) -> Window:
    """A window with the home page."""
    window.show(Home(window.context))
    return window


def test_enter_starts_practice(home: Window) -> None:
    """The main way in has the focus."""
    home.press("return")
    assert isinstance(home.top, Practice)


def test_every_way_in_opens_its_page(home: Window) -> None:
    """No button does nothing; each has a key of its own."""
    ways = (*WAYS, SETTINGS, DEMO)
    assert len({way.key for way in ways}) == len(ways)
    for way in ways:
        page = home.app.top
        home.press(way.key)
        assert home.app.top is not page
        home.app.stack[1:] = []
        home.top.entered()
        home.frames()


def test_what_is_opened_most_stands_first(home: Window) -> None:
    """A pupil finds figures and playing first; whoever keeps opening the class finds it there, under the same key."""

    def shown() -> list[str]:
        ways = {way.name for way in WAYS[1:]}
        return [name for name in home.names() if name in ways]

    assert shown() == [way.name for way in WAYS[1:]]
    assert "class" not in shown()[:3]
    for times in (1, 2):
        home.press("c")
        assert not isinstance(home.top, Home)
        home.app.stack[1:] = []
        home.top.entered()
        home.frames()
        assert (shown()[0] == "class") == (times == 2)
    assert home.widget("class").key == "c"
    assert home.widget("class").about
    home.clock.now += 120 * 86_400
    home.top.entered()
    home.frames()
    assert shown()[:3] == [way.name for way in WAYS[1:4]]


def test_a_teacher_finds_class_and_paper_first(home: Window) -> None:
    """After the first lesson the class is the main way in, with the focus at once and later on, and paper follows."""
    home.press("c")
    home.write("Millrace Drum Room")
    home.press("return", "page down")
    assert isinstance(home.top, ClassRoom)
    home.press("escape", "page down", "page down")
    assert home.top.focus == "class"
    home.show(Home(home.context))
    ways = {way.name for way in WAYS}
    assert [name for name in home.names() if name in ways][:2] == ["class", "paper"]
    assert home.top.focus == "class"
    assert home.widget("class").main
    # A pupil who is taken in there begins with their own practice, and the teacher still finds the class at once.
    home.press("n")
    home.write("Bryony")
    home.press("return")
    assert [name for name in home.names() if name in ways][:2] == ["practice", "class"]
    assert home.widget("class").about
    home.press("p")
    assert not isinstance(home.top, Home)


def test_player_is_added_in_place(home: Window) -> None:
    """N, a name, Enter: the new player plays."""
    home.press("n")
    home.write("Ash")
    home.press("return")
    assert home.context.player.name == "Ash"
    assert "Ash" in home.texts()
    assert "name" not in home.names()


def test_letters_of_a_name_are_no_commands(home: Window) -> None:
    """While a name is written, Q, S, N and P are letters."""
    home.press("n")
    home.write("Qs np")
    home.press("return")
    assert home.context.player.name == "Qs np"


def test_taken_name_is_refused_in_words(home: Window) -> None:
    """The reason stands on the page and the field stays open; Esc leaves everything as it was."""
    home.press("n")
    home.write("Player 1")
    home.press("return")
    assert "already a player called" in home.texts()
    home.press("escape")
    assert home.context.player.name == "Player 1"
    assert "name" not in home.names()


def test_player_is_renamed_in_place(home: Window) -> None:
    """R opens the name, which can be changed."""
    home.press("r", *["backspace"] * 8)
    home.write("Wren")
    home.press("return")
    assert [player.name for player in home.context.records.players()] == ["Wren"]


def test_other_player_brings_their_settings(home: Window) -> None:
    """Choosing a player chooses their theme and their level."""
    context = home.context
    hazel = context.records.add_player("Hazel", 0.0)
    context.records.save_settings(hazel, context.settings.__class__(theme="dark", level="stage-5"))
    home.top.entered()
    home.frames()
    home.top.set_focus("players")
    home.press("up" if home.top.players[0] == hazel else "down")
    assert (context.player, context.settings.theme, context.level.name) == (hazel, "dark", "stage-5")


def test_level_is_chosen_by_keys_and_kept(home: Window) -> None:
    """Down in the list of levels takes the next one, and the records remember it."""
    home.top.set_focus("levels")
    home.press("down")
    assert home.context.level.name == "stage-4"
    assert home.context.records.settings(home.context.player).level == "stage-4"


def test_the_next_thing_is_told_and_begun(home: Window) -> None:
    """Who has heard nothing yet is told to begin the level at hand, and the main button begins it."""
    home.frames(3)
    assert home.widget("practice").text == "Begin Two short, one long"
    assert home.widget("practice").about == "Six figures to meet, one or two at a time."
    assert home.widget("told").text == "Six figures, none of them heard yet."
    home.press("return")
    assert isinstance(home.top, Practice)


def test_sunk_figures_of_another_level_come_first(home: Window) -> None:
    """Figures that held and have sunk with the days are brought back, on their own level, whichever is at hand."""
    figures = tuple(figure.count for figure in find_level("stage-2").figures)
    sinking = tuple((0.97 if days <= 1 else 0.6,) * len(figures) for days in HORIZONS)
    then = NOW - 5 * 86_400
    kept = Standing("stage-2", then, then, figures, (9,) * len(figures), sinking)
    home.context.records.keep_derived(home.context.player, "standing stage-2", kept.kept())
    home.show(Home(home.context))
    home.frames(20)
    assert home.widget("practice").text == f"Back to {find_level('stage-2').title}"
    # Not shortly before an exam on the level at hand, whose figures are then all that counts.
    for days, waits in ((15, False), (14, True), (0, True)):
        home.context.choose_exam_day(home.context.level, local_day(NOW) + timedelta(days=days))
        home.show(Home(home.context))
        home.frames(20)
        assert home.widget("practice").text.startswith("Back to") is not waits
    home.context.choose_exam_day(home.context.level, None)
    home.show(Home(home.context))
    home.frames(20)
    home.press("return")
    assert home.context.level.name == "stage-2"
    assert isinstance(home.top, Practice)


def test_players_keep_their_places(home: Window) -> None:
    """Who plays changes, and comes back to the page: the others stay where they were; a new one comes first."""
    for name in ("Wren", "Rowan", "Hazel"):
        home.press("n")
        home.write(name)
        home.press("return")

    def listed() -> list[str]:
        return [row.text for row in home.widget("players").rows]

    before = listed()
    assert before[0] == "Hazel"
    home.top.set_focus("players")
    home.press("down", "down")
    home.press("f", "escape")
    assert home.context.player.name == "Wren"
    assert listed() == before
    home.show(Home(home.context))
    assert listed()[0] == "Wren"


def test_a_firm_figure_has_a_solid_hill(home: Window) -> None:
    """Of two hills as high the firm one is full of ink, the other an outline, in words below; without colours too."""
    level = home.context.level
    figures = tuple(figure.count for figure in level.figures)
    # Nine right answers make nearly as high a hill as four do, but only one of the two is surely named tomorrow.
    recall = (0.95, 0.85) * (len(figures) // 2)
    standing = Standing(level.name, NOW, NOW, figures, (5, 9) * (len(figures) // 2), (recall,) * len(HORIZONS))
    home.context.records.keep_derived(home.context.player, f"standing {level.name}", standing.kept())
    home.show(Home(home.context))
    home.frames(3)
    hills = home.widget("skyline")
    assert [hill.firm for hill in hills.hills] == [True, False] * (len(figures) // 2)
    assert LEGEND in home.texts()
    # The middle of a hill, well below its outline.
    wide, low = hills.rect.w / len(figures), hills.rect.y + (hills.rect.h - hills.feet(home.app.look)) - 8
    inside = [home.canvas.get_at((round(hills.rect.x + (k + 0.4) * wide), low))[:3] for k in range(len(figures))]
    paper = pygame.Color(home.app.look.theme.paper)[:3]
    assert [colour == paper for colour in inside] == [False, True] * (len(figures) // 2)


@pytest.mark.parametrize("size", [(1024, 576), pytest.param((1920, 1080), marks=pytest.mark.long)])
def test_hills_keep_their_room_in_large_type(lived: Opened, size: tuple[int, int]) -> None:
    """Where all has no room, words give way, and not the hills with their figures: on a projector too."""
    window = lived(size)
    context = window.context
    context.settings = replace(context.settings, theme="projector")
    context.choose_exam_day(context.level, local_day(context.now()) + timedelta(days=12))
    with window.unseen():
        window.show(Home(context))
        window.until(lambda: not window.top.unread)
    window.frames()
    assert "Exam in 12 days. Ready?" in window.texts()
    hills = window.widget("skyline")
    # Where there is no room for the figures under the hills they are left out, and take none.
    assert 0 < hills.feet(window.app.look) < hills.rect.h


def test_a_level_beside_the_ladder_says_why_it_is_there(opened: Opened) -> None:
    """A stage that is kept for old results says so, on the first page and among the levels; the others don't."""
    window = opened(level="stage-6")
    for page in (Home(window.context), Levels(window.context)):
        window.show(page)
        window.frames(3)
        assert "Kept beside the ladder" in window.widget("about").text
    window.context.level = find_level("stage-5")
    window.show(Home(window.context))
    assert "Kept" not in window.widget("about").text


@pytest.mark.parametrize("begun", [True, False])
def test_what_another_level_asked_since_has_not_sunk_there(home: Window, begun: bool) -> None:
    """Old friends sink on no level that was not begun, nor where they were answered since on another one."""
    context, then = home.context, NOW - 5 * 86_400
    figures = tuple(figure.count for figure in find_level("stage-2").figures)
    old = {figure.count for figure in find_level("stage-1").figures}
    heard = tuple(9 if begun or figure in old else 0 for figure in figures)
    sinking = tuple((0.97 if days <= 1 else 0.6,) * len(figures) for days in HORIZONS)
    context.records.keep_derived(
        context.player, "standing stage-2", Standing("stage-2", then, then, figures, heard, sinking).kept()
    )
    if begun:
        context.keep(uuid(1), bar(at=NOW - 60))
    home.show(Home(context))
    home.frames(2)
    assert not home.widget("practice").text.startswith("Bring")


def test_one_stroke_heard_begins_no_level_of_the_other_beats(home: Window) -> None:
    """It is counted 1 in crotchets and in beats of three: the first level leaves those of dotted crotchets unbegun."""
    for name in ("stage-1", "compound-quavers"):
        figures = tuple(figure.count for figure in find_level(name).figures)
        heard = tuple(2 if figure == "1" else 0 for figure in figures)
        standing = Standing(name, NOW, NOW, figures, heard, ((0.5,) * len(figures),) * len(HORIZONS))
        home.context.records.keep_derived(home.context.player, f"standing {name}", standing.kept())
    home.show(Home(home.context))
    home.frames(20)
    levels = home.widget("levels")
    assert isinstance(levels, ListBox)
    assert [row.text for row in levels.rows if row.remark == "begun"] == ["1  Pulse and halves"]


def test_a_level_that_holds_is_closed(home: Window) -> None:
    """When every figure is firm the closing round is offered; it hears each bar once, and what it closed is kept."""
    level, now = home.context.level, home.context.now()
    figures = tuple(figure.count for figure in level.figures)
    held = Standing(level.name, now, now, figures, (9,) * len(figures), ((0.99,) * len(figures),) * len(HORIZONS))
    home.context.records.keep_derived(home.context.player, f"standing {level.name}", held.kept())
    home.context.standing = lambda asked: held if asked.name == level.name else None
    home.show(Home(home.context))
    home.frames(20)
    assert home.widget("practice").text == "The closing round"
    home.press("return")
    page = home.top
    assert isinstance(page, Practice)
    assert page.round.closing
    home.press("space")
    assert "hear" not in home.names()
    while not page.round.complete:
        home.say(*page.round.question.asked_figures)
        home.press("return", "return")
        page = home.top if isinstance(home.top, Practice) else page
    assert level.name in home.context.closed()
    while not isinstance(home.top, RoundEnd):
        home.press("return")
    assert home.widget("again").text == "On to stage 4"
    home.press("return")
    assert home.context.level.name == "stage-4"


def test_a_level_from_a_file_is_at_hand(window: Window, tmp_path: Path) -> None:
    """A level that was named by its file at the start stands in the list, chosen, with its own next thing to do."""
    place = tmp_path / "monday.toml"
    place.write_text(level_text(replace(find_level("stage-2"), title="Monday")), encoding="utf-8")
    window.context.level = load_level(place)
    window.show(Home(window.context))
    window.frames(20)
    assert window.widget("practice").text == "Begin Monday"
    rows = window.widget("levels")
    assert rows.rows[rows.chosen].text == "Monday"


def test_last_rounds_and_the_best_are_told(home: Window) -> None:
    """The last three rounds on the level, oldest first, and the best of all; nothing before the first round."""
    assert home.widget("last").text == ""
    for k, score in enumerate((900, 640, 720, 810)):
        at = NOW - 5000 + 1000 * k
        kept = Round(home.context.level.name, at, at + 150, 40, 30, 13, score, 10)
        home.context.records.save_round(home.context.player, kept)
    home.show(Home(home.context))
    assert home.widget("last").text == "Last rounds: 256, 288, 324 of 400 points. Best: 360 of 400 points."


def test_bests_of_an_earlier_rule_stay_and_are_marked(home: Window) -> None:
    """A round scored by another rule is compared with none before it; what was reached by the earlier rule is told."""
    for k, (score, rule) in enumerate(((900, 1), (640, 1), (720, 2))):
        at = NOW - 5000 + 1000 * k
        kept = Round(home.context.level.name, at, at + 150, 40, 30, 13, score, 10, rule=rule)
        home.context.records.save_round(home.context.player, kept)
    home.show(Home(home.context))
    told = "Last round: 288 of 400 points. Best: 288 of 400 points. By the earlier rule: 360 of 400 points."
    assert home.widget("last").text == told


def test_results_follow_the_player(home: Window) -> None:
    """A new player has no results yet."""
    home.context.records.save_round(
        home.context.player, Round(home.context.level.name, NOW - 200, NOW - 50, 40, 30, 13, 640, 10)
    )
    home.press("n")
    home.write("Rowan")
    home.press("return")
    home.context.choose_level(find_level("stage-3"))
    home.top.entered()
    home.frames()
    assert home.widget("last").text == ""


def test_removing_players_is_not_offered(home: Window) -> None:
    """Nobody's record goes by a slip."""
    assert not any(word in home.texts().lower() for word in ("remove", "delete"))


def test_own_level_is_listed(window: Window) -> None:
    """A teacher's own level stands among the others; a faulty one is told of."""
    folder = window.context.own_levels
    folder.mkdir(parents=True)
    (folder / "drips.toml").write_text(level_text(find_level("stage-2")).replace("The off-beat", "Drips"), "utf-8")
    (folder / "broken.toml").write_text("format = 1\n", "utf-8")
    window.show(Home(window.context))
    titles = [level.title for level in window.top.levels]
    assert any(title.startswith("Drips") for title in titles)
    assert "broken" in window.widget("notice").text


def test_the_first_frame_does_not_wait_for_own_levels(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """They come by and by, in their order, the one that is played on from the start."""
    folder = window.context.own_levels
    folder.mkdir(parents=True)
    for number in range(40):
        (folder / f"reed-{number:02}.toml").write_text(level_text(find_level("stage-2")), "utf-8")
    window.context.choose_level(find_level("reed-21", folder))
    read: list[Path] = []
    plain = levels.load_level
    monkeypatch.setattr(levels, "load_level", lambda path: read.append(path) or plain(path))
    shipped = len(levels.shipped_names())
    home = Home(window.context)
    home.entered()
    assert [level.name for level in home.levels[shipped:]] == ["reed-21"]
    assert not any(folder in Path(path).parents for path in read)
    window.show(home)
    window.frames(60)
    assert [level.name for level in home.levels[shipped:]] == [f"reed-{number:02}" for number in range(40)]
    assert window.widget("levels").chosen == shipped + 21
    window.show(Levels(window.context))
    window.frames(60)
    assert [level.name for level in window.top.levels[shipped:]] == [f"reed-{number:02}" for number in range(40)]


def test_answers_from_a_time_to_come_have_a_standing(window: Window) -> None:
    """The clock was set back since they were given, and goes on while the standing is worked out."""
    context = window.context
    context.keep(uuid(1), bar(at=NOW + 5000))
    ticks = itertools.count()
    context.now = lambda: NOW + next(ticks) / 100
    assert context.standing(context.level) is not None


def test_a_standing_is_worked_out_in_small_pieces(lived: Opened) -> None:
    """However much was answered, no step takes in more than a bar, or reads more than a few hundred questions."""
    context = lived().context
    pieces = list(context.working_out(context.level))
    assert len(pieces) > 70
    assert context.kept_standing(context.level) is not None
    assert context.readiness(context.level).startswith("Ready for its exam? ")
    assert list(context.working_out(context.level)) == []
    context.choose_exam_day(context.level, local_day(NOW + 3 * 86_400))
    assert list(context.working_out(context.level))
    assert context.readiness(context.level).startswith("Exam in 3 days. Ready? ")


def test_settings_are_one_key_away(home: Window) -> None:
    """S opens the settings, Esc comes back."""
    home.press("s")
    assert isinstance(home.top, SettingsScreen)
    home.press("escape")
    assert isinstance(home.top, Home)


def test_closing_ends_the_loop(home: Window) -> None:
    """Q closes the window."""
    home.press("q")
    assert home.app.stack == []


def test_first_start_comes_once(window: Window) -> None:
    """The first pages are shown until they have been gone through or skipped."""
    stack = first_screens(window.context)
    assert isinstance(stack[-1], FirstStart)
    window.show(stack[-1], *stack[:-1])
    window.press("escape")
    assert isinstance(window.top, Home)
    assert [type(screen) for screen in first_screens(window.context)] == [Home]


def test_first_start_says_what_must_be_said() -> None:
    """Low volume first, breaks, a doctor where it hurts, and that this is not the exam board's word."""
    words = " ".join(text for page in PAGES for text in page).lower()
    for needed in ("volume low first", "rest when your ears or your wrists tire", "doctor", "exam board"):
        assert needed in words


def test_first_start_takes_a_name(window: Window) -> None:
    """The last page takes the player's name and hand."""
    stack = first_screens(window.context)
    window.show(stack[-1], *stack[:-1])
    window.press("page down")
    window.write("Rowan")
    window.press("tab", "right", "tab", "return")
    assert window.context.player.name == "Rowan"
    assert window.context.settings.hand == "L"
    assert isinstance(window.top, Home)


def test_first_start_renames_nobody(lived: Opened) -> None:
    """Who has a name already, as the demo's invented pupils have, is not asked for one."""
    window = lived()
    window.show(FirstStart(window.context), Home(window.context))
    window.press("page down")
    assert "name" not in window.names()
    window.write("Rowan")
    window.press("return")
    assert window.context.player.name == "Ash (demo)"
    assert isinstance(window.top, Home)


def test_first_figure_is_seen_to_sound(window: Window) -> None:
    """While the figure of the first page sounds, a light goes from count to count; then the page is as it was."""
    window.show(FirstStart(window.context))
    window.top.set_focus("on")
    window.click("hear")
    seen = []
    for where in (0.5, 4.1, 4.6, 4.8):
        window.device.where = where
        window.frames(2)
        seen.append((window.widget("figure").lit(), pygame.image.tobytes(window.canvas, "RGB")))
    lit = [None, (0, Fraction(0)), (0, Fraction(1, 2)), (0, Fraction(3, 4))]
    assert [where for where, _ in seen] == lit
    assert len({picture for _, picture in seen}) == 4
    window.device.where = None
    window.frames(2)
    assert window.widget("figure").lit() is None


def test_first_sound_is_quiet(window: Window) -> None:
    """The first start begins 12 dB under full (usual caution; ITU-T H.870 is about the dose)."""
    stack = first_screens(window.context)
    window.show(stack[-1], *stack[:-1])
    window.click("hear")
    assert window.device.volume == -12


@pytest.mark.parametrize("size", [(1024, 640), (1366, 768), (1920, 1080), (3840, 2160)])
def test_the_chosen_level_is_in_sight(opened: Opened, size: tuple[int, int]) -> None:
    """With one player the list shows at least eight levels at once, and always the chosen one."""
    window = opened(size)
    window.show(Home(window.context))
    for name in (ladder_names()[0], ladder_names()[-1]):
        window.context.choose_level(find_level(name))
        window.top.stale = True
        window.frames(2)
        shown = [number for number, _ in window.widget("levels").shown()]
        assert len(shown) >= 8
        assert ladder_names().index(name) in shown


def test_a_name_is_copied_and_pasted(window: Window) -> None:
    """Ctrl A, C and X take what is written out of a field, Ctrl V puts it into another; no shortcut acts meanwhile."""
    window.show(Home(window.context))
    window.press("r")
    window.press("a", "x", mod=pygame.KMOD_CTRL)
    assert window.widget("name").edited.text == ""
    window.write("Hazel")
    window.press("a", "c", mod=pygame.KMOD_CTRL)
    window.press("escape", "n")
    window.press("v", "v", mod=pygame.KMOD_CTRL)
    assert window.widget("name").edited.text == "HazelHazel"


@pytest.mark.parametrize("size", [(1024, 640), (1366, 768), (1920, 1080)])
def test_the_welcome_shows_how_a_bar_is_asked(opened: Opened, size: tuple[int, int]) -> None:
    """Its second page has a bar with one figure left out, in its place; nothing there takes the focus."""
    window = opened(size)
    window.show(FirstStart(window.context))
    window.press("page down")
    staff, missing = window.widget("staff"), window.widget("missing")
    assert staff.rect.contains(missing.rect)
    span = staff.layout.beats[2]
    assert missing.rect.centerx == pytest.approx(staff.left + (span.left + span.right) / 2 * staff.space, abs=12)
    assert [widget.name for widget in window.top.focusable()] == ["name", "hand", "begin"]
    assert list(faults(window.app)) == []


def test_a_refused_name_keeps_the_focus(window: Window) -> None:
    """A name that can't be is told beside its field, which shows the fault and goes on taking keys."""
    window.show(Home(window.context))
    window.press("n", "return")
    assert window.top.focus == "name"
    assert window.widget("name").faulty
    window.write("Hazel")
    assert not window.widget("name").faulty


@pytest.mark.parametrize("type_size", [100, 130])
def test_two_more_ways_in_find_room(opened: Opened, monkeypatch: pytest.MonkeyPatch, type_size: int) -> None:
    """A way of practice that is added to the table shows on the page, in the smallest window and the largest type."""
    more = [replace(WAYS[-1], name=name, key="") for name in ("rain", "reed")]
    monkeypatch.setattr("game.screens.home.home.WAYS", (*WAYS, *more))
    window = opened((1024, 640))
    window.context.change_settings(type_size=type_size)
    app = window.show(Home(window.context))
    assert {"rain", "reed"} <= set(window.names())
    assert list(faults(app)) == []


@pytest.mark.parametrize("name", ["გიორგი", "小明"])
def test_letters_that_the_type_lacks_are_told_of(window: Window, name: str) -> None:
    """Where a name is written, once, in a sentence: for a player and for a class."""
    window.show(Home(window.context))
    window.press("n")
    pygame.event.post(pygame.Event(pygame.TEXTINPUT, text=name))
    window.frames()
    assert window.texts().count("not in this type") == 1
    window.show(open_class_start(window.context))
    window.top.set_focus("name")
    pygame.event.post(pygame.Event(pygame.TEXTINPUT, text=name))
    window.frames()
    assert window.texts().count("not in this type") == 1


@pytest.mark.parametrize("type_size", [130, 200, 250])
def test_the_main_button_is_read_in_large_type(home: Window, type_size: int) -> None:
    """The way in that most people want has no small words, and the hills and their figures keep their room."""
    home.context.change_settings(type_size=type_size)
    home.lay_out((1024, 640))
    home.frames(200)
    look = home.app.look
    assert look.type_factor > 1
    told = [widget for widget in home.top.widgets if isinstance(widget, Button) and widget.about]
    assert len(told) == 4
    for button in told:
        assert button.lettering(look)[1].fitted.size >= 0.75 * look.type_size("small"), button.name
    assert home.widget("skyline").feet(look) > 0
