"""A figure that is met for the first time: its notes, its count and its hands, and the light that moves with them."""

from fractions import Fraction

import numpy as np
import pytest
from pygame import Rect, Surface, surfarray

from game.widgets.look import Look
from game.widgets.met import Met
from game.widgets.theme import THEMES
from shared.counting import parse_figure
from shared.spelling import spellings

BOX = Rect(20, 30, 560, 300)


def met(*counts: str, lit: tuple[int, Fraction] | None = None) -> Met:
    """Figures with their hands, right and left in turn."""
    figures = [parse_figure(count) for count in counts]
    hands = [tuple("RL"[k % 2] for k in range(len(figure.onsets))) for figure in figures]
    written = [(figure, spellings(figure)[0]) for figure in figures]
    return Met("met", BOX, written, ["New", "Known"][: len(counts)], lambda: lit, 20, hands=hands)


def painted(page: Met) -> np.ndarray:
    canvas = Surface((600, 360))
    canvas.fill(THEMES["light"].paper)
    page.paint(canvas, Look((1280, 720), THEMES["light"]))
    return surfarray.array3d(canvas).astype(int)


@pytest.mark.parametrize("counts", [("1 & a",), ("1 e &", "1 & a")])
def test_the_light_marks_one_count_and_leaves_the_notes_where_they_are(counts: tuple[str, ...]) -> None:
    """Whoever counts along reads the notes while they sound."""
    page = met(*counts)
    changed = np.argwhere((painted(met(*counts, lit=(0, Fraction(0)))) != painted(page)).any(axis=2))
    layout, left, line, space = page.places()[0]
    count = left + layout.column(0, 0) * space
    assert len(changed)
    assert (abs(changed[:, 0] - count) < 3 * space).all()
    # Under the line, where the count stands: the heads, stems and the line itself are as before.
    assert (changed[:, 1] > line + space).all()
