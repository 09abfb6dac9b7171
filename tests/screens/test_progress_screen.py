"""Progress, plan and demo on the screen."""

import csv
import io
from pathlib import Path

import pygame
import pytest

from game.records import Records
from game.screens.home.demo import DemoHome, DemoStart
from game.screens.home.home import Home
from game.screens.practice.question import Practice
from game.screens.progress.plan import PlanPage
from game.screens.progress.progress import open_progress
from game.sessions.practice.drill import PairDrill
from game.widgets.heat_map import BOUNDS, STEPS, ink_on, step_of
from game.widgets.theme import contrast
from tests.screens.window import NOW, Opened, Window


@pytest.fixture
def month(lived: Opened) -> Window:
    """A window with some weeks behind it."""
    return lived()


def test_the_worst_mix_up_is_chosen_first(month: Window) -> None:
    """The page opens on the most frequent mix-up and says it in words."""
    month.show(open_progress(month.context))
    table, (row, column) = month.top._table, month.top._cell
    mixed = table.counts.copy()
    mixed[range(8), range(8)] = 0
    assert table.counts[row, column] == mixed.max()
    figures = month.context.level.figures
    assert f"{figures[row]} was taken for {figures[column]} in" in month.texts()


def test_cells_are_travelled_by_arrows(month: Window) -> None:
    """Down and right move the chosen cell; at the border they stay."""
    month.show(open_progress(month.context))
    month.top._cell = (0, 0)
    month.top.set_focus("map")
    month.app.paint()  # type: ignore[union-attr]
    month.press("down", "right", "right")
    assert month.top._cell == (1, 2)
    month.press(*["down"] * 20)
    assert month.top._cell[0] == 7


def test_the_pair_is_heard_and_drilled(month: Window) -> None:
    """H plays the two in turn; Enter on the cell begins a drill of just these two, with every tile on offer."""
    month.show(open_progress(month.context))
    month.press("h")
    assert len(month.device.played) == 1
    pair = {month.context.level.figures[k] for k in month.top._cell}
    month.top.set_focus("map")
    month.press("return")
    assert isinstance(month.top, Practice)
    assert isinstance(month.top.round.coach, PairDrill)
    assert set(month.top.round.question.asked_figures) == pair


def test_a_figure_is_no_pair_with_itself(month: Window) -> None:
    """On the diagonal a drill is refused in words."""
    month.show(open_progress(month.context))
    month.top._cell = (2, 2)
    month.press("d")
    assert "no pair" in month.texts()


def test_every_cell_of_the_map_has_its_number(month: Window) -> None:
    """The map's numbers are the rows' per cent: colour is never the only sign."""
    month.show(open_progress(month.context))
    numbers = [piece.text for piece in month.widget("map").lettering(month.app.look)]  # type: ignore[union-attr]
    shares = month.top._table.shares
    assert numbers == [f"{share * 100:.0f}" for share in shares.flat]


def test_steps_of_the_map() -> None:
    """Each step begins at its bound; from step to step the map gets lighter (cividis)."""
    assert [step_of(share) for share in (0.01, *BOUNDS)] == list(STEPS)
    lightness = [contrast(colour, "#000000") for colour in STEPS]
    assert lightness == sorted(lightness)


def test_numbers_keep_their_contrast() -> None:
    """Black or white ink reaches 7 : 1 on every step but the middle one, which carries a white plate (WCAG 1.4.6)."""
    assert [contrast(ink_on(colour), colour) >= 7 for colour in STEPS] == [True, True, False, True, True]


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
    month.top._told = ""
    month.app.paint()  # type: ignore[union-attr]
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


def test_a_step_is_begun_from_the_plan(month: Window) -> None:
    """Enter on a pair drills it; the round begins practice."""
    month.show(PlanPage(month.context))
    month.press("down", "return")
    assert isinstance(month.top.round.coach, PairDrill)
    month.show(PlanPage(month.context))
    month.press("end", "return")
    assert not isinstance(month.top.round.coach, PairDrill)


def test_a_step_that_was_heard_today_says_so(month: Window) -> None:
    """After a drill the plan, on coming back, ticks the pair."""
    month.show(PlanPage(month.context))
    month.press("down")
    assert "heard today" not in month.texts()
    month.press("return")
    for _ in range(2):
        month.say_right()
        month.press("return", "return")
    month.press("escape", "tab", "return")
    assert isinstance(month.top, PlanPage)
    assert "heard today" in month.texts()


def test_the_plan_is_saved_to_print(month: Window) -> None:
    """P writes a PDF and says where."""
    month.show(PlanPage(month.context))
    month.press("p")
    (path,) = (month.context.data_folder / "reports").glob("plan-*.pdf")
    assert path.read_bytes().startswith(b"%PDF-")


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
