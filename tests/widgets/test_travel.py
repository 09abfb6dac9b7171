"""Where the focus goes."""

from pygame import Rect

from game.widgets.travel import ARROWS, along, towards

GRID = [Rect(x * 110, y * 60, 100, 50) for y in range(3) for x in range(4)]


def test_tab_goes_round() -> None:
    """After the last comes the first, and back."""
    assert along(3, 2, 1) == 0
    assert along(3, 0, -1) == 2
    assert along(3, None, 1) == 0
    assert along(0, None, 1) is None


def test_arrows_follow_rows_and_columns() -> None:
    """In a grid the arrows go to the neighbour on that side."""
    assert towards(GRID, 5, ARROWS["right"]) == 6
    assert towards(GRID, 5, ARROWS["left"]) == 4
    assert towards(GRID, 5, ARROWS["down"]) == 9
    assert towards(GRID, 5, ARROWS["up"]) == 1


def test_arrow_at_edge_stays() -> None:
    """Where nothing lies ahead the focus stays."""
    assert towards(GRID, 3, ARROWS["right"]) == 3
    assert towards(GRID, 0, ARROWS["up"]) == 0


def test_straight_ahead_comes_before_aside() -> None:
    """A widget in line is nearer than a closer one off to the side."""
    places = [Rect(0, 100, 50, 50), Rect(200, 100, 50, 50), Rect(70, 300, 50, 50)]
    assert towards(places, 0, ARROWS["right"]) == 1


def test_wide_widget_is_reached_from_narrow_one() -> None:
    """Downwards from a tile the wide button below is found."""
    assert towards([Rect(300, 0, 80, 50), Rect(0, 80, 900, 50)], 0, ARROWS["down"]) == 1
