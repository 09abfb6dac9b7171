"""Focus travel: along the order with Tab, by place with the arrow keys."""

from collections.abc import Sequence

from pygame import Rect

ARROWS = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}
"""The arrow keys with their directions."""


def along(count: int, current: int | None, step: int) -> int | None:
    """The next place in the order, round and round; None when there is nothing to focus."""
    if not count:
        return None
    if current is None:
        return 0 if step > 0 else count - 1
    return (current + step) % count


def towards(places: Sequence[Rect], current: int, direction: tuple[int, int]) -> int:
    """The nearest place in a direction; the current one when none lies there.

    A widget straight ahead is nearer than one that lies aside.
    """
    here = places[current]
    ahead = [
        (_distance(here, place, direction), k)
        for k, place in enumerate(places)
        if k != current and _lies(here, place, direction)
    ]
    # Equal distances are decided by the number, so that the way is the same each time.
    return min(ahead)[1] if ahead else current


def _lies(here: Rect, there: Rect, direction: tuple[int, int]) -> bool:
    dx, dy = there.centerx - here.centerx, there.centery - here.centery
    return dx * direction[0] + dy * direction[1] > 0 and not _beside(here, there, direction)


def _beside(here: Rect, there: Rect, direction: tuple[int, int]) -> bool:
    """Whether the two overlap along the direction, so that neither is ahead of the other."""
    if direction[0]:
        return there.left < here.right and here.left < there.right
    return there.top < here.bottom and here.top < there.bottom


def _distance(here: Rect, there: Rect, direction: tuple[int, int]) -> float:
    across = _gap(here.left, here.right, there.left, there.right)
    down = _gap(here.top, here.bottom, there.top, there.bottom)
    ahead, aside = (across, down) if direction[0] else (down, across)
    drift = abs(here.centery - there.centery) if direction[0] else abs(here.centerx - there.centerx)
    # What lies aside counts threefold, so that arrows keep to a row or column; drift decides between equals.
    return ahead + 3 * aside + 0.1 * drift


def _gap(start: int, end: int, other_start: int, other_end: int) -> int:
    return max(0, other_start - end, start - other_end)
