"""Three people's ways through the real window, start to end: a student, a teacher, a candidate.

The pictures on the way go to the folder that DRUMLIN_PICTURES names, else to a temporary one.
"""

import csv
import getpass
import json
import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from game.learning.marking import marked
from game.records import Records
from game.screens.settings.settings import SettingsScreen
from game.sessions.exam.paper import draw_paper
from game.sessions.levels.draft import PLACES
from shared.levels import find_level, load_level
from tests.screens.window import Window
from tests.window.display import Display, missing, wait_for
from tests.window.story import Story

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"needs {' and '.join(missing())}")

INVENTED = {"Player 1", "Wren", "Ash", "Rowan", "Hazel", "Millrace Drum Room"}
"""The only names in any picture."""

SMALL, PROJECTOR = (1366, 768), (1920, 1080)

QUICK = """format = 1
title = "Quick figures"
about = "Three figures of a short exam."
meter = "4/4"
figures = ["1", "1 &", "1 e & a"]
new = []
orchestrations = ["snare"]
groove_bars = [0]
tempo = { low = 240, high = 240 }

[exam]
questions = 3
hearings = 2
pass_mark = 0.7
merit_mark = 0.8
distinction_mark = 0.9
"""

Begin = Callable[[str, tuple[int, int]], Story]


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the pictures go."""
    named = os.environ.get("DRUMLIN_PICTURES")
    folder = Path(named) if named else tmp_path_factory.mktemp("pictures")
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture
def begin(pictures: Path, tmp_path: Path) -> Iterator[Begin]:
    """Begins a story on a display of its own, with data in a folder whose name tells nobody's login."""
    with ExitStack() as stack:
        data = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="millrace-")))

        def start(name: str, size: tuple[int, int]) -> Story:
            display = Display(tmp_path / name, size)
            stack.callback(display.close)
            story = Story(display, data / "drumlin", pictures, name)
            stack.callback(story.stop)
            return story

        yield start


def tabs(folder: Path, start: str, end: str) -> list[str]:
    """The Tab presses that lead from one setting to another."""
    window = Window(folder, SMALL)
    try:
        window.show(SettingsScreen(window.context))
        names = [widget.name for widget in window.top.focusable()]
    finally:
        window.close()
    return ["Tab"] * (names.index(end) - names.index(start))


def assert_invented(story: Story) -> None:
    """No name of a real person can be in the pictures: not a player's, and not a login's in a path."""
    assert {name.removesuffix(" (demo)") for name in story.names()} <= INVENTED
    assert getpass.getuser() not in story.folder.parts
    assert all(path.stat().st_size > 5_000 for path in story.seen)


# A student


def hand_in(story: Story, bar: int, picks: str) -> None:
    """Answer a bar and hand it in; where beats were wrong, leave them as they are at the second try."""
    before = story.wrong()
    story.press_on(*picks)
    story.press("Return")
    story.wait_answers(4 * bar)
    if story.wrong() > before:
        story.press("Return", "Return")


def play(story: Story, bars: int) -> None:
    """Bars by keyboard alone: heard again, slower, one beat; then what was right and what was said."""
    story.press("p")
    story.show("first visit")
    story.press("3")
    for key in ("space", "s", "b"):
        story.hear(key)
    story.press("1", "2", "3", "BackSpace")
    story.show("practice")
    hand_in(story, 1, "45")
    story.press("c", "b")
    story.show("reveal")
    for bar in range(2, bars + 1):
        story.hear("Return")
        hand_in(story, bar, "6251")


def end_round(story: Story) -> None:
    """The whole round with its score, and a bar of the next."""
    story.press("Return")
    wait_for(lambda: story.kept("SELECT score FROM round"), "the round")
    story.show("round")
    story.press("Return")
    story.hear("space")
    story.press_on(*"1234")
    story.press("Return")
    story.wait_answers(44)


def look_up(story: Story) -> None:
    """A figure seen and heard, from another page."""
    story.turn("Escape", "f")
    story.press("Right", "space")
    story.show("figures")


@pytest.mark.parametrize("bars", [1, pytest.param(10, marks=pytest.mark.long)])
def test_student_practises_and_comes_back(begin: Begin, tmp_path: Path, bars: int) -> None:
    """First start, name, level, a bar with mistakes, progress, settings, next day; in ten bars a round, figures."""
    to_terms = tabs(tmp_path / "probe", "hand", "terms")
    to_theme = tabs(tmp_path / "probe", "terms", "theme")
    story = begin("student", SMALL)
    story.open()
    story.press("Return")
    story.show("volume")
    story.press("Next")
    story.write("Wren")
    story.press("Return")
    wait_for(lambda: story.names() == {"Wren"}, "the name")
    story.press("3")
    wait_for(lambda: story.has_set("level", "stage-3"), "the level")
    story.show("home")
    play(story, bars)
    assert story.kept("SELECT 1 FROM question WHERE hearings > 1")
    if bars == 10:
        end_round(story)
    given = story.answers()
    story.press("Escape", "Tab", "Return", "g", "t")
    with story.report("mix-ups-wren-*.csv").open(newline="", encoding="utf-8") as file:
        assert sum(float(row["times"]) for row in csv.DictReader(file)) == given
    story.show("progress")
    if bars == 10:
        look_up(story)
    story.press("Escape", "s")
    story.press_on("Right", *to_terms, "Right", *to_theme, "Right")
    for key, value in {"hand": "L", "terms": "us", "theme": "dark"}.items():
        wait_for(partial(story.has_set, key, value), f"{key} {value}")
    story.show("settings")
    story.close("Escape", "q")
    story.open(days=1)
    story.wait_still(0.5, longest=10)
    story.show("next day")
    page = story.display.pixels()[200:-200, 300:-300, :3]
    assert 0 < np.median(page) < 60  # the dark theme was kept
    story.close("q")
    assert_invented(story)


@pytest.mark.long
def test_child_meets_new_figures(begin: Begin) -> None:
    """An empty record: the first figure heard on the first page, two more met, one beat asked, shown, and on."""
    story = begin("child", SMALL)
    story.open()
    story.press("h")
    story.show("figure")
    story.press("Next")
    story.write("Hazel")
    story.press("Return")
    wait_for(lambda: story.names() == {"Hazel"}, "the name")
    story.turn("Return")
    story.show("first visit")
    story.turn("Return")
    wait_for(lambda: story.has_set("beginnings", {"stage-1": "step by step"}), "the choice")
    story.press("space")
    story.show("first figure")
    story.turn("Return")
    story.press("c")
    story.show("second figure")
    story.turn("Return")
    story.show("one beat")
    story.wait_still(0.3, longest=12)
    story.press("1", "Return")
    story.wait_answers(1)
    story.show("revealed")
    (row,) = story.kept("SELECT met, choices FROM question")
    assert row[0] == row[1]
    story.close("Escape", "Tab", "Return", "q")
    assert_invented(story)


# A teacher


def test_teacher_sees_the_demo(begin: Begin) -> None:
    """The invented drum room opens on a level with months behind it: progress, plan, and out."""
    story = begin("demo", SMALL)
    story.open("demo")
    story.folder = story.folder / "demo"
    story.press("Escape")
    wait_for(lambda: story.has_set("first_start_done", True), "the first pages left")
    story.show("home")
    story.turn("g")
    story.show("progress")
    story.turn("Escape", "l")
    story.show("plan")
    story.close("Escape", "q")
    assert_invented(story)


def teach(story: Story) -> None:
    """A bar with two teams by space bar, page keys and letters; a count mistyped and taken back."""
    story.press("c")
    story.write("Millrace Drum Room")
    story.press("Return")
    wait_for(lambda: "Millrace Drum Room" in story.names(), "the class")
    story.press("shift+Tab", "Right", "Right", "a")
    story.turn("Next")
    story.show("listen")
    story.press("space", "Next", "a", "1", "9", "BackSpace", "2", "c", "4")
    story.show("hands up")
    story.press(*["Next"] * 4)
    story.show("hands down")
    assert story.answers() == 0
    wait_for(lambda: revealed(story), "the reveal")
    story.press("Prior")
    story.show("reveal")
    story.press("Escape", "Tab", "Return", "p")
    assert story.report("lesson-millrace-*.pdf").read_bytes().startswith(b"%PDF")
    story.show("lesson")
    story.turn("Escape")


def revealed(story: Story) -> bool:
    """Press page down once the hands have been down for a second; sooner it does nothing."""
    story.press("Next")
    story.wait_still(0.5)
    return story.answers() > 0


def make_level(story: Story) -> Path:
    """Copy stage 4 and let its exam ask four bars."""
    story.turn("v")
    story.press("Down", "Down", "Down", "c", "Return")
    levels = story.folder / "levels"
    wait_for(lambda: list(levels.glob("*.toml")), "the copy")
    story.turn("e")
    story.press(*["Down"] * PLACES.index("exam.questions"), "Return", "BackSpace", "BackSpace", "4", "ctrl+s")
    (path,) = levels.glob("*.toml")
    wait_for(lambda: load_level(path).exam.questions == 4, "the change")
    story.show("level")
    return path


def pupil_history(folder: Path) -> Path:
    """The history file that a pupil brings."""
    level = find_level("stage-4")
    with Records.open(folder, 0.0) as records:
        rowan = records.add_player("Rowan", 0.0)
        for number, question in enumerate(draw_paper(level, 5, 12)):
            picks = [level.figures[3] if beat % 2 else figure for beat, figure in enumerate(question.asked_figures)]
            records.append(rowan, f"{number:032x}", marked(question, picks, 1.7e9 + number, level.name).answers)
        records.export_history(folder / "rowan.jsonl", rowan)
    return folder / "rowan.jsonl"


@pytest.mark.long
def test_teacher_runs_a_class(begin: Begin, tmp_path: Path) -> None:
    """A lesson on the projector, its summary printed, a level made, a sheet written, a pupil's plan printed."""
    story = begin("teacher", PROJECTOR)
    with Records.open(story.folder, 0.0) as records:
        hazel = records.add_player("Hazel", 0.0)
        records.save_settings(hazel, replace(records.settings(hazel), theme="projector", first_start_done=True))
    story.open()
    teach(story)
    assert (0.75,) in story.kept("SELECT share FROM answer ORDER BY question, place LIMIT 1")  # 12 of 16 hands
    level = make_level(story)
    story.close("Escape", "Escape", "q")
    printed = story.run("sheet", level.stem, str(tmp_path / "monday.pdf"), "--questions", "2")
    assert "monday.wav" in printed
    assert (tmp_path / "monday.pdf").read_bytes().startswith(b"%PDF")
    story.run("history", "import", str(pupil_history(tmp_path / "pupil")))
    story.open("--player", "Rowan", "--level", "stage-4")
    story.turn("l")
    story.press("p")
    assert story.report("*plan-rowan-*.pdf").read_bytes().startswith(b"%PDF")
    story.show("plan")
    story.close("Escape", "q")
    assert_invented(story)


TEN_BARS = 10


@pytest.mark.long
@pytest.mark.parametrize("teams", [False, True], ids=["the room", "two teams"])
def test_remote_alone_runs_ten_bars(begin: Begin, teams: bool) -> None:
    """Forward and back, nothing else, from the first bar to the summary and home again.

    After each bar it is kept how many had it, of the room or of the team whose beat it was.
    """
    story = begin("remote", PROJECTOR)
    with Records.open(story.folder, 0.0) as records:
        hazel = records.add_player("Hazel", 0.0)
        records.save_settings(hazel, replace(records.settings(hazel), level="stage-3", first_start_done=True))
        room = records.add_player("Millrace Drum Room", 0.0, "class", recent=False)
        answers_by = "2 teams" if teams else "one beat"
        settings = replace(
            records.settings(room), theme="projector", level="stage-3", answers_by=answers_by, each_beat="one beat"
        )
        records.save_settings(room, settings)
    story.open()
    story.turn("c")
    story.press("a")
    story.turn("Next")
    story.show("listen")
    # The picture goes dark, and the key that brings it back does nothing else.
    story.press("b", "b")
    for bar in range(TEN_BARS):
        story.press("Next", "Prior", "Next", "Next")
        before = story.display.pixels()
        wait_for(lambda before=before: forward_shows(story, before), f"the reveal of bar {bar + 1}")
        story.press("Next", "Next", "Prior")
        wait_for(lambda bar=bar: kept_bars(story) == bar + 1, f"bar {bar + 1} to be kept")
    story.show("after ten bars")
    story.press("Escape", "Next")
    story.show("what became of it")
    story.press("Next")
    story.close("q")
    shares = story.kept("SELECT share FROM answer ORDER BY question, place")
    assert shares == [(0.5,)] * 2 * TEN_BARS
    assert_invented(story)


def kept_bars(story: Story) -> int:
    return len(story.kept("SELECT DISTINCT question FROM answer"))


def forward_shows(story: Story, before: NDArray[np.uint8]) -> bool:
    """Press page down until the page changes: the reveal waits until the hands have been down for a second."""
    # A press that came too soon changes a line of words, or nothing; then two seconds pass.
    story.press("Next")
    story.wait_still(0.3)
    return bool((story.display.pixels() != before).mean() > 0.05)


# A candidate


def sit(story: Story, bars: int) -> None:
    """Hear and answer so many bars of an exam."""
    for _ in range(bars):
        before = story.answers()
        story.hear("space")
        story.press_on(*"1231")
        story.press("Return")
        story.wait_answers(before + 4)


@pytest.mark.parametrize("again", [False, pytest.param(True, marks=pytest.mark.long)], ids=["once", "again"])
def test_candidate_sits_an_exam(begin: Begin, tmp_path: Path, again: bool) -> None:
    """An exam with its hearings used up to its result on paper; again: after one broken off, and before a drill."""
    story = begin("candidate", SMALL)
    quick = tmp_path / "quick.toml"
    quick.write_text(QUICK, encoding="utf-8")
    story.open("--level", str(quick))
    story.press("Escape", "e")
    story.show("rules")
    if again:
        break_off(story)
    given = story.answers()
    story.press("Return")
    for _ in range(2):
        story.hear("space")
    story.press("space")
    story.show("no hearing left")
    story.press_on(*"1231")
    story.press("Return")
    story.wait_answers(given + 4)
    sit(story, 2)
    states = [("interrupted",)] * again + [("finished",)]
    wait_for(lambda: story.kept("SELECT state FROM exam ORDER BY id") == states, "the exam")
    (detail,) = story.kept("SELECT detail FROM exam WHERE state = 'finished'")
    assert [bar["hearings"] for bar in json.loads(str(detail[0]))] == [2, 1, 1]
    story.wait_still(0.5)
    story.show("result")
    story.press("p")
    assert story.report("mock-exam-*.pdf").read_bytes().startswith(b"%PDF")
    if again:
        drill(story)
    story.close("Escape", "q")
    assert_invented(story)


def break_off(story: Story) -> None:
    """Leave an exam after its first bar, and come to the next."""
    story.press("Return")
    sit(story, 1)
    story.press("Escape", "Tab", "Return")
    wait_for(lambda: story.kept("SELECT state FROM exam") == [("interrupted",)], "the broken exam")
    story.turn("Escape", "e")


def drill(story: Story) -> None:
    """From a result to what is mixed up, a bar of a drill on it, and the plan."""
    story.turn("Escape", "g")
    story.show("heat map")
    story.turn("d")
    sit(story, 1)
    story.press("Escape", "Tab")
    story.turn("Return", "Escape", "l")
    story.show("plan")
