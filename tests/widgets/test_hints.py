"""The keys at the foot of a page: each is drawn whole in the room that it has."""

import pytest
from pygame import Rect, Surface

from game.widgets.hints import hint_height, hint_row
from game.widgets.lettering import READABLE
from game.widgets.look import Look
from game.widgets.theme import THEMES


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080)])
def test_a_key_has_all_its_edges(size: tuple[int, int], factor: float) -> None:
    """Whoever needs type of twice the size sees where a key begins and ends."""
    look = Look(size, THEMES["projector"], factor)
    (hint,) = hint_row(look, Rect(20, 10, look.u(900), look.u(50)), [("Esc", "back", lambda: None)])
    canvas = Surface(size)
    canvas.fill(look.theme.paper)
    hint.paint(canvas, look)
    column = hint.rect.x + look.u(14)
    painted = [canvas.get_at((column, y)) != canvas.get_at((0, 0)) for y in range(size[1])]
    edges = [y for y in range(1, size[1]) if painted[y] != painted[y - 1]]
    assert edges, "no key was drawn"
    quiet = Surface((1, 1))
    quiet.fill(look.theme.quiet)
    for y in (edges[0], edges[-1] - 1):
        assert canvas.get_at((column, y)) == quiet.get_at((0, 0))


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.0])
def test_the_foot_is_as_high_as_its_keys_need(factor: float) -> None:
    """Nine keys stay readable in large type: the foot gives them a second line."""
    look = Look((1024, 640), THEMES["light"], factor)
    caps = ("Space", "B", "S", "L", "N", "Backspace", "Enter", "Left Right", "Esc")
    keys = [(cap, "how it is heard", lambda: None) for cap in caps[: 9 if factor < 2 else 7]]
    high = hint_height(look, 934, keys)
    hints = hint_row(look, Rect(45, 0, 934, high), keys)
    assert min(hint.size for hint in hints) >= round(READABLE * look.type_size("small"))
    assert all(hint.rect.bottom <= high for hint in hints)
