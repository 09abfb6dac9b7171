"""Progress, plan and demo on the screen."""

import csv
import io
from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path

import numpy as np
import pygame
import pytest

from game.records import Records
from game.screens.home.demo import DemoHome, DemoStart
from game.screens.home.home import Home
from game.screens.practice.meeting import MeetingPage
from game.screens.practice.question import Practice, open_practice
from game.screens.progress.plan import PlanPage
from game.screens.progress.progress import change_words, open_progress
from game.screens.progress.step import StepEnd
from game.sessions.practice.drill import PairDrill
from game.sessions.progress.plan import PlanStep, StepKind
from game.sessions.progress.progress import changes
from game.widgets.heat_map import BOUNDS, MIXED, ink_on, step_of
from game.widgets.theme import THEMES, Theme, contrast
from game.wording import local_day
from shared.levels import find_level
from tests.screens.window import NOW, Opened, Window
from tests.sessions.lessons import answer

pytestmark = pytest.mark.usefixtures("one_coach_a_log")


@pytest.fixture
def month(lived: Opened) -> Window:
    """A window with some weeks behind it."""
    return lived()


def test_the_worst_mix_up_is_chosen_first(month: Window) -> None:
    """The page opens on the largest number off the diagonal that is no single slip, and the plan has it first."""
    month.show(open_progress(month.context))
    table, (row, column) = month.top.table, month.top.cell
    mixed = np.where(table.counts > 1, table.shares, 0)
    np.fill_diagonal(mixed, 0)
    assert table.shares[row, column] == mixed.max()
    assert f"{table.counts[row, column]:.0f} of {table.heard[row]:.0f} answers" in month.texts()
    month.show(PlanPage(month.context))
    pair = next(step for step in month.top.plan.steps if step.kind is StepKind.CONTRAST)
    assert set(pair.figures) == {table.figures[row], table.figures[column]}


def test_cells_are_travelled_by_arrows(month: Window) -> None:
    """Down and right move the chosen cell; at the border they stay."""
    month.show(open_progress(month.context))
    month.top.cell = (0, 0)
    month.top.set_focus("map")
    month.app.paint()  # type: ignore[union-attr]
    month.press("down", "right", "right")
    assert month.top.cell == (1, 2)
    month.press(*["down"] * 20)
    assert month.top.cell[0] == 7


def test_the_pair_is_heard_and_drilled(month: Window) -> None:
    """H plays the two in turn; Enter on the cell begins a drill of just these two, with every tile on offer."""
    month.show(open_progress(month.context))
    month.press("h")
    assert len(month.device.played) == 1
    pair = {month.context.level.figures[k] for k in month.top.cell}
    month.top.set_focus("map")
    month.press("return")
    assert isinstance(month.top, Practice)
    assert isinstance(month.top.round.coach, PairDrill)
    assert set(month.top.round.question.asked_figures) == pair


def test_a_figure_is_no_pair_with_itself(month: Window) -> None:
    """On the diagonal a drill is refused in words."""
    month.show(open_progress(month.context))
    month.top.cell = (2, 2)
    month.press("d")
    assert "no pair" in month.texts()


def test_every_cell_of_the_map_has_its_number(month: Window) -> None:
    """The map's numbers are the rows' per cent: colour is never the only sign."""
    month.show(open_progress(month.context))
    shares = month.top.table.shares
    texts = [piece.text for piece in month.widget("map").lettering(month.app.look)]  # type: ignore[union-attr]
    numbers = texts[: shares.size]
    assert numbers == [f"{share * 100:.0f}" for share in shares.flat]


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
def test_steps_of_the_map(theme: Theme) -> None:
    """Each step begins at its bound; the more was mixed up, the further the colour is from the paper's."""
    assert [step_of(share, theme) for share in (0.01, *BOUNDS)] == list(MIXED[theme.name])
    away = [contrast(colour, theme.paper) for colour in MIXED[theme.name]]
    assert away == sorted(away)


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
def test_numbers_keep_their_contrast(theme: Theme) -> None:
    """Black or white ink reaches 4.5 : 1 on every step (WCAG 2.2, 1.4.3)."""
    assert all(contrast(ink_on(colour), colour) >= 4.5 for colour in MIXED[theme.name])


@pytest.mark.parametrize("level", ["stage-4", "stage-8"])
def test_heads_keep_their_counts(lived: Opened, level: str) -> None:
    """In the smallest window every row and column that is shown has its whole count at its head."""
    window = lived((1024, 640), level=level)
    window.show(open_progress(window.context))
    sizes = window.widget("map").sizes()
    heads = window.widget("map").heads(window.app.look, sizes)  # type: ignore[union-attr]
    assert len(heads) == sizes.rows + sizes.columns
    assert not any(head.fitted.cut for head in heads)
    assert {head.text for head in heads} <= {figure.count for figure in window.context.level.figures}


def test_right_and_mixed_up_differ_in_shape(month: Window) -> None:
    """A cell of the diagonal has round corners and a bar, one off it square ones: not by colour alone."""
    month.show(open_progress(month.context))
    month.top.cell = (0, 1)
    month.app.paint()  # type: ignore[union-attr]
    month.context.settings = replace(month.context.settings, theme="light")
    cells = dict(month.widget("map").cells(month.widget("map").sizes()))
    table = month.top.table
    mixed = next(place for place in cells if place[0] != place[1] and table.counts[place])
    corner = month.app.look.u(2) + 2  # type: ignore[union-attr]
    right, wrong = (month.canvas.get_at((cells[at].x + corner, cells[at].y + corner)) for at in ((0, 0), mixed))
    paper = pygame.Color(THEMES["light"].paper)
    assert right == paper
    assert wrong != paper


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ((0, 0), (60, 60), "60 of 60 right; not heard in the 30 days before"),
        ((9, 10), (0, 0), "not heard in these 30 days; 9 of 10 right before"),
        ((0, 0), (0, 0), "not heard yet in 60 days"),
        ((2, 3), (60, 60), "2 of 3 right before, now 60 of 60: too few before to compare"),
        ((50, 60), (2, 3), "50 of 60 right before, now 2 of 3: too few now to compare"),
    ],
)
def test_a_month_claims_no_more_than_it_tells(
    before: tuple[float, float], after: tuple[float, float], words: str
) -> None:
    """Where one month has no or few answers, the sentence says which."""
    level = find_level("stage-1")
    rows = [
        answer("1", "1" if k < right else "1 &", at)
        for (right, total), at in ((before, NOW - 40 * 86400), (after, NOW - 86400))
        for k in range(int(total))
    ]
    assert change_words(changes(level, rows, NOW)[0]) == words


@pytest.mark.parametrize(("view", "header"), [(0, "heard"), (1, "week from"), (2, "day"), (3, "figure")])
def test_tables_are_saved_as_csv(month: Window, view: int, header: str) -> None:
    """Python's own reader finds a header and rows of the same length."""
    month.show(open_progress(month.context))
    month.press(*["right"] * view)
    month.press("t")
    (path,) = (month.context.data_folder / "reports").glob("*.csv")
    rows = list(csv.reader(io.StringIO(path.read_bytes().decode(), newline="")))
    assert rows[0][0] == header
    assert len(rows) > 2
    assert {len(row) for row in rows} == {len(rows[0])}


def test_the_picture_is_saved_as_png(month: Window) -> None:
    """A large picture whatever the window, and the window stays as it was."""
    month.show(open_progress(month.context))
    before = bytes(month.canvas.get_view("2"))
    month.press("i")
    (path,) = (month.context.data_folder / "reports").glob("*.png")
    assert pygame.image.load(path).get_size() == (1920, 1080)
    month.press("right", "left")
    assert bytes(month.canvas.get_view("2")) == before


def test_nothing_known_is_no_error(window: Window) -> None:
    """A new player sees empty tables on every view."""
    window.show(open_progress(window.context))
    window.press("right", "right", "right", "t")
    window.show(PlanPage(window.context))
    assert "Meet" in window.texts()


def test_a_dropped_history_is_planned_for(month: Window, tmp_path: Path) -> None:
    """A pupil's history file on the plan: the pupil's plan is shown; dropped twice nothing is added."""
    path = tmp_path / "hazel.drumlin-history"
    with Records.open(tmp_path / "elsewhere", NOW) as other:
        hazel = other.add_player("Hazel", NOW - 86400)
        source = month.context.records.answers(month.context.player)[:4]
        other.append(hazel, "6e3a2f0c-0000-4000-8000-000000000001", source)
        other.export_history(path, hazel)
    month.show(PlanPage(month.context))
    for added in (4, 0):
        pygame.event.post(pygame.Event(pygame.DROPFILE, file=str(path)))
        month.frames()
        assert f"Hazel: {added} answers came in" in month.texts()
    assert month.context.player.name == "Hazel"


def begun(month: Window, kind: StepKind) -> PlanStep:
    """Begin the step of that kind from the plan."""
    month.show(PlanPage(month.context))
    # The longest day has steps of every kind.
    month.change("minutes", "25")
    place = next(k for k, step in enumerate(month.top.plan.steps) if step.kind is kind)
    month.press("home", *["down"] * place, "return")
    step: PlanStep = month.app.stack[0].plan.steps[place]  # type: ignore[union-attr]
    return step


def through(month: Window, seconds: float = 20) -> None:
    """Answer bars rightly, each in so many seconds, until the step is over."""
    with month.unseen():
        while isinstance(month.top, Practice):
            month.clock.now += seconds
            month.say_right()
            month.press("return", "return")
    month.frames()


@pytest.mark.parametrize("kind", [StepKind.SETTLE, StepKind.CONTRAST, StepKind.BRING_BACK, StepKind.ROUND])
def test_a_step_begins_what_it_says(month: Window, kind: StepKind) -> None:
    """Its figures and its way round the kit in every bar, up to its tempo, and its end says so."""
    step = begun(month, kind)
    for _ in range(3):
        question = month.top.round.question
        assert set(question.asked_figures) <= set(step.figures)
        assert question.setting.orchestration == step.orchestration
        assert question.setting.tempo <= step.tempo
        month.clock.now += 20
        month.say_right()
        month.press("return", "return")
    through(month)
    assert isinstance(month.top, StepEnd)
    assert f"{step.title}: done" in month.texts()


def test_a_new_figure_is_met_before_it_is_asked(window: Window) -> None:
    """A step that meets figures shows each on its own page first; no practice at another tempo lingers."""
    window.context.listening = replace(window.context.listening, pace=0.5)
    step = begun(window, StepKind.MEET)
    assert isinstance(window.top, MeetingPage)
    assert window.context.listening.pace == 1.0
    assert window.top.round.question.meets == step.figures[:1]


def test_a_step_is_done_when_it_was_done(month: Window) -> None:
    """The plan, on coming back, ticks the step and stands on the next; the plan itself is the same as before."""
    begun(month, StepKind.CONTRAST)
    plan = month.app.stack[0].plan  # type: ignore[union-attr]
    through(month)
    month.press("escape")
    assert isinstance(month.top, PlanPage)
    assert month.texts().count("done today") == 1
    assert month.top.plan == plan
    assert month.top.chosen == 0
    month.show(PlanPage(month.context))
    assert month.texts().count("done today") == 1


def before_midnight(month: Window, seconds: float) -> None:
    """Set the clock so many seconds before the end of its day, here."""
    tomorrow = local_day(month.clock.now) + timedelta(days=1)
    month.clock.now = datetime.combine(tomorrow, time()).timestamp() - seconds


def test_a_step_counts_for_the_day_on_which_it_was_begun(month: Window) -> None:
    """Begun before midnight and ended after it, a step is done in the old day's plan.

    The new day has a plan of its own, of which nothing is done until a step of it is.
    """
    before_midnight(month, 30)
    begun(month, StepKind.SETTLE)
    old = month.clock.now
    through(month)
    assert month.clock.now > old + 30
    month.press("escape")
    assert isinstance(month.top, PlanPage)
    assert "done today" not in month.texts()
    month.press("home", "b")
    through(month)
    month.press("escape")
    assert month.texts().count("done today") == 1
    month.clock.now = old
    month.show(PlanPage(month.context))
    assert month.texts().count("done today") == 1


def test_a_plan_that_is_left_open_turns_with_the_day(month: Window) -> None:
    """With the first frame after midnight nothing is done of the plan on the page."""
    before_midnight(month, 600)
    begun(month, StepKind.SETTLE)
    through(month)
    month.press("escape")
    assert "done today" in month.texts()
    month.clock.now += 600
    month.frames(2)
    assert "done today" not in month.texts()


def test_an_ordinary_round_does_no_step(month: Window) -> None:
    """Ten bars of practice touch the figures of all steps, and none of them was done."""
    month.show(open_practice(month.context))
    through(month)
    month.show(PlanPage(month.context))
    assert "done today" not in month.texts()


def test_a_step_that_was_left_is_not_done(month: Window) -> None:
    """Escape after a bar leads back to the plan, which ticks nothing."""
    begun(month, StepKind.CONTRAST)
    month.say_right()
    month.press("return", "return", "escape", "tab", "return")
    assert isinstance(month.top, PlanPage)
    assert "done today" not in month.texts()


def test_the_end_of_a_step_leads_to_the_next(month: Window) -> None:
    """Enter on it begins the next one at once; Escape from there leads to the plan."""
    begun(month, StepKind.SETTLE)
    second = month.app.stack[0].plan.steps[1]  # type: ignore[union-attr]
    through(month)
    assert f"Next: {second.title}, {second.length}" in month.texts()
    month.press("return")
    assert isinstance(month.top, Practice)
    assert month.top.round.coach.step == second
    month.press("escape")
    assert isinstance(month.top, PlanPage)


def test_a_break_takes_its_minutes(month: Window) -> None:
    """It counts down, and is done once they are over; gone on from before, it is not."""
    month.show(PlanPage(month.context))
    month.top.set_focus("minutes")
    month.press("right")  # 25 minutes: long enough for a break
    month.top.set_focus("steps")
    place = next(k for k, step in enumerate(month.top.plan.steps) if step.kind is StepKind.BREAK)
    month.press("home", *["down"] * place, "return")
    assert "Rest: 2:00" in month.texts()
    month.clock.now += 61
    month.frames()
    assert "Rest: 0:59" in month.texts()
    month.press("escape")
    assert "done today" not in month.texts()
    month.press("home", *["down"] * place, "return")
    month.clock.now += 121
    month.frames(2)
    assert "The break is over." in month.texts()
    month.press("escape")
    assert "done today" in month.texts()
    month.show(PlanPage(month.context))
    assert month.top.minutes == "25"  # the plan that the day went on with


def test_the_plan_is_saved_to_print(month: Window) -> None:
    """P writes a PDF and says where."""
    month.show(PlanPage(month.context))
    month.press("p")
    (path,) = (month.context.data_folder / "reports").glob("plan-*.pdf")
    assert path.read_bytes().startswith(b"%PDF-")


@pytest.mark.usefixtures("short_demo")
def test_the_demo_opens_apart_and_is_left(window: Window) -> None:
    """One button: an invented home page, clearly marked; Escape leads back to one's own records."""
    home = Home(window.context)
    window.show(DemoStart(window.context), home)
    window.press("return")
    assert isinstance(window.top, DemoHome)
    assert "all invented" in window.texts()
    assert "demo" not in window.names()
    assert [player.name for player in window.context.records.players()] == ["Player 1"]
    window.press("escape")
    assert window.top is home
