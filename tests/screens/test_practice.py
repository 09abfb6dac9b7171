"""Practice by keys and mouse, from the first bar to the reveal."""

from dataclasses import replace

import pytest

from game.learning.staircase import TWO_BARS
from game.records import RecordsError
from game.screens.hearing.listening_panel import ListeningPanel
from game.screens.home.home import Home
from game.screens.notices.dialog import Dialog
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from game.sessions.hearing.listening import Listening
from game.sessions.practice.round import State
from game.sessions.settings.bindings import ACTS, TILE_KEYS
from game.widgets.notation import FigureTile
from shared.levels import shipped_levels
from tests.screens.window import NOW, Window


@pytest.fixture
def practice(window: Window) -> Window:
    """A window with a fresh bar to be answered, over the home page."""
    window.practise(Home(window.context))
    return window


def test_first_bar_waits_for_a_key(window: Window) -> None:
    """A round's first bar sounds when it is asked for, by its key or by Enter; the page says so."""
    for key in ("space", "return"):
        window.show(open_practice(window.context))
        window.frames(5)
        assert len(window.device.played) == 0
        assert "Space: hear the bar" in window.texts()
        window.press(key)
        assert len(window.device.played) == 1
        assert window.top.round.sheet.hearings == 1
        assert "Beat 1: which figure?" in window.texts()
        window.device.played.clear()


def test_next_bars_are_heard_at_once(practice: Window) -> None:
    """Later bars sound as soon as they are on the page, and that is the first hearing."""
    practice.say_right()
    practice.press("return", "return")
    practice.frames(2)
    assert practice.top.round.number == 2
    assert len(practice.device.played) == 2
    assert practice.top.round.sheet.hearings == 1


def test_keys_pick_figures_beat_by_beat(practice: Window) -> None:
    """Each tile's key says a figure; the picks go along the bar."""
    figures = practice.context.level.figures
    practice.press("3", "1")
    assert list(practice.top.round.sheet.picks.values())[:2] == [figures[2], figures[0]]


def test_every_level_has_a_key_for_each_figure() -> None:
    """There are keys enough for the largest level, all different, none of them a command."""
    assert len(set(TILE_KEYS)) == 24
    assert not set(TILE_KEYS) & {key for _, key in ACTS.values()}
    assert max(len(level.figures) for level in shipped_levels()) <= len(TILE_KEYS)


def test_arrows_choose_the_beat(practice: Window) -> None:
    """Left and right go from beat to beat."""
    practice.press("right", "right")
    assert practice.top.round.sheet.place == 2
    practice.press("left")
    assert practice.top.round.sheet.place == 1


def test_tiles_are_picked_by_mouse(practice: Window) -> None:
    """A click on a tile says its figure, a click on a beat chooses it."""
    figure = practice.context.level.figures[3]
    practice.click("beat 2")
    practice.click(f"tile {figure.count}")
    assert practice.top.round.sheet.picks[2] == figure


def test_tiles_are_picked_with_the_focus(practice: Window) -> None:
    """From a beat, Down leads to the tiles, and Enter says the figure under the focus."""
    practice.press("down", "down")
    assert isinstance(practice.top.focused(), FigureTile)
    count = practice.top.focus.removeprefix("tile ")
    practice.press("return")
    assert practice.top.round.sheet.picks[0].count == count


def test_backspace_takes_back(practice: Window) -> None:
    """Backspace empties the last filled beat."""
    practice.press("1", "backspace")
    assert practice.top.round.sheet.picks[0] is None
    assert practice.top.round.sheet.place == 0


def test_space_hears_again_and_is_counted(practice: Window) -> None:
    """Every hearing is counted: the whole bar, the slow one, and one beat."""
    for key in ("space", "s", "b"):
        practice.press(key)
        practice.end_sound()
    assert practice.top.round.sheet.hearings == 4
    lengths = [len(samples) for samples in practice.device.played]
    assert lengths[1] == lengths[0]
    assert lengths[2] > lengths[0]


def test_the_key_that_plays_stops_what_sounds(practice: Window) -> None:
    """While the bar sounds the same key stops it; broken off before a figure came, it is no hearing."""
    sheet = practice.top.round.sheet
    practice.press("space")
    assert practice.widget("hear").text == "Stop"
    assert sheet.hearings == 2
    practice.press("space")
    assert practice.device.where is None
    assert (sheet.hearings, practice.widget("hear").text) == (1, "Hear it again")
    practice.press("s", "s")
    assert (sheet.hearings, sheet.slower_bars) == (2, 1)
    practice.device.where = practice.context.sound.passage.seconds - 0.1
    practice.press("space")
    assert (sheet.hearings, sheet.slower_bars) == (2, 1)


def test_an_unheard_bar_is_not_marked(window: Window) -> None:
    """Whoever hands in before a figure has sounded is told to hear it first, and nothing is kept."""
    window.show(open_practice(window.context))
    window.press("1", "1", "1", "1")
    # Not "hand in", which would be refused.
    assert "Space: hear the bar" in window.texts()
    window.press("return")
    assert "Hear it first: Space." in window.texts()
    window.press("space", "return")
    assert "It has not sounded yet." in window.texts()
    window.device.where = window.context.sound.passage.seconds - 0.1
    window.frames(2)
    assert "It has not sounded yet." not in window.texts()
    assert isinstance(window.top, Practice)
    assert window.context.records.answers(window.context.player) == []
    window.end_sound()
    window.press("return")
    assert isinstance(window.top, Reveal)


@pytest.fixture
def remembered(window: Window) -> Window:
    """A window with two bars from memory to be heard, over the home page."""
    coach = window.context.coach()
    coach.staircase = replace(coach.staircase, memory=TWO_BARS)
    coach.holds = lambda _now: True
    window.show(open_practice(window.context, coach), Home(window.context))
    return window


def test_two_bars_from_memory(remembered: Window) -> None:
    """Both sound once, at a key; the first is answered, then the second, and only then both are revealed in turn."""
    page = remembered.top
    assert "Space: hear both bars, once" in remembered.texts()
    assert page.round.question.reason.words in remembered.texts()
    remembered.press("space")
    passage = remembered.context.sound.passage
    assert passage.bars - passage.figure_bar == 2
    remembered.device.where = passage.seconds - 0.1
    remembered.frames(3)
    assert page.round.sheet.hearings == 1
    remembered.press("space", "b", "s")
    assert len(remembered.device.played) == 1
    assert "sounds once" in remembered.texts()
    remembered.end_sound()
    remembered.say_right()
    remembered.press("return")
    assert isinstance(remembered.top, Practice)
    assert "The second bar, beat 1: which figure?" in remembered.texts()
    remembered.frames(3)
    assert len(remembered.device.played) == 1
    remembered.say_wrong()
    remembered.press("return")
    assert isinstance(remembered.top, Reveal)
    assert "The second of the two bars." in remembered.texts()
    assert remembered.texts().splitlines().count("right") == 4
    remembered.press("return")
    assert isinstance(remembered.top, Reveal)
    assert "right" not in remembered.texts().splitlines()
    remembered.press("return")
    assert remembered.top.round.number == 3


def test_slower_is_shown_and_comes_round(practice: Window) -> None:
    """S plays at three quarters, at half, and at full tempo again; the foot says what comes next."""
    assert "three-quarter tempo" in practice.texts()
    tempi = []
    for _ in range(3):
        practice.press("s")
        tempi.append(practice.context.sound.passage.tempo / practice.top.round.question.setting.tempo)
    assert tempi == [0.75, 0.5, 1.0]


def test_panel_changes_how_the_bar_is_heard(practice: Window) -> None:
    """L opens the choices; Space plays the bar by them, which is a hearing; Esc closes, and the page tells them."""
    practice.press("l")
    assert isinstance(practice.top, ListeningPanel)
    for name in ("count_in", "click", "loop"):
        practice.top.set_focus(name)
        practice.press("left" if name == "count_in" else "right")
    practice.press("space")
    practice.press("escape")
    assert isinstance(practice.top, Practice)
    assert practice.top.round.sheet.hearings == 2
    assert "No count-in, click, loop" in practice.texts()
    passage = practice.context.sound.passage
    assert {stroke.instrument for stroke in passage.strokes} >= {"click"}
    assert "sticks" not in {stroke.instrument for stroke in passage.strokes}


def test_every_round_of_a_loop_is_a_hearing(practice: Window) -> None:
    """Three times round counts three; then Space stops, and the foot says so."""
    practice.context.listening = Listening(loop=True)
    practice.press("space")
    passage = practice.context.sound.passage
    for bar in range(passage.figure_bar, passage.figure_bar + 3):
        practice.device.where = passage.time_of_beat(bar, 2)
        practice.frames(2)
    assert practice.top.round.sheet.hearings == 1 + 3
    assert practice.widget("hear").text == "Stop"
    practice.press("space")
    assert practice.device.where is None
    assert practice.top.round.sheet.hearings == 1 + 3
    assert practice.widget("hear").text == "Hear it again"


def test_loop_counts_behind_the_panel(practice: Window) -> None:
    """A loop that sounds while the choices are open is counted as well."""
    practice.context.listening = Listening(loop=True)
    practice.press("l", "space")
    assert practice.widget("hear").text == "Stop"
    passage = practice.context.sound.passage
    for bar in (passage.figure_bar, passage.figure_bar + 1):
        practice.device.where = passage.time_of_beat(bar, 2)
        practice.frames(2)
    practice.press("escape")
    assert practice.top.round.sheet.hearings == 1 + 2


def test_choices_do_not_change_the_question(practice: Window) -> None:
    """What is asked and what an answer brings stay as the level says."""
    practice.context.listening = Listening(0.5, count_in=False, click=True, hats_down=True)
    practice.say_right()
    practice.press("return")
    assert practice.top.round.result.points == 40
    kept = practice.context.records.answers(practice.context.player)
    assert {answer.tempo for answer in kept} == {practice.top.round.question.setting.tempo}


def test_own_keys_answer(practice: Window) -> None:
    """A player's own keys pick tiles and hear the bar, and stand on the page."""
    practice.context.change_settings(keys={"tile 2": "x", "hear": "v"})
    practice.top.stale = True
    practice.frames()
    practice.press("x", "v")
    assert practice.top.round.sheet.picks[0] == practice.context.level.figures[1]
    assert practice.top.round.sheet.hearings == 2
    assert practice.widget("hear").key == "v"


def test_empty_beats_need_a_second_enter(practice: Window) -> None:
    """Handing in too early is pointed out once, then taken as it is."""
    practice.press("1", "return")
    assert "Beats 2, 3, 4 are empty" in practice.texts()
    assert isinstance(practice.top, Practice)
    practice.press("return")
    assert isinstance(practice.top, Reveal)


def test_full_bar_is_handed_in_with_enter(practice: Window) -> None:
    """Once every beat is said, Enter hands in: marked, kept, revealed."""
    practice.clock.now = NOW + 30
    practice.say_right()
    practice.press("return")
    assert isinstance(practice.top, Reveal)
    kept = practice.context.records.answers(practice.context.player)
    assert len(kept) == 4
    assert all(answer.said == answer.heard and answer.kind == "practice" for answer in kept)


def test_answer_is_on_disk_before_the_reveal(practice: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the records refuse, nothing is revealed and the reason is told; a later try works."""

    def refuse(*_arguments: object) -> int:
        raise RecordsError("the disk is full; make room")

    practice.say_right()
    with monkeypatch.context() as patch:
        patch.setattr(practice.context.records, "append", refuse)
        practice.press("return")
        assert isinstance(practice.top, Unkept)
        assert "the disk is full" in practice.texts()
        practice.press("escape")
        assert isinstance(practice.top, Practice)
    practice.press("return")
    assert isinstance(practice.top, Reveal)
    assert practice.context.records.count_answers(practice.context.player) == 4


def test_mark_moves_with_the_sound(practice: Window) -> None:
    """The mark goes from left to right through the count-in, and only its ruler is painted again."""
    places = []
    for seconds in (0.1, 0.5, 1.0):
        practice.device.where = seconds
        parts = practice.top.tick(0.0)
        places.append(practice.top.mark[1])
        assert len(parts) == 1
        assert parts[0].h < 60
    assert places == sorted(set(places))
    assert practice.top.mark[0] == "Count-in"


def test_mark_rests_on_beats_with_little_movement(practice: Window) -> None:
    """With movement off the mark steps from beat to beat."""
    practice.context.change_settings(reduced_motion=True)
    beat = 60 / practice.top.setting.tempo
    seen = set()
    for part in range(8):
        practice.device.where = beat * part / 8 + 0.001
        seen.add(practice.top.where()[1])
    assert len(seen) == 1


def test_left_hand_leads_the_sound(practice: Window) -> None:
    """The player's leading hand decides how a bar is put on the kit."""
    practice.context.change_settings(hand="L")
    assert practice.top.setting.lead == "L"


def test_missing_sound_is_said(window: Window) -> None:
    """Where no device sounds, the page says so in the device's own words."""
    window.device.notice = "No sound device was found (none). Everything works, in silence; plug one in to hear it."
    window.practise()
    window.frames(2)
    assert "No sound device was found" in window.texts()
    window.press("1")
    assert "Beat 2: which figure?" in window.texts()


def test_escape_before_any_answer_leaves(practice: Window) -> None:
    """Nothing is lost, so nothing is asked."""
    practice.press("escape")
    assert isinstance(practice.top, Home)


def test_escape_within_a_round_asks(practice: Window) -> None:
    """Leaving a round is asked about first; staying has the focus."""
    practice.say_right()
    practice.press("return", "return", "escape")
    assert isinstance(practice.top, Dialog)
    practice.press("return")
    assert isinstance(practice.top, Practice)
    practice.press("escape", "tab", "return")
    assert isinstance(practice.top, Home)


def test_sound_stops_on_leaving(practice: Window) -> None:
    """Nothing goes on sounding on another page."""
    practice.press("space")
    assert practice.device.where is not None
    practice.press("escape")
    assert practice.device.where is None


def test_round_of_ten_bars_is_kept(practice: Window) -> None:
    """Ten bars answered by keys alone make a kept round with its score."""
    for _ in range(10):
        practice.say_right()
        practice.press("return", "return")
    (kept,) = practice.context.records.rounds(practice.context.player)
    assert (kept.score, kept.right, kept.beats, kept.bars) == (1000, 40, 40, 10)
    assert "Your first round of 40 beats on this level." in practice.texts()
    practice.press("return")
    assert isinstance(practice.top, Practice)
    assert practice.top.round.state is State.ANSWERING


def test_a_clicked_tile_is_said_once(practice: Window) -> None:
    """A click says a figure to beat 1; Enter after it hands in, and says nothing to beat 2."""
    figure = practice.context.level.figures[3]
    practice.click(f"tile {figure.count}")
    practice.press("return")
    sheet = practice.top.round.sheet
    assert (sheet.picks[0], sheet.missing) == (figure, (1, 2, 3))
    assert "empty" in practice.texts()


def test_not_sure_is_an_answer(practice: Window) -> None:
    """One key says so for the chosen beat; it is kept as such, and no figure is."""
    practice.press("n")
    assert practice.top.round.sheet.place == 1
    practice.say(*practice.top.round.question.asked_figures[1:])
    practice.press("return")
    first, *others = practice.context.records.answers(practice.context.player)
    assert (first.unsure, first.said) == (True, None)
    assert not any(answer.unsure for answer in others)


def test_each_answer_keeps_its_time(practice: Window) -> None:
    """The time of each beat and how often it was changed are kept with it."""
    start = practice.top.round.sheet.hearings and practice.clock.now + 60
    figures = practice.top.round.question.asked_figures
    other = next(figure for figure in practice.context.level.figures if figure != figures[0])
    for seconds, figure in zip((0, 2, 3, 3.5), (other, *figures[1:]), strict=True):
        practice.clock.now = start + seconds
        practice.say(figure)
    practice.click("beat 0")
    practice.clock.now = start + 7.5
    practice.say(figures[0])
    practice.press("return")
    kept = practice.context.records.answers(practice.context.player)
    assert [answer.seconds for answer in kept][1:] == [2.0, 1.0, 0.5]
    assert kept[0].seconds > 4
    assert [answer.changes for answer in kept] == [1, 0, 0, 0]


def test_wrong_beats_come_once_more(practice: Window) -> None:
    """The bar sounds again, what was said is out, and the reveal comes after the second handing-in."""
    practice.give_second_tries(True)
    practice.practise(Home(practice.context))
    practice.say_wrong()
    sheet, sounded = practice.top.round.sheet, len(practice.device.played)
    practice.press("return")
    practice.frames(2)
    assert practice.top.round.state is State.AGAIN
    assert len(practice.device.played) == sounded + 1
    assert "Beat 1 again" in practice.texts()
    assert practice.widget(f"tile {sheet.picks[0].count}").out
    practice.say(sheet.picks[0])
    assert practice.top.round.sheet.picks[0] is None
    assert "said first" in practice.texts()
    practice.say_right()
    practice.press("return")
    assert isinstance(practice.top, Reveal)
    assert "second try" in practice.texts()
    assert practice.top.round.score == 500
    kept = practice.context.records.answers(practice.context.player)
    assert sorted(answer.attempt for answer in kept) == [1] * 4 + [2] * 4


def test_second_tries_are_a_setting(practice: Window) -> None:
    """They are given unless the player wants each bar shown at once."""
    assert type(practice.context.settings)().second_try
    practice.say_wrong()
    practice.press("return")
    assert isinstance(practice.top, Reveal)
