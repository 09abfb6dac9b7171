"""The real window on a real display: it opens, takes keys and clicks, resizes, and closes."""

import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from game.records import KeptFill, Records
from shared.levels import find_level
from tests.window.display import Display, Program, missing, wait_for

pytestmark = pytest.mark.skipif(bool(missing()), reason=f"needs {' and '.join(missing())}")

HEARD = 6.0
"""Seconds from the key to a bar of the first level until its figures have begun: only then can it be handed in."""

SPEED = 8.0
"""How many times as fast a bar goes by at every change."""

SLOW = 0.3
"""How fast it goes by where the tests play along: on a busy machine they are late, by less of a beat that is longer."""


@pytest.fixture(scope="module")
def display(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Display]:
    """One display for all tests here."""
    shown = Display(tmp_path_factory.mktemp("frame"))
    yield shown
    shown.close()


@pytest.fixture
def speed() -> float:
    """How many times as fast a bar goes by; a test may ask for another."""
    return 1.0


@pytest.fixture
def program(display: Display, tmp_path: Path, speed: float) -> Iterator[Program]:
    """Drumlin on its first start."""
    started = Program(display, tmp_path / "data", "--level", "stage-1", speed=speed)
    yield started
    started.stop()


@pytest.mark.parametrize("speed", [SPEED, pytest.param(1.0, marks=pytest.mark.long)])
def test_bar_is_answered_by_keys_alone(program: Program, tmp_path: Path, speed: float) -> None:
    """From the first start to an answer on disk without a mouse, and out again."""
    program.press("Escape")
    program.press("p", "3")  # all figures at once
    program.press("space")
    time.sleep(HEARD / speed)
    program.press("1", "1", "2", "2")
    program.press("Return")
    program.display.hands("key", "Escape")
    wait_for(lambda: (tmp_path / "data" / "records.sqlite").exists(), "the records")
    program.press("Tab", "Return")
    program.display.hands("key", "q")
    assert program.process.wait(20) == 0
    with Records.open(tmp_path / "data", 2e9) as records:
        (player,) = records.players()
        assert records.count_answers(player) == 4
        assert records.settings(player).first_start_done


def test_click_reaches_its_button(program: Program) -> None:
    """A click on the key Esc at the foot leaves the first pages, as the key does."""
    geometry = dict(
        line.split("=") for line in program.display.hands("getwindowgeometry", "--shell", program.window).splitlines()
    )
    width, height = int(geometry["WIDTH"]), int(geometry["HEIGHT"])
    unit = min(width / 1280, height / 720)
    before = program.display.pixels()
    program.click(round(56 * unit) + round(230 * unit), height - round(29 * unit))
    wait_for(lambda: (program.display.pixels() != before).mean() > 0.01, "another page")


PAPER, OUTSIDE = (0xF8, 0xFC, 0xFD), (0, 0, 0)
"""The light theme's paper, blue first, and what lies beyond the window."""


def test_window_follows_its_size(program: Program) -> None:
    """Made smaller or larger, the page fills the window to its corner, and no further."""
    program.press("Escape")
    program.display.hands("windowmove", "--sync", program.window, 0, 0)
    for size in ((1024, 640), (1600, 900)):
        program.display.hands("windowsize", "--sync", program.window, *size)
        wait_for(partial(fills, program, size), f"a page that fills {size}")


def fills(program: Program, size: tuple[int, int]) -> bool:
    """Whether the page comes to the corner of a window of that size, and no further."""
    picture = program.display.pixels()[..., :3]
    corner, beyond = picture[size[1] - 2, size[0] - 2], picture[size[1] + 2, size[0] + 2]
    return tuple(corner) == PAPER and tuple(beyond) == OUTSIDE


# In the suite a window of the same program without a display is killed, at random moments.
@pytest.mark.long
def test_terminated_program_keeps_its_records_sound(program: Program, tmp_path: Path) -> None:
    """Killed in the middle of a bar, the program leaves records that open without a word."""
    program.press("Escape")
    program.press("p", "3")
    program.press("space", "1")
    program.process.kill()
    program.process.wait(20)
    with Records.open(tmp_path / "data", 2e9) as records:
        assert records.opening.notice is None


@pytest.mark.long
@pytest.mark.parametrize("speed", [SLOW])
def test_a_fill_is_made_and_played_in(program: Program, tmp_path: Path, speed: float) -> None:
    """By keys alone a fill is picked, moved down the kit, varied, played in with two keys, and kept by its name."""
    program.press("Escape", "b", "n")
    program.press("Return", "Return", "Right", "Return", "Return")
    program.press("d", "v", "Down", "Return")
    program.press("p")
    program.display.hands("key", "space")
    begun = time.monotonic()
    beat = 60 / find_level("stage-1").tempo.low / speed
    # A bar is counted in; on its last two beats the player strikes along.
    for place in (2, 3, 4, 5, 5.5, 6, 7):
        time.sleep(max(0.0, begun + place * beat - time.monotonic()))
        program.display.hands("key", "j")
    time.sleep(max(0.0, begun + 9 * beat - time.monotonic()))
    program.press("Return", "s")
    for letter in "Reeds":
        program.press(letter)
    program.display.hands("key", "Return")
    wait_for(lambda: (tmp_path / "data" / "records.sqlite").exists(), "the records")

    def kept() -> list[KeptFill]:
        with Records.open(tmp_path / "data", 2e9) as records:
            (player,) = records.players()
            return records.fills(player)

    wait_for(kept, "the fill")
    (fill,) = kept()
    assert fill.name == "Reeds"
    assert fill.count == "1 2 & 3 4"
