"""Cutting rectangles into rows, columns and grids: all the layout the screens need."""

from collections.abc import Sequence

from pygame import Rect


def rows(box: Rect, sizes: Sequence[float | None], gap: int = 0) -> list[Rect]:
    """Cut a box from top to bottom: sizes in pixels; each None takes an equal part of what is left."""
    return [Rect(box.x, box.y + at, box.w, size) for at, size in _spans(box.h, sizes, gap)]


def columns(box: Rect, sizes: Sequence[float | None], gap: int = 0) -> list[Rect]:
    """Cut a box from left to right: sizes in pixels; each None takes an equal part of what is left."""
    return [Rect(box.x + at, box.y, size, box.h) for at, size in _spans(box.w, sizes, gap)]


def grid(box: Rect, count: int, across: int, gap: int = 0, tallest: int | None = None) -> list[Rect]:
    """``count`` equal cells, ``across`` in a row, filling the box; no cell higher than ``tallest``."""
    # Rounded up: minus, floor division, minus.
    down = max(1, -(-count // across))
    height = max(1, (box.h - gap * (down - 1)) // down)
    height = min(height, tallest or height)
    lines = rows(box, [height] * down, gap)
    cells = [cell for line in lines for cell in columns(line, [None] * across, gap)]
    return cells[:count]


def first_seen(chosen: int, seen: int, count: int) -> int:
    """The first of ``seen`` things out of ``count``: the chosen one is in the middle, save near the ends."""
    return min(max(0, chosen - seen // 2), max(0, count - seen))


def _spans(length: int, sizes: Sequence[float | None], gap: int) -> list[tuple[int, int]]:
    fixed = sum(round(size) for size in sizes if size is not None)
    shares = sum(size is None for size in sizes)
    # Where there is too little room the parts without a size vanish; none comes out with less than no height.
    spare = max(0, length - fixed - gap * (len(sizes) - 1))
    spans, at, given = [], 0, 0
    for size in sizes:
        if size is None:
            given += 1
            # By the difference of rounded sums, so that equal parts together fill the box to the pixel.
            extent = spare * given // shares - spare * (given - 1) // shares
        else:
            extent = round(size)
        spans.append((at, extent))
        at += extent + gap
    return spans
