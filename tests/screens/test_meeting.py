"""New figures are met before they are asked: the pages on the way, their keys, their light and what is kept."""

from dataclasses import replace
from fractions import Fraction

import pytest

from game.learning.introduction import AT_ONCE, SOUND_OUT, STEP_BY_STEP
from game.screens.home.first_start import EXAMPLE, TEMPO, FirstStart
from game.screens.home.home import Home
from game.screens.practice.beginning import Beginning
from game.screens.practice.meeting import MeetingPage
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from game.screens.settings.settings import SettingsScreen
from shared.levels import find_level
from tests.screens.window import Opened, Window

LEVEL = "stage-4"


@pytest.fixture
def beginner(opened: Opened) -> Window:
    """A window before the first visit of a level, on which nothing was chosen."""
    window = opened(level=LEVEL)
    window.begin(None)
    window.show(open_practice(window.context), Home(window.context))
    return window


@pytest.fixture
def meeting(beginner: Window) -> Window:
    """A window on the first page of a meeting."""
    beginner.press("1")
    return beginner


def sound_at(window: Window, bar: int, beats: float, tempo: float) -> None:
    """Let the sound be so many beats into a bar, both from 0."""
    window.device.where = (bar * window.context.level.meter.beats + beats) * 60 / tempo
    window.frames()


def ask(window: Window) -> None:
    """Hear each new figure and go on, up to the bar that asks."""
    while isinstance(window.top, MeetingPage):
        window.press("return")


def test_first_visit_asks_how_to_begin(beginner: Window) -> None:
    """Nothing sounds and nothing is asked before the player has said whether the level is new."""
    assert isinstance(beginner.top, Beginning)
    assert not beginner.device.played
    beginner.press("return")
    assert isinstance(beginner.top, MeetingPage)
    assert beginner.context.records.settings(beginner.context.player).beginnings == {LEVEL: STEP_BY_STEP}


@pytest.mark.parametrize(("key", "begin"), [("2", SOUND_OUT), ("3", AT_ONCE)])
def test_who_knows_some_meets_nothing_at_first(beginner: Window, key: str, begin: str) -> None:
    """Sounding out and all at once ask among all figures from the first bar; the next visit asks nothing."""
    beginner.press(key)
    assert isinstance(beginner.top, Practice)
    assert beginner.top.sheet.choices == beginner.context.level.figures
    again = open_practice(beginner.context)
    assert isinstance(again, Practice)
    assert again.round.coach.begin == begin
    beginner.context.level = find_level("stage-2")
    assert isinstance(open_practice(beginner.context), Beginning)


def test_who_has_answers_is_not_asked(beginner: Window) -> None:
    """Where the player has answered before, the level goes on without the question, and nothing known is met."""
    beginner.press("3")
    for _ in range(6):
        beginner.clock.now += 10
        beginner.say_right()
        beginner.press("return")
        assert isinstance(beginner.top, Reveal)
        beginner.press("return")
    beginner.begin(None)
    opened = open_practice(beginner.context)
    assert isinstance(opened, Practice)
    assert not opened.round.question.meets


def test_setting_changes_how_a_level_goes_on(beginner: Window) -> None:
    """The settings show the level's own way, step by step where none was chosen, and keep another."""
    beginner.show(SettingsScreen(beginner.context))
    assert beginner.widget("begin").value == STEP_BY_STEP
    beginner.top.set_focus("begin")
    beginner.press("right", "right")
    assert beginner.context.settings.beginnings == {LEVEL: AT_ONCE}


def test_two_are_met_one_after_the_other(meeting: Window) -> None:
    """The first stands alone, the second beside it; the pages are numbered; only then a bar asks."""
    assert "1 of 2" in meeting.texts()
    first = meeting.top.meeting.figure
    assert [figure for figure, _ in meeting.widget("met").figures] == [first]
    assert "both" not in meeting.names()
    meeting.press("return", "return")
    assert "2 of 2" in meeting.texts()
    new, known = (figure for figure, _ in meeting.widget("met").figures)
    assert known == first
    assert meeting.top.meeting.sentence(meeting.context.level) in meeting.texts()
    meeting.press("return")
    assert isinstance(meeting.top, Practice)
    assert set(meeting.top.sheet.choices) == {first, new}


def told_of_enter(window: Window) -> str:
    """What the foot of the page says that Enter does."""
    return next(key.says for key in (*window.top.keys(),) if key.name == "return")


def test_first_sound_waits_for_a_key(meeting: Window) -> None:
    """A round's first sound comes when it is asked for; the second figure, once the first was heard, by itself."""
    meeting.frames(5)
    assert not meeting.device.played
    # What the page says of Enter is what it does.
    assert told_of_enter(meeting) == "hear it"
    meeting.press("return")
    assert len(meeting.device.played) == 1
    assert told_of_enter(meeting) == "the next one"
    meeting.press("return")
    meeting.frames(3)
    assert len(meeting.device.played) == 2


def test_sticking_stands_under_the_notes(meeting: Window) -> None:
    """Of both figures, the new one and the known, each stroke has its hand below it on the picture."""
    meeting.press("return", "return")
    met = meeting.widget("met")
    for (figure, _), hands, (layout, *_) in zip(met.figures, met.hands, met.places(), strict=True):
        assert len(hands) == len(figure.onsets)
        assert [word.text for word in layout.words if word.text in "RL"] == [*hands]


def test_count_is_lit_in_time(meeting: Window) -> None:
    """The light stands on the stroke that sounds, in the row of the figure that sounds, and nowhere before."""
    ask_first = meeting.top.meeting.figure
    meeting.press("return", "return")
    page, tempo = meeting.top, meeting.context.level.tempo.low
    figure = page.meeting.figure
    assert page.meeting.rival == ask_first
    sound_at(meeting, 0, 1.5, tempo)
    assert meeting.widget("met").lit() is None  # the count-in
    for beats, onset in ((0.1, figure.onsets[0]), (1.6, max(o for o in figure.onsets if o <= Fraction(6, 10)))):
        sound_at(meeting, 1, beats, tempo)
        assert meeting.widget("met").lit() == (0, onset)
    meeting.press("c")
    sound_at(meeting, 3, 2.01, tempo)
    assert meeting.widget("met").lit() == (1, Fraction(0))
    meeting.context.settings = replace(meeting.context.settings, reduced_motion=True)
    meeting.frames()
    assert meeting.widget("met").lit() is None


def test_slower_is_told_and_ends_with_the_page(meeting: Window) -> None:
    """Slower sounds at once, is told at the head, and the next figure comes at the full tempo again."""
    meeting.press("s")
    assert "Three-quarter tempo" in meeting.texts()
    assert len(meeting.device.played) == 1
    meeting.press("return")
    assert "tempo" not in meeting.texts()


def test_what_is_not_asked_is_given(meeting: Window) -> None:
    """One beat is asked between two; the others stand as notation, and the line says what is asked."""
    ask(meeting)
    question = meeting.top.round.question
    (place,) = question.asked
    assert f"Beat {place + 1}: which of these two?" in meeting.texts()
    assert [name for name in meeting.names() if name.startswith("beat ")] == [f"beat {place}"]
    tiles = [widget for widget in meeting.top.widgets if widget.name.startswith("tile ")]
    keys = [meeting.context.bindings.tiles[meeting.context.level.figures.index(one)] for one in question.choices]
    assert [tile.key for tile in tiles] == keys
    meeting.say_right()
    meeting.press("return")
    assert isinstance(meeting.top, Reveal)
    (row,) = meeting.context.records.answers(meeting.context.player)
    assert set(row.met) == {figure.count for figure in question.meets}
    assert set(row.choices) == {figure.count for figure in question.choices}


def test_heard_before_is_asked_among_all_that_is_known(beginner: Window) -> None:
    """Who has heard a figure before is asked at once among every figure that is known."""
    beginner.press("1")
    for _ in range(30):
        beginner.clock.now += 10
        beginner.frames(2)
        if isinstance(beginner.top, MeetingPage):
            if len(beginner.top.round.results) and len(beginner.top.round.coach.steps.open) > 1:
                break
            beginner.press("k")
        elif isinstance(beginner.top, Practice):
            beginner.say_right()
            beginner.press("return")
        else:
            beginner.press("return")
    page = beginner.top
    assert isinstance(page, MeetingPage)
    known = {beginner.context.level.figures[place] for place in page.round.coach.steps.open}
    beginner.press("k")
    assert set(beginner.top.sheet.choices) == known | {page.meeting.figure}


def test_leaving_a_meeting(meeting: Window) -> None:
    """Nothing was answered: escape leads home at once, in silence."""
    meeting.press("space", "escape")
    assert isinstance(meeting.top, Home)
    assert meeting.device.where is None


def test_slow_ends_with_the_round(window: Window) -> None:
    """What was slowed down in one round is at the full tempo in the next; other choices stay."""
    window.show(open_practice(window.context), Home(window.context))
    window.press("s")
    assert "Three-quarter tempo" in window.texts()
    window.context.listening = replace(window.context.listening, click=True)
    window.show(open_practice(window.context), Home(window.context))
    assert window.context.listening.pace == 1.0
    assert window.context.listening.click


def test_first_page_sounds_a_figure(window: Window) -> None:
    """The first start shows a figure, sounds it when asked to, and lights its count."""
    window.show(FirstStart(window.context))
    window.frames(3)
    assert not window.device.played
    window.press("h")
    sound_at(window, 1, 0.6, TEMPO)
    assert window.widget("figure").lit() == (0, Fraction(1, 2))
    assert EXAMPLE.onsets == (0, Fraction(1, 2), Fraction(3, 4))
    assert window.top.focus == "on"


def test_a_silent_figure_is_not_said_to_sound(beginner: Window) -> None:
    """A rest is met as what it is: only the click is heard."""
    beginner.context.level = find_level("stage-1")
    beginner.show(open_practice(beginner.context))
    beginner.press("1")
    for _ in range(60):
        if isinstance(beginner.top, MeetingPage) and beginner.top.meeting.figure.is_rest:
            break
        if isinstance(beginner.top, Practice):
            beginner.clock.now += 10
            beginner.say_right()
        beginner.press("return")
    assert beginner.widget("what").text.startswith("It is silent: only the click sounds.")
