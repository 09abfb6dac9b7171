"""The reveal: what was said and what it was, to see and to hear."""

import pytest

from game.screens.home.home import Home
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from shared.orchestration import arrange
from tests.screens.window import Window


@pytest.fixture
def wrong(window: Window) -> Window:
    """A reveal with every beat wrong."""
    window.show(open_practice(window.context), Home(window.context))
    window.say_wrong()
    window.press("return")
    return window


@pytest.fixture
def right(window: Window) -> Window:
    """A reveal with every beat right."""
    window.show(open_practice(window.context), Home(window.context))
    window.say_right()
    window.press("return")
    return window


def test_wrong_beats_are_told_in_words(wrong: Window) -> None:
    """Not by colour alone: words and a sign for every beat."""
    words = wrong.texts().splitlines()
    assert words.count("you said") == 4
    assert "right" not in words


def test_right_beats_are_told_in_words(right: Window) -> None:
    """Four beats right, and nothing to compare."""
    assert right.texts().splitlines().count("right") == 4
    assert "aside" not in right.names()
    assert "answered" not in right.names()


def test_skipped_beat_is_told(window: Window) -> None:
    """A beat that was left empty was not answered."""
    window.show(open_practice(window.context))
    window.press("return", "return")
    assert isinstance(window.top, Reveal)
    assert window.texts().splitlines().count("not answered") == 4


def test_answer_stands_under_the_bar(wrong: Window) -> None:
    """The notes of an answered beat begin under the first note of the played one, to a pixel."""
    aside = wrong.widget("aside")
    staff = wrong.widget("staff")
    for beat in range(4):
        played = staff.left + staff.layout.column(beat) * staff.space
        answered = aside.left + aside.layout.column(beat) * aside.space
        assert answered == pytest.approx(played, abs=1.5)


def test_count_stands_under_its_notes(wrong: Window) -> None:
    """Every word of the count is centred on the column of its place."""
    layout = wrong.widget("staff").layout
    places = [
        layout.column(beat, at)
        for beat, figure in enumerate(wrong.top.round.question.bar.figures)
        for at, _ in figure.counted_places()
    ]
    middles = {round(word.x, 6) for word in layout.words}
    assert middles >= {round(place, 6) for place in places}


def test_reason_for_the_next_bar_is_shown(wrong: Window) -> None:
    """The coach says why the next bar is chosen."""
    reason = wrong.top.round.upcoming.reason
    assert reason in wrong.texts()


def test_bar_is_heard_as_played_and_as_answered(wrong: Window) -> None:
    """Space plays the bar, A the bar as answered, which is another one."""
    played = wrong.device.played
    wrong.press("space", "space", "a")
    assert (played[-3] == played[-2]).all()
    assert len(played[-1]) != len(played[-2]) or (played[-1] != played[-2]).any()


def test_both_bars_are_heard_in_turn(wrong: Window) -> None:
    """C plays the bar as played and as answered in one sound; the ruler says which one sounds."""
    before = len(wrong.device.played)
    wrong.press("c")
    assert len(wrong.device.played) == before + 1
    passage = wrong.context.sound._kept[0]
    words = []
    for bar in range(passage.figure_bar, passage.bars):
        wrong.device.where = passage.time_of_beat(bar, 1) + 0.01
        words.append(wrong.top.where()[0])
    assert words == ["As played", "Count-in", "As you said"]


def test_wrong_beat_is_heard_both_ways(wrong: Window) -> None:
    """B plays a wrong beat as it was and as it was said, in one sound."""
    wrong.press("b")
    passage = wrong.context.sound._kept[0]
    first, second = ([s.at for s in passage.strokes if s.figure and s.bar == bar] for bar in (0, 1))
    beat, said = wrong.top._beat, wrong.top._said
    assert first == list(wrong.top.round.question.bar.figures[beat].onsets)
    assert second == list(said[beat].onsets)


def test_right_beat_is_heard_once(right: Window) -> None:
    """There is nothing to hold a right beat against."""
    right.press("b")
    assert right.context.sound._kept[0].bars == 1
    assert "both" not in right.names()


def test_hearings_after_the_answer_cost_nothing(wrong: Window) -> None:
    """The score counts hearings up to the answer only."""
    before = wrong.top.round.heard
    wrong.press("space", "a", "c", "b", "s")
    assert wrong.top.round.heard == before


def test_listening_stays_for_the_next_bar(wrong: Window) -> None:
    """A slower tempo that was chosen in the reveal holds for the next bar, which says so."""
    wrong.press("s", "return")
    wrong.frames(2)
    assert isinstance(wrong.top, Practice)
    asked = wrong.top.round.question.setting.tempo
    assert f"= {asked * 0.75:.0f} of {asked:.0f}" in wrong.texts()
    assert wrong.context.sound._kept[0].tempo == asked * 0.75


def test_arrows_choose_the_beat(wrong: Window) -> None:
    """Left and right look at another beat."""
    wrong.press("right")
    assert "Beat 2: " in wrong.texts()
    wrong.press("left", "left")
    assert "Beat 4: " in wrong.texts()


def test_note_names_follow_the_setting(wrong: Window) -> None:
    """UK or US names, as chosen."""
    names = ("crotchet", "quaver")
    assert any(name in wrong.texts() for name in names)
    wrong.context.change_settings(terms="us")
    wrong.frames()
    wrong.top.stale = True
    wrong.frames()
    assert not any(name in wrong.texts() for name in names)


def test_memory_words_can_be_hidden(wrong: Window) -> None:
    """Words are shown only when wanted."""
    assert "To remember" in wrong.texts()
    wrong.context.change_settings(show_words=False)
    wrong.top.stale = True
    wrong.frames()
    assert "To remember" not in wrong.texts()


def test_own_word_is_written_and_kept(wrong: Window) -> None:
    """M opens a field; the word is this player's from then on, and an empty one brings back the level's."""
    count = wrong.top.round.question.bar.figures[0].count
    wrong.press("m", *["backspace"] * 20)
    wrong.write("pebble")
    wrong.press("return")
    assert "To remember: pebble" in wrong.texts()
    assert wrong.context.records.settings(wrong.context.player).words == {count: "pebble"}
    wrong.press("m", *["backspace"] * 20)
    wrong.press("return")
    assert "pebble" not in wrong.texts()
    assert isinstance(wrong.top, Reveal)


def test_escape_leaves_the_word(wrong: Window) -> None:
    """Esc within the field changes nothing and stays on the page."""
    wrong.press("m")
    wrong.write("x")
    wrong.press("escape")
    assert isinstance(wrong.top, Reveal)
    assert wrong.context.settings.words == {}


def test_enter_goes_on_to_the_promised_bar(wrong: Window) -> None:
    """The next bar is the one the reason was about, and it sounds."""
    upcoming = wrong.top.round.upcoming
    wrong.press("return")
    wrong.frames(2)
    assert isinstance(wrong.top, Practice)
    assert wrong.top.round.question is upcoming
    assert wrong.context.sound._kept[0] == arrange(upcoming.bar, wrong.top.setting)
