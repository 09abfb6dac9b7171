"""Cutting boxes."""

from hypothesis import given
from hypothesis import strategies as st
from pygame import Rect

from game.widgets.boxes import columns, grid, rows

BOX = Rect(10, 20, 300, 200)


def test_rows_share_what_is_left() -> None:
    """Fixed rows keep their height, open ones share the rest, gaps between."""
    first, second, third = rows(BOX, [50, None, None], gap=10)
    assert (first.h, second.h, third.h) == (50, 65, 65)
    assert (second.y, third.bottom) == (80, 220)


def test_columns_keep_height() -> None:
    """Columns are as high as the box."""
    assert all(cell.h == BOX.h and cell.y == BOX.y for cell in columns(BOX, [None, 40, None]))


def test_grid_has_as_many_cells_as_asked() -> None:
    """Seven cells in rows of three make three rows, the last one short."""
    cells = grid(BOX, 7, 3, gap=6)
    assert len(cells) == 7
    assert len({cell.y for cell in cells}) == 3


@given(count=st.integers(1, 24), across=st.integers(1, 8), gap=st.integers(0, 12))
def test_grid_cells_never_overlap(count: int, across: int, gap: int) -> None:
    """Cells lie in the box, apart from each other."""
    cells = grid(Rect(0, 0, 900, 700), count, across, gap)
    assert all(Rect(0, 0, 900, 700).contains(cell) for cell in cells)
    assert not any(one.colliderect(other) for k, one in enumerate(cells) for other in cells[:k])
