"""The reveal: what was said and what it was, to see and to hear."""

import pytest

from game.screens.home.home import Home
from game.screens.practice.question import Practice
from game.screens.practice.reveal import Reveal
from shared.difference import difference
from shared.orchestration import arrange
from tests.screens.window import Window


@pytest.fixture
def wrong(window: Window) -> Window:
    """A reveal with every beat wrong."""
    window.practise(Home(window.context))
    window.say_wrong()
    window.press("return")
    window.frames(2)
    return window


@pytest.fixture
def right(window: Window) -> Window:
    """A reveal with every beat right."""
    window.practise(Home(window.context))
    window.say_right()
    window.press("return")
    return window


def test_wrong_beats_are_told_in_words(wrong: Window) -> None:
    """Not by colour alone: words and a sign for every beat, and what was said to it."""
    words = wrong.texts().splitlines()
    for beat, said in wrong.top.said.items():
        assert f"you said {said.count_on(beat + 1)}" in words
    assert "right" not in words


def test_right_beats_are_told_in_words(right: Window) -> None:
    """Four beats right, and nothing to compare."""
    assert right.texts().splitlines().count("right") == 4
    assert "apart" not in right.names()
    assert "answered" not in right.names()


def test_skipped_beat_is_told(window: Window) -> None:
    """A beat that was left empty was not answered."""
    window.practise()
    window.press("return", "return")
    assert isinstance(window.top, Reveal)
    assert window.texts().splitlines().count("not answered") == 4


def test_the_two_figures_stand_on_one_time_scale(wrong: Window) -> None:
    """The same place of the beat lies in the same column of both, and the sentence of the pair stands over them."""
    apart = wrong.widget("apart")
    (played, left, _, space), (said, other_left, _, other_space) = apart.places()
    for at in (0, 0.25, 0.5, 0.75):
        assert left + played.column(0, at) * space == other_left + said.column(0, at) * other_space
    heard, named = wrong.top.bar.figures[wrong.top.beat], wrong.top.said[wrong.top.beat]
    assert wrong.widget("sentence").text == difference(heard, named).sentence


def test_a_mistake_sounds_by_itself(wrong: Window) -> None:
    """What it was, what was said, what it was; Enter goes on at once."""
    passage = wrong.context.sound.passage
    heard, named = wrong.top.bar.figures[wrong.top.beat], wrong.top.said[wrong.top.beat]
    sounded = [tuple(s.at for s in passage.strokes if s.figure and s.bar == bar) for bar in range(passage.bars)]
    assert sounded == [heard.onsets, named.onsets, heard.onsets]
    wrong.press("return")
    assert isinstance(wrong.top, Practice)


def test_a_mistake_is_silent_where_that_was_chosen(window: Window) -> None:
    """The setting turns it off; B plays it all the same."""
    window.context.change_settings(sound_mistakes=False)
    window.practise(Home(window.context))
    window.say_wrong()
    before = len(window.device.played)
    window.press("return")
    window.frames(3)
    assert len(window.device.played) == before
    window.press("b")
    assert len(window.device.played) == before + 1


def test_strokes_that_differ_are_lit_as_they_come(wrong: Window) -> None:
    """The lit stroke is the one that sounds, in the row of the figure that sounds, and none is in silence."""
    passage = wrong.context.sound.passage
    heard, named = wrong.top.bar.figures[wrong.top.beat], wrong.top.said[wrong.top.beat]
    for bar, (row, figure) in enumerate(((0, heard), (1, named), (0, heard))):
        for onset in figure.onsets:
            wrong.device.where = passage.time_of_beat(bar, 3) + (float(onset) + 0.01) * passage.beat_seconds
            wrong.frames()
            assert wrong.widget("apart").lit() == (row, onset)
    wrong.device.where = None
    wrong.frames()
    assert wrong.widget("apart").lit() is None


def test_another_beat_sounds_when_it_is_chosen(wrong: Window) -> None:
    """Left and right bring the next wrong beat to the ear too."""
    before = len(wrong.device.played)
    wrong.press("right")
    assert len(wrong.device.played) == before + 1
    assert wrong.widget("apart").figures[0][0] == wrong.top.bar.figures[wrong.top.beat]


def test_a_right_bar_is_seen_and_heard_round_the_kit(right: Window) -> None:
    """Its notes stand on the drums, and C plays it there."""
    assert "kit" in right.names()
    right.press("c")
    passage = right.context.sound.passage
    assert {s.instrument for s in passage.strokes if s.figure} > {"snare"}


def test_points_are_told_with_their_why(window: Window) -> None:
    """What the bar earned and for what: heard twice, three of four right."""
    window.practise(Home(window.context))
    window.press("space")
    window.end_sound()
    window.say_right()
    window.press("return")
    assert "36 of 40 points" in window.texts()
    assert "4 of 4 right, the bar heard twice." in window.texts()


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
    assert wrong.top.round.upcoming.reason.words in wrong.texts()


def test_bar_is_heard_as_played_and_as_answered(wrong: Window) -> None:
    """Space plays the bar, and stops it; A plays the bar as answered, which is another one."""
    played = wrong.device.played
    wrong.press("space")
    bars = len(played)
    wrong.press("space")
    assert wrong.device.where is None
    wrong.press("space", "a")
    assert len(played) == bars + 2
    assert (played[-3] == played[-2]).all()
    assert len(played[-1]) != len(played[-2]) or (played[-1] != played[-2]).any()


def test_both_bars_are_heard_in_turn(wrong: Window) -> None:
    """C plays the bar as played and as answered in one sound; the ruler says which one sounds."""
    before = len(wrong.device.played)
    wrong.press("c")
    assert len(wrong.device.played) == before + 1
    passage = wrong.context.sound.passage
    words = []
    for bar in range(passage.figure_bar, passage.bars):
        wrong.device.where = passage.time_of_beat(bar, 1) + 0.01
        words.append(wrong.top.where()[0])
    assert words == ["As played", "Count-in", "As you said"]


def test_wrong_beat_is_heard_both_ways(wrong: Window) -> None:
    """B plays a wrong beat as it was and as it was said, in one sound."""
    wrong.press("b")
    passage = wrong.context.sound.passage
    first, second = ([s.at for s in passage.strokes if s.figure and s.bar == bar] for bar in (0, 1))
    beat, said = wrong.top.beat, wrong.top.said
    assert first == list(wrong.top.round.question.bar.figures[beat].onsets)
    assert second == list(said[beat].onsets)


def test_right_beat_is_heard_once(right: Window) -> None:
    """There is nothing to hold a right beat against."""
    right.press("b")
    assert right.context.sound.passage.bars == 1
    assert "apart" not in right.names()


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
    assert f"Three-quarter tempo: {asked * 0.75:.0f} of {asked:.0f}" in wrong.texts()
    assert wrong.context.sound.passage.tempo == asked * 0.75


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
    assert wrong.context.sound.passage == arrange(upcoming.bar, wrong.top.setting)
