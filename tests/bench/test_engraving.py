"""How quick and how crisp the notation is.  Run with ``python -m tests.bench``."""

import time
from collections.abc import Callable
from statistics import median

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from game.engraving import MUSIC_FONT
from game.engraving.surface import Engraver
from game.sessions.paper.worksheet import Worksheet
from game.sheets import sheet_pages
from shared.counting import parse_bar
from shared.levels import find_level
from shared.notation.marks import MARKS
from shared.notation.page import Dress, lay_out_whole
from shared.sticking import natural
from tests.bench.page import hold

BAR = parse_bar("1 e a (2) & 3 trip let 4 & a")
DRESS = Dress(hands=natural(BAR))
INKS = {"ink": "#101418"}
SPACE = 20

NINE = (
    "noteheadBlack", "restQuarter", "rest8th", "rest16th", "flag8thUp", "flag16thUp", "timeSig4", "noteheadXBlack",
    "tuplet3",
)  # fmt: skip


def seconds(work: Callable[[], object], rounds: int = 15) -> float:
    """The median processor time of some work: other programs on the machine don't count."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return median(times)


def test_layout_takes_a_third_of_a_millisecond() -> None:
    """A bar of four beats with count and sticking is laid out in less than 0.3 ms."""
    hundred = seconds(lambda: [lay_out_whole(BAR, DRESS) for _ in range(100)])
    hold("layout of a bar", hundred * 10, 0.3, "ms")


def test_cold_paint_takes_15_milliseconds() -> None:
    """The first painting, with nothing drawn before, takes less than 15 ms."""
    layout = lay_out_whole(BAR, DRESS)
    cold = seconds(lambda: Engraver().picture(layout, SPACE, INKS))
    hold("painting a bar, cold", cold * 1000, 15, "ms")


def test_cached_paint_takes_a_third_of_a_millisecond() -> None:
    """Painting the same bar again takes less than 0.3 ms."""
    engraver, layout, page = Engraver(), lay_out_whole(BAR, DRESS), pygame.Surface((1200, 300))
    engraver.paint(page, layout, (20, 150), SPACE, INKS)
    hundred = seconds(lambda: [engraver.paint(page, layout, (20, 150), SPACE, INKS) for _ in range(100)])
    hold("painting a bar again", hundred * 10, 0.3, "ms")


def test_twenty_pages_take_half_a_second() -> None:
    """Twenty pages of a sheet of forty bars in three versions are made in less than 0.5 s."""
    sheet = Worksheet(find_level("stage-8"), bars=40, versions=3)
    pages = sheet_pages(sheet)
    taken = seconds(lambda: sheet_pages(sheet), 3)
    count = pages.count(b"/Type /Page\n")
    assert count >= 20
    hold("twenty pages of a sheet", taken * 20 / count, 0.5, "s")


def coverage(surface: pygame.Surface) -> NDArray[np.float64]:
    return pygame.surfarray.array_alpha(surface).astype(float) / 255


def reference(name: str, space: int) -> NDArray[np.float64]:
    """A glyph drawn 32 times too large and averaged, its ink at the corner of a pixel."""
    large = pygame.font.Font(str(MUSIC_FONT), 4 * space * 32).render(chr(MARKS[name].code), True, "white")
    ink = coverage(large.subsurface(large.get_bounding_rect()))
    width, height = (-(-length // 32) for length in ink.shape)
    ground = np.zeros((width * 32, height * 32))
    ground[: ink.shape[0], : ink.shape[1]] = ink
    return ground.reshape(width, 32, height, 32).mean(axis=(1, 3))


def error(ours: NDArray[np.float64], truth: NDArray[np.float64]) -> float:
    """The difference of two pictures as a share of the ink."""
    shape = np.maximum(ours.shape, truth.shape)
    one, other = (np.pad(a, [(0, n - m) for n, m in zip(shape, a.shape, strict=True)]) for a in (ours, truth))
    return float(np.abs(one - other).sum() / other.sum())


@pytest.mark.parametrize(("space", "most"), [(6, 0.02), (10, 0.01), (20, 0.005)])
def test_glyphs_are_crisp(space: int, most: float) -> None:
    """Nine glyphs on whole pixels differ little from a reference drawn 32 times too large."""
    engraver = Engraver()
    errors = [error(coverage(engraver.mask(name, space, (0, 0))), reference(name, space)) for name in NINE]
    hold(f"error of glyphs at a staff space of {space}", float(np.mean(errors)), most, "of the ink")
