"""Call and answer in the window: strokes come as keys through the loop, picks through the tiles."""

from collections.abc import Callable, Sequence
from fractions import Fraction

import numpy as np
import pytest

from game.records import RecordsError, Wanted
from game.screens.fills.files import ChartFiles
from game.screens.notices.unkept import Unkept
from game.screens.playing.call_end import CallEnd
from game.screens.playing.call_start import CallStart, open_calls
from game.screens.playing.calls_picked import AHEAD, LONGEST, CallsPicked
from game.screens.playing.calls_played import CallsPlayed
from game.screens.playing.start import open_playing
from game.screens.practice.beginning import Beginning
from game.sessions.playing.calls import CALL, GROOVE, calling_ways, drawn_calls
from game.sessions.playing.replies import ReplyRule
from game.sessions.settings.bindings import TILE_KEYS
from shared.fills import Fill
from shared.sticking import natural
from tests.screens.window import Opened, Window
from tests.stand_ins import Room, drummed, with_microphone

pytestmark = pytest.mark.usefixtures("one_coach_a_log")

JITTER = 0.010
"""The standard deviation of strokes, in seconds."""


def opened(window: Window, *keys: str) -> CallStart:
    """The page before the first call, on a player's third level with some weeks of practice."""
    window.show(open_calls(window.context))
    window.press(*keys)
    return window.top


def test_huge_type_leaves_the_figures_their_room(lived: Opened) -> None:
    """Before the first call the figures are read in huge type too, where they had become a line of specks."""
    pupil = lived()
    pupil.context.change_settings(type_size=200, theme="projector")
    opened(pupil)
    for size in ((1024, 640), (1536, 864), (1920, 1080)):
        pupil.lay_out(size)
        assert pupil.widget("figures").rect.h >= pupil.app.look.u(40)


def begun(window: Window, rule: str = "1", by_playing: bool = True) -> CallsPlayed | CallsPicked:
    opened(window, rule)
    window.change("by", by_playing)
    window.press("space")
    assert isinstance(window.top, CallsPlayed if by_playing else CallsPicked)
    return window.top


def strike(window: Window, answer: Fill, rng: np.random.Generator, late: float = 0.02) -> None:
    """Play one bar as the answer that is due, with jitter, and let its groove begin."""
    page, (bar,) = window.top, answer.bars
    run, beat = page.run, page.run.hearing.passage.beat_seconds
    onsets = [place + float(at) for place, at in bar.onsets()]
    hands = [hand for hands in natural(bar, "R") for hand in hands]
    times = np.sort(run.begins + np.array(onsets) * beat + late + rng.normal(0, JITTER, len(onsets)))
    for time, hand in zip(times, hands, strict=True):
        window.device.where = float(time)
        window.press("j" if hand == "R" else "f")
    window.device.where = run.ends
    window.frames(2)


def answered(window: Window, bars: Sequence[Fill]) -> None:
    rng = np.random.default_rng(3)
    for bar in bars:
        strike(window, bar, rng)


def taken(window: Window) -> int:
    """How many takes are kept."""
    return len(window.context.records.takes(window.context.player))


def to_end(window: Window) -> CallEnd:
    window.end_sound()
    assert isinstance(window.top, CallEnd)
    return window.top


def test_playing_leads_to_it(lived: Opened) -> None:
    """Its key among the ways of playing, and back again."""
    window = lived()
    window.show(open_playing(window.context))
    window.press("4")
    assert isinstance(window.top, CallStart)
    window.press("escape")
    assert "Play it back" in window.texts()


def test_calls_that_are_played_back_are_read_right(lived: Opened) -> None:
    """With 10 ms of jitter all four are the same; the sound is one, and takes and answers of playing are kept."""
    window = lived()
    page = begun(window)
    calls = page.plan.calls
    sounds, takes = len(window.device.played), taken(window)
    answered(window, calls)
    assert [reply.sentence() for reply in page.replies] == ["The same."] * 4
    assert len(window.device.played) == sounds
    assert not page.taking
    window.frames()
    assert isinstance(window.top, CallsPlayed)
    end = to_end(window)
    assert "4 of 4 answers kept the rule: the same as the call." in window.texts()
    assert [fill.figures for fill in end.chart.fills[2::3]] == [call.figures for call in calls]
    assert [widget.tone for widget in end.widgets if widget.name.startswith("bar ")] == ["", "", "right"] * 4
    context = window.context
    kept = context.records.answers(context.player, Wanted(ability="playing"))[-16:]
    assert [row.said == row.heard for row in kept] == [True] * 16
    assert [row.bar for row in kept[::4]] == [call.count for call in calls]
    assert taken(window) == takes + 4


def test_an_answer_is_shown_while_the_groove_goes_on(lived: Opened) -> None:
    """Its sentence and its notation stand on the page in the groove, and nothing but one word in call and answer."""
    window = lived()
    page = begun(window, "3")
    call = page.plan.calls[0]
    other = next(figure for figure in page.plan.allowed if figure != call.figures[1])
    strike(window, call.with_figure(1, other), np.random.default_rng(1))
    assert f"Beat 2 was changed: {other.count_on(2)} for {call.figures[1].count_on(2)}." in window.texts()
    assert {"staff 0", "staff 1"} <= set(window.names())
    assert window.top.course.part_at(window.device.where).word == GROOVE
    window.device.where = page.run.begins - 0.5
    window.frames(2)
    assert not {"staff 0", "reply"} & set(window.names())
    assert page.sounding() == CALL


def test_free_answers_are_kept_as_strokes_alone(lived: Opened) -> None:
    """Another fill is said as it is counted, and is no answer of the log: nothing in it is right or wrong."""
    window = lived()
    context = window.context
    before, takes = len(context.records.answers(context.player)), taken(window)
    page = begun(window, "2")
    strike(window, page.plan.calls[1], np.random.default_rng(1))
    assert f"Another: {page.plan.calls[1].count}." in window.texts()
    assert len(context.records.answers(context.player)) == before
    assert taken(window) == takes + 1
    assert context.records.takes(context.player, last=1)[0].question is None


def test_escape_keeps_what_was_answered(lived: Opened) -> None:
    """In mid-way it leads to the chart of those answers; before the first it leads back."""
    window = lived()
    page = begun(window)
    window.press("escape")
    assert isinstance(window.top, CallStart)
    assert not page.taking
    page = begun(window)
    answered(window, page.plan.calls[:1])
    window.press("escape")
    assert isinstance(window.top, CallEnd)
    assert "1 of 1 answer kept the rule: the same as the call." in window.texts()
    assert "1 of 4 calls" in window.texts()
    assert window.device.where is None


def test_nothing_came_in(lived: Opened) -> None:
    """It is said, the course goes on, and nothing of it is kept."""
    window = lived()
    page, takes = begun(window), taken(window)
    for _ in range(4):
        window.device.where = page.run.ends
        window.frames(2)
        assert "Nothing came in. Strike the two keys" in window.texts()
    to_end(window)
    assert "To four calls nothing came in." in window.texts()
    assert taken(window) == takes


def test_the_end_is_heard_printed_and_written(lived: Opened) -> None:
    """The piece with a mark that follows, a pair by its bar with what it was, a page, files, and other calls."""
    window = lived()
    page = begun(window)
    answered(window, page.plan.calls[:2])
    window.press("escape", "space")
    end = window.top
    window.device.where = 60 / end.setting.tempo * 4 * 2.1
    window.frames(2)
    assert [widget.name for widget in end.widgets if getattr(widget, "sounds", False)] == ["bar 2"]
    window.click("bar 5")
    assert "Answer 2 of 2: The same." in window.texts()
    window.device.where = 60 / end.setting.tempo * 4 * 1.1
    window.frames(2)
    assert [widget.name for widget in end.widgets if getattr(widget, "sounds", False)] == ["bar 4"]
    window.press("s")
    assert end.setting.tempo == page.plan.setting.tempo * 0.75
    window.press("p")
    assert window.widget("news").colour == "ink"
    (report,) = (window.context.data_folder / "reports").iterdir()
    assert report.read_bytes()[:5] == b"%PDF-"
    window.press("f", "j", "w")
    assert isinstance(window.top, ChartFiles)
    window.press("escape", "return")
    assert isinstance(window.top, CallsPlayed)
    assert window.top.replies == []


def call_comes(window: Window) -> None:
    """Let half the call sound."""
    course = window.top.course
    window.device.where = course.call_over - 0.5 * course.bar_seconds
    window.frames(2)


def pick(window: Window, bar: Fill) -> None:
    """Let the call come, and pick a bar's figures."""
    course = window.top.course
    call_comes(window)
    for figure in bar.figures:
        window.press(TILE_KEYS[window.context.level.figures.index(figure)])
    window.device.where = course.call_over + 0.1
    window.frames(2)


def test_picked_answers_need_no_hands(lived: Opened) -> None:
    """The call comes on a bar line after each answer, to the end; answers of hearing are kept."""
    window = lived()
    context = window.context
    page = begun(window, by_playing=False)
    calls = page.plan.calls
    assert not {name for name in window.names() if name.startswith("tile")}
    window.press("return", "space", "1")
    assert page.sheet.missing == (0, 1, 2, 3)
    for number, call in enumerate(calls):
        pick(window, call)
        assert page.replies == page.replies[:number]
        window.press("return", "return")
        assert "The same." in window.texts()
        where = window.device.where
        assert where is not None
        if number < 3:
            assert page.course.calls_after(where)
            line = page.course.call_over - page.course.bar_seconds
            assert 2.0 <= line - where < 2.0 + page.course.bar_seconds
    to_end(window)
    assert "4 of 4 answers kept the rule: the same as the call." in window.texts()
    kept = context.records.answers(context.player, Wanted(level=context.level.name))[-16:]
    assert [(row.ability, row.said == row.heard) for row in kept] == [("hearing", True)] * 16
    assert set(kept[0].choices) == {figure.count for figure in page.plan.allowed}


def test_picking_says_its_rule(lived: Opened) -> None:
    """Whoever is to answer with something else than the call reads so before it and with each beat."""
    window = lived()
    begun(window, by_playing=False, rule="3")
    assert "pick it with one beat changed" in window.texts()
    call_comes(window)
    assert "One beat changed, beat 1: which?" in window.texts()


def test_the_groove_goes_round_until_it_is_handed_in(lived: Opened) -> None:
    """Bars are added while nobody does anything, though not for ever; the call can be heard again at any time."""
    window = lived()
    page = begun(window, by_playing=False)
    pick(window, page.plan.calls[0])
    added = 0
    for _ in range(200):
        course = page.course
        window.device.where = min(window.device.where + course.bar_seconds, course.begins(len(course.parts)) - 0.1)
        window.frames()
        added += page.course is not course
    assert added == LONGEST // AHEAD
    window.end_sound()
    assert "The groove has ended" in window.texts()
    hearings = page.sheet.hearings
    window.press("space")
    assert (window.device.where, page.sheet.hearings) == (0.0, hearings + 1)
    window.device.where = page.course.call_over + 0.1
    window.frames()
    window.press("space", "space")
    assert page.sheet.hearings == hearings + 2
    window.press("return")
    assert len(page.replies) == 1


def test_with_nothing_met_it_leads_to_practice(window: Window) -> None:
    """Never a figure that the player has not met."""
    opened(window)
    assert "fewer than two" in window.texts()
    window.begin(None)
    window.press("p")
    assert isinstance(window.top, Beginning)


def test_what_is_chosen_is_what_comes(lived: Opened) -> None:
    """Rule, number, tempo and a left-hander's sticking reach the calls; the tempo stays within the level's."""
    window = lived()
    window.context.change_settings(hand="L")
    opened(window, "3", *["="] * 40)
    window.change("number", 8)
    window.press("-", "space")
    plan = window.top.plan
    assert plan.rule is ReplyRule.CHANGED
    assert len(plan.calls) == 8
    assert plan.setting.tempo == window.context.level.tempo.high - 6
    assert plan.setting.lead == "L"


def test_calls_sound_as_all_else_does_to_this_player(lived: Opened) -> None:
    """Swing and feel are the player's; drums are those of the level's ways round the kit; a swung answer is read."""
    window = lived(level="stage-1")
    window.context.change_settings(swing=62, feel="loose")
    page = begun(window)
    plan, level = page.plan, window.context.level
    assert (plan.setting.swing, plan.setting.feel) == (62, 1.0)
    ways = calling_ways(level)
    assert plan.calls == drawn_calls(level.meter, plan.allowed, 4, plan.setting, ways)
    run, call = page.run, plan.calls[0]
    beat = run.hearing.passage.beat_seconds
    for number, (place, at) in enumerate(call.bars[0].onsets()):
        window.device.where = run.begins + (place + float(at) + 0.12 * (at == Fraction(1, 2))) * beat
        window.press("jf"[number % 2])
    window.device.where = run.ends
    window.frames(2)
    assert page.replies[0].sentence() == "The same."


@pytest.mark.parametrize("by_playing", [True, False])
def test_an_answer_that_cannot_be_kept_at_once(lived: Opened, by_playing: bool) -> None:
    """A notice says so; back from it the answer is kept, and the chart of what was answered is there."""
    window = lived()
    records = window.context.records
    page, refused = begun(window, by_playing=by_playing), [RecordsError("locked")]
    append = records.append

    def append_later(*values: object) -> None:
        if refused:
            raise refused.pop()
        append(*values)

    records.append = append_later
    if by_playing:
        answered(window, page.plan.calls[:1])
    else:
        pick(window, page.plan.calls[0])
        window.press("return")
    assert isinstance(window.top, Unkept)
    assert window.device.where is None
    window.press("escape")
    window.frames(2)
    assert isinstance(window.top, CallEnd)
    assert [row.bar for row in records.answers(window.context.player)[-4:]] == [page.plan.calls[0].count] * 4


@pytest.mark.parametrize("loud", [0.3, pytest.param(0.0, marks=pytest.mark.long)])
def test_calls_are_answered_before_a_microphone(lived: Opened, loud: float) -> None:
    """With headphones and over loudspeakers each answer is read while the sound and the microphone go on."""
    window = lived(level="stage-3")
    room = with_microphone(window.context)
    open_it = room.open

    def open_quiet(name: str, take: Callable[[bytes], None]) -> Room:
        found = open_it(name, take)
        room.hear(np.zeros(4800))
        return found

    room.open = open_quiet  # type: ignore[method-assign]
    page = begun(window)
    began, passage, taken = 0.05, page.run.hearing.passage, 0
    runs = [(page.course.reply_run(number), call) for number, call in enumerate(page.plan.calls[:2])]
    places = [(run, place + float(at)) for run, call in runs for place, at in call.bars[0].onsets()]
    times = [began + run.begins + place * passage.beat_seconds for run, place in places]
    heard = drummed(times, passage.seconds + 2)
    sound = window.device.played[-1].astype(float).mean(1) / 32_768
    part = heard[round(began * 48_000) :]
    part[: len(sound)] += loud * sound[: len(part)]
    for run, _ in runs:
        until = round((run.ends + 0.2) * 48_000)
        room.hear(heard[taken:until])
        taken, window.device.where = until, run.ends
        window.frames(2)
    assert [reply.sentence() for reply in page.replies] == ["The same."] * 2
    assert window.top.exact == (loud > 0)
    assert window.context.microphone.running
    window.press("escape")
    assert not window.context.microphone.running


def test_a_microphone_that_is_lost_in_mid_course(lived: Opened) -> None:
    """What was answered before stays, and the chart says what happened."""
    window = lived()
    room = with_microphone(window.context)
    page = begun(window)
    window.device.where = 1.0
    room.now += 2
    window.frames(2)
    assert isinstance(window.top, CallsPlayed)
    assert "stopped in mid-take" in window.texts()
    assert "begin" in window.names()
    window.press("space")
    assert page.taking
