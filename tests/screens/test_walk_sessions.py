"""The screens of class, exam, reading, progress, plan and demo in every size and theme."""

from dataclasses import replace

import numpy as np
import pytest

from game.learning.question import question_id
from game.records import Player
from game.records.takes import Take
from game.screens.exam.result import ExamEnd
from game.screens.exam.room import open_exam_room
from game.screens.exam.start import ExamStart
from game.screens.home.demo import DemoHome, DemoStart
from game.screens.home.home import Home
from game.screens.lesson.end import ClassEnd
from game.screens.lesson.own_bar import OwnBar
from game.screens.lesson.room import EndDialog, open_class_room
from game.screens.lesson.start import ClassStart, open_class_start
from game.screens.playing.call_end import CallEnd
from game.screens.playing.call_start import CallStart, open_calls
from game.screens.playing.devices import open_devices
from game.screens.playing.playing import PlayBar, new_playing
from game.screens.playing.recording import open_recording
from game.screens.playing.saying import SayIt
from game.screens.playing.start import open_playing
from game.screens.progress.plan import PlanPage
from game.screens.progress.progress import open_progress
from game.screens.progress.step import Rest, StepEnd
from game.screens.pupils.bring_in import BringIn
from game.screens.pupils.pupils import open_pupils
from game.screens.reading.charts import open_charts
from game.screens.reading.reading import ReadingStart, open_reading
from game.sessions.inputs import Input
from game.sessions.playing.playing import PlayingWay
from game.sessions.playing.replies import reply_picked
from game.sessions.playing.report import Deviation, timing_of
from game.sessions.progress.plan import StepKind
from game.sessions.reading.reading import Task
from game.widgets.theme import THEMES
from game.wording import local_day
from tests.playing import chart_strokes
from tests.sampling import some
from tests.screens.test_calls_screen import answered, pick
from tests.screens.test_class import to_reveal
from tests.screens.test_exam_playing import to_playing
from tests.screens.test_hands_view import played_for_another
from tests.screens.test_playing_screen import play
from tests.screens.test_recording_screen import midi, read_through, recorded
from tests.screens.test_walk import (
    BETWEEN,
    SIZES,
    Page,
    named,
    walked,
)
from tests.screens.window import Opened, Window


def room(window: Window) -> Player:
    return window.context.records.players("class")[0]


def class_start(window: Window) -> None:
    window.show(open_class_start(window.context))


def class_listen(window: Window) -> None:
    window.show(open_class_room(window.context, room(window), ("Brook", "Hill", "Marsh", "Dune"), all_teams=True))
    window.press("space")
    window.device.where = 3.0
    window.frames()


def class_own_bar(window: Window) -> None:
    class_start(window)
    window.show(open_class_room(window.context, room(window)))
    window.press("z")
    assert isinstance(window.top, OwnBar)


def class_own_bar_read(window: Window) -> None:
    class_own_bar(window)
    play(window, 0.003)


def class_collect(window: Window) -> None:
    window.show(open_class_room(window.context, room(window)))
    window.press("space", "space", "a", "1", "2", "d", "9", "space", "c", "4")


def class_teams_in_turn(window: Window) -> None:
    """Each beat is asked of one team."""
    window.show(open_class_room(window.context, room(window), ("Brook", "Hill")))
    window.press("space", "space", "a", "c")


def class_teams_in_turn_shown(window: Window) -> None:
    class_teams_in_turn(window)
    window.press("d", "e")
    to_reveal(window)


def class_by_remote(window: Window) -> None:
    """One beat is asked of a team with the longest name."""
    window.show(open_class_room(window.context, room(window), ("Marsh Harriers", "Hill"), one_beat=True))
    window.press("page down")


def class_who_had_it(window: Window) -> None:
    class_by_remote(window)
    window.press("page down", "page down")
    window.clock.now += 1.1
    window.press("page down", "page down")


def class_end_by_remote(window: Window) -> None:
    """Half had the one beat that was asked."""
    class_who_had_it(window)
    window.press("page down", "page up", "escape", "page down")
    assert isinstance(window.top, ClassEnd)


def class_start_first(window: Window) -> None:
    """Where there is no class yet."""
    window.show(ClassStart(window.context, [], [window.context.level]))


def class_start_teams(window: Window) -> None:
    class_start(window)
    window.top.lesson.change_settings(answers_by="4 teams", each_beat="all teams")
    # One figure is not known: then all can be ticked.
    window.top.set_focus("known")
    window.press("return")


def class_shown(window: Window) -> None:
    class_collect(window)
    to_reveal(window)


def class_teams_shown(window: Window) -> None:
    class_listen(window)
    window.press("space", *(("a", "1", "2", "space") * 16))
    to_reveal(window)


def class_end(window: Window) -> None:
    """Four teams, of which three at least mix up each beat."""
    class_listen(window)
    window.press("space", *(key for letter in "acde" * 4 for key in (letter, "1", "space")))
    to_reveal(window)
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ClassEnd)


def class_end_without_teams(window: Window) -> None:
    """Every beat of three bars is taken for one figure."""
    window.show(open_class_room(window.context, room(window)))
    for _ in range(3):
        window.press("space", "space", *("a", "space") * 4)
        to_reveal(window)
        window.press("space")
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ClassEnd)


def pupils(window: Window) -> None:
    window.show(open_pupils(window.context))
    window.until(lambda: window.top.about)


def pupils_task(window: Window) -> None:
    pupils(window)
    window.press("t")
    assert "Task until" in window.widget("told").text


def home_with_a_task(window: Window) -> None:
    pupils_task(window)
    context = window.context
    task = context.task()
    assert task
    context.set_task(context.player, replace(task, by="Wilhelmina-Alexandra at the Old Millrace"))
    window.show(Home(context))
    window.until(lambda: "Your task" in window.texts())


def pupils_group(window: Window) -> None:
    window.show(open_pupils(window.context))
    window.press("c")
    assert window.widget("classes")


def bring_in(window: Window) -> None:
    pupils(window)
    window.press("i")
    assert isinstance(window.top, BringIn)


def class_to_end(window: Window) -> None:
    class_collect(window)
    window.press("escape")
    assert isinstance(window.top, EndDialog)


def exam_start(window: Window) -> None:
    window.show(ExamStart(window.context))


def give_day(window: Window) -> None:
    """The level's exam is in twelve days."""
    context = window.context
    context.choose_exam_day(context.level, local_day(context.now() + 12 * 86_400))


def home_with_a_day(window: Window) -> None:
    give_day(window)
    window.show(Home(window.context))
    window.until(lambda: not window.top.unread)


def exam_start_with_a_day(window: Window) -> None:
    give_day(window)
    exam_start(window)
    window.until(lambda: window.top.readiness)


def exam_day_asked(window: Window) -> None:
    exam_start_with_a_day(window)
    window.press("d")
    window.write("soon")
    window.press("return")


def exam_broken_off(window: Window) -> None:
    window.show(open_exam_room(window.context))
    window.press("escape", "tab", "return")
    window.frames(3)


def plan_with_a_day(window: Window) -> None:
    give_day(window)
    window.show(PlanPage(window.context))


def exam_room(window: Window) -> None:
    window.show(open_exam_room(window.context))
    window.press("space", "1", "2", "return")
    window.device.where = 1.0
    window.frames()


def exam_playing(window: Window) -> None:
    to_playing(window)


def exam_played(window: Window) -> None:
    to_playing(window, 1)
    play(window, late=0.004, left_out=1)
    window.press("return")
    assert isinstance(window.top, ExamEnd)
    window.frames(3)


def exam_end(window: Window) -> None:
    exam = window.context.records.exams(window.context.player)[0]
    window.show(ExamEnd(window.context, exam))


def reading_start(window: Window) -> None:
    window.show(ReadingStart(window.context))


def reading_bar(window: Window) -> None:
    window.show(open_reading(window.context, Task.WHICH_BAR))


def reading_bar_shown(window: Window) -> None:
    reading_bar(window)
    window.press("space", "space", "space", "space", "1")


def reading_beat(window: Window) -> None:
    window.show(open_reading(window.context, Task.WHICH_BEAT))


def reading_beat_shown(window: Window) -> None:
    reading_beat(window)
    window.press("space", "2")


def chart(window: Window) -> None:
    window.show(open_charts(window.context))
    window.press("space")
    window.device.where = 5.2
    window.frames(2)


def chart_sixteen(window: Window) -> None:
    chart(window)
    window.press("l", "l")


def chart_which_bar(window: Window) -> None:
    chart_sixteen(window)
    window.press("1", "space")


def chart_otherwise(window: Window) -> None:
    chart(window)
    window.press("2", "space")
    window.press(str(window.top.asking.question.steps[0].answer + 1))
    assert window.top.asking.step.figures


def chart_by_ear(window: Window) -> None:
    chart(window)
    window.press("3", "space")


def chart_answered(window: Window) -> None:
    chart_which_bar(window)
    window.press(str(8 - window.top.asking.question.steps[0].answer // 2))
    assert window.top.asking.step is None


def chart_played(window: Window) -> None:
    """A long chart, one fill of it otherwise and one groove bar, and one fill not to be told."""
    chart_sixteen(window)
    window.press("y", "space")
    run, chart = window.top.run, window.top.playing.chart
    other = next(one for one in window.context.level.figures if one not in chart.bars[3].figures and one.onsets)
    for place in chart_strokes(chart, {(3, 3): other, (9, 1): other}, groove=True):
        late = 0.09 if place > 58.5 else 0.004
        seconds = run.begins + place * run.hearing.passage.beat_seconds + late
        window.top.strike(Input("keys", "j", seconds))
    window.device.where = run.ends
    window.frames(2)
    assert window.top.playing.played.bars


def chart_to_play(window: Window) -> None:
    chart(window)
    window.press("y")


def chart_to_play_alone(window: Window) -> None:
    window.context.change_settings(play_on="microphone")
    chart_to_play(window)


def chart_playing(window: Window) -> None:
    chart_to_play(window)
    window.press("space")
    window.device.where = window.top.run.begins + 3.2
    window.frames(2)


def reading_end(window: Window) -> None:
    reading_beat(window)
    for _ in range(10):
        window.press("space", "1", "return")
    assert window.top.round.finished


def progress_mix_ups(window: Window) -> None:
    window.show(open_progress(window.context))


def progress_of_class(window: Window) -> None:
    pupils(window)
    window.press("home")
    window.until(lambda: window.top.about)
    window.press("g")
    assert "drill" not in window.names()


def progress_weeks(window: Window) -> None:
    _progress(window, 1)


def progress_days(window: Window) -> None:
    _progress(window, 2)


def progress_month(window: Window) -> None:
    _progress(window, 3)


def progress_hands(window: Window) -> None:
    """A figure played as another one again and again, and a few weeks of timing."""
    context, now = window.context, window.clock.now
    played_for_another(window)
    rng = np.random.default_rng(3)
    for week in range(5):
        strokes = [Deviation(0, "&e"[k % 2], float(rng.normal(0.012 * (k % 2), 0.02)), "LR"[k % 2]) for k in range(80)]
        at = now - week * 7 * 86_400
        take = Take(question_id("week", week), at, None, "keys", 60.0, (), timing_of(strokes))
        context.records.keep_take(context.player, take)
    _progress(window, 4)


def _progress(window: Window, view: int) -> None:
    window.show(open_progress(window.context))
    window.press(*["right"] * view)


def playing_start(window: Window) -> None:
    window.show(open_playing(window.context))


def calls(window: Window) -> None:
    window.show(open_calls(window.context))


def calls_unmet(window: Window) -> None:
    window.show(CallStart(window.context, ()))


def calls_begun(window: Window) -> None:
    calls(window)
    window.press("space")
    window.device.where = window.top.course.begins(1) + 0.1
    window.frames(2)


def calls_answered(window: Window) -> None:
    calls_begun(window)
    page = window.top
    answered(window, [page.plan.calls[1]])
    assert page.replies[0].changed


def calls_ready(window: Window) -> None:
    """Where pads were to be played and are not there."""
    window.context.change_settings(play_on="pads")
    calls(window)
    window.press("space")
    assert "begin" in window.names()


def calls_picking(window: Window) -> None:
    """The longest rule, with one beat still to be picked."""
    calls(window)
    window.press("3")
    window.change("by", False)
    window.press("space")
    pick(window, window.top.plan.calls[1])
    window.press("backspace")
    assert ": which" in window.texts()


def calls_picked(window: Window) -> None:
    calls_picking(window)
    window.press("1", "return")
    assert window.top.replies


def calls_end(window: Window) -> None:
    """Eight calls, each answered by the one before it; the chart sounds."""
    window.show(open_calls(window.context))
    window.change("number", 8)
    window.press("space")
    plan = window.top.plan
    picks = [plan.calls[number - 1].figures for number in range(8)]
    replies = [
        reply_picked(call, picked, plan.rule, plan.allowed) for call, picked in zip(plan.calls, picks, strict=True)
    ]
    window.show(CallEnd(window.context, plan, replies, lambda: open_calls(window.context)))
    window.press("space")
    window.device.where = 14.3
    window.frames(2)


def playing_keys_tried(window: Window) -> None:
    window.show(open_devices(window.context))
    window.press("f", "j", "f")


def playing_pads(window: Window) -> None:
    window.context.change_settings(play_on="pads")
    window.show(open_devices(window.context))


def playing_microphone(window: Window) -> None:
    window.context.change_settings(play_on="microphone")
    window.show(open_devices(window.context))


def playing_recording(window: Window) -> None:
    window.show(open_recording(window.context))


def playing_recording_read(window: Window) -> None:
    playing_recording(window)
    window.fill_in("count", "1 & 2 & 3 & a 4")
    window.top.dropped(midi(window.context.data_folder / "a take of the whole room.mid", 3))
    read_through(window)


def playing_recording_alone(window: Window) -> None:
    playing_recording(window)
    window.top.dropped(midi(window.context.data_folder / "a take of the whole room.mid", 3))
    read_through(window)


def playing_recorded(window: Window) -> None:
    playing_recording(window)
    recorded(window)


def playing_said(window: Window) -> None:
    window.show(SayIt(window.context, new_playing(window.context)))
    window.press("space", "1", "2")


def playing_seen(window: Window) -> None:
    window.show(
        PlayBar(window.context, new_playing(window.context), PlayingWay.SAID, "Beat 2 was 2 & a; you said 2 e a.")
    )


def playing_seen_take(window: Window) -> None:
    playing_seen(window)
    window.press("space")
    window.device.where = 1.0
    window.frames()


def played_in_steps(window: Window) -> None:
    window.show(PlayBar(window.context, new_playing(window.context, in_steps=True)))
    play(window, late=0.004)


def playing(window: Window) -> None:
    window.show(PlayBar(window.context, new_playing(window.context)))


def playing_take(window: Window) -> None:
    playing(window)
    window.press("space")
    window.device.where = 1.0
    window.frames()


def played_right(window: Window) -> None:
    playing(window)
    play(window, late=0.004)


def played_otherwise(window: Window) -> None:
    playing(window)
    play(window, late=0.025, left_out=2)


def played_nothing(window: Window) -> None:
    playing(window)
    play(window, left_out=100)


def plan(window: Window) -> None:
    window.show(PlanPage(window.context))


def plan_last_step(window: Window) -> None:
    window.show(PlanPage(window.context))
    window.press("end")


def step_end(window: Window) -> None:
    """The end of the settling-in, which leads to a pair."""
    plan(window)
    window.press("home", "return")
    for _ in range(3):
        window.clock.now += 25
        window.say_right()
        window.press("return", "return")
    assert isinstance(window.top, StepEnd)


def step_rest(window: Window) -> None:
    """A break, and a step after it."""
    plan(window)
    window.top.set_focus("minutes")
    window.press("right")
    window.top.set_focus("steps")
    place = next(k for k, step in enumerate(window.top.plan.steps) if step.kind is StepKind.BREAK)
    window.press("home", *["down"] * place, "return")
    assert isinstance(window.top, Rest)


def demo_start(window: Window) -> None:
    window.show(DemoStart(window.context))


def demo_home(window: Window) -> None:
    window.show(DemoHome(window.context))


PAGES = (
    class_start, class_start_first, class_start_teams, class_own_bar, class_own_bar_read, class_listen, class_collect,
    class_shown, class_teams_shown, class_teams_in_turn, class_teams_in_turn_shown,
    class_by_remote, class_who_had_it, class_end_by_remote,
    class_to_end, class_end, class_end_without_teams, pupils, pupils_task, pupils_group, bring_in,
    exam_start, exam_room, home_with_a_task,
    home_with_a_day, exam_start_with_a_day, exam_day_asked, exam_broken_off, plan_with_a_day,
    exam_playing, exam_played,
    exam_end, reading_start, reading_bar, reading_bar_shown, reading_beat, reading_beat_shown, reading_end,
    chart, chart_sixteen, chart_which_bar, chart_otherwise, chart_by_ear, chart_answered,
    playing_start, calls, calls_unmet, calls_begun, calls_answered, calls_ready, calls_picking, calls_picked, calls_end,
    playing_keys_tried, playing_pads, playing_microphone,
    chart_to_play_alone, chart_playing, chart_played,
    playing_recording, playing_recording_read, playing_recording_alone, playing_recorded,
    playing_said, playing_seen, playing_seen_take,
    played_in_steps, playing, playing_take, played_right, played_otherwise, played_nothing,
    progress_mix_ups, progress_of_class, progress_weeks, progress_days, progress_month, progress_hands,
    plan, plan_last_step, step_end, step_rest,
    demo_start, demo_home,
)  # fmt: skip

ROWS = {
    "DemoHome": ("first page",),
    "ClassStart": ("class, before",),
    "OwnBar": ("playing",),
    "ClassRoom": ("class",),
    "Pupils": ("pupils",),
    "EndDialog": ("class",),
    "ClassEnd": ("end of a lesson",),
    "ExamStart": ("before a mock exam",),
    "ExamPlaying": ("playing",),
    "ExamRoom": ("practice, mock exam",),
    "ExamEnd": ("exam result",),
    "ReadingStart": ("reading",),
    "ReadingPage": ("reading",),
    "ChartPage": ("chart",),
    "PlayChart": ("chart played along",),
    "PlayBar": ("playing",),
    "PlayingStart": ("playing",),
    "CallStart": ("call and answer",),
    "CallsPlayed": ("call and answer",),
    "CallsPicked": ("call and answer", "practice, mock exam"),
    "CallEnd": ("call and answer",),
    "RecordingPage": ("a recording",),
    "SayIt": ("practice, mock exam",),
    "Devices": ("what you play on",),
    "Progress": ("progress",),
    "PlanPage": ("plan",),
}
"""The rows of the manual that tell these screens' keys.  One that has only the keys of every page needs none."""


pytestmark = pytest.mark.usefixtures("one_coach_a_log")

BIG = (SIZES[0], BETWEEN[3])
"""The windows in which pages are opened in the largest type."""


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, SIZES), ids=named)
def test_a_page_opens_in_any_window(lived: Opened, page: Page, size: tuple[int, int]) -> None:
    """Opened in the window's size and painted in every theme, nothing is cut and nothing overlaps.

    At 3840 x 2160 all is twice as large as at 1920 x 1080; the theme with the largest type stands for all.
    """
    assert walked(lived(size), page, *(THEMES if size[0] < 3840 else ["projector"])) == []


@pytest.mark.long
@pytest.mark.parametrize(("page", "size"), some(1, PAGES, BIG), ids=named)
def test_largest_type_fits(lived: Opened, page: Page, size: tuple[int, int]) -> None:
    """The largest type size, on the way between window sizes too, cuts nothing."""
    assert walked(lived(size), page, "dark", type_size=130) == []


@pytest.mark.parametrize(
    ("page", "level"),
    some(
        7,
        [class_collect, class_shown, class_teams_shown, exam_room, reading_bar_shown, progress_mix_ups, plan_last_step],
        ["stage-1", "stage-5", "stage-7", "stage-8"],
    ),
    ids=named,
)
def test_every_level_fits(lived: Opened, page: Page, level: str) -> None:
    """Every shipped level, from 2 figures to 20, can be seen whole in the smallest window."""
    assert walked(lived((1024, 640), level=level), page, "light") == []


DATED = (
    class_start, class_start_teams, pupils, pupils_task, home_with_a_task, pupils_group, exam_start, exam_end,
    exam_broken_off, exam_played,
    progress_weeks, progress_days, exam_start_with_a_day, plan_with_a_day, progress_hands,
)  # fmt: skip
"""The pages on which a day stands."""
