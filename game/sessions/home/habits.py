"""Orders the ways in on the first page by what this player opens most, so that they are found without a search.

Each opening of a way counts one and fades, so that whoever begins to prepare for an exam, or takes over a class, has
that at hand after a day or two.  Keys never move with it.
"""

from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

from game.wording import DAY_SECONDS

HALF_LIFE = 14 * DAY_SECONDS
"""After so many seconds an opening counts half."""

FIRST, LATER = 2.0, 0.5
"""The openings that a way has to begin with: one that leads at the start, and any other.  So one curious look at the
settings moves nothing to the front, and a second one does."""

USED = 2.0
"""To hold a lesson counts as so many more openings, of the class and of paper, and to save a sheet as so many of paper:
nobody does that out of curiosity, and a teacher's first page is a teacher's from the second day on."""

TEACHES = 2.5
"""By so many openings more than practice the class becomes the main way in: one lesson does it, two looks don't."""

Kept = Mapping[str, Any]


def opened(kept: Kept, name: str, now: float, times: float = 1.0) -> dict[str, list[float]]:
    """The value to keep once a way was opened: for each way the weight of its openings, and when it was worked out.

    ``kept`` is what was kept before, ``now`` in seconds since the epoch; it counts as so many ``times``.
    """
    weights = {one: [_weight(kept, one, now), now] for one in (*kept, name)}
    weights[name][0] += times
    return weights


def in_order(names: Iterable[str], kept: Kept, now: float, first: int) -> list[str]:
    """The names of ways, what is opened most first; else in the order given, whose ``first`` ones lead at the start."""
    placed = list(names)
    weights = {
        name: _weight(kept, name, now) + (FIRST if place < first else LATER) for place, name in enumerate(placed)
    }
    return sorted(placed, key=lambda name: -weights[name])


def main_way(kept: Kept, now: float) -> str:
    """The main way in: practice, and the class for whoever teaches more than they practise."""
    return "class" if _weight(kept, "class", now) - _weight(kept, "practice", now) >= TEACHES else "practice"


def taught(kept: Kept, rooms: Iterable[Kept], now: float) -> Kept:
    """What was kept of a player, with the class opened as often as any of the ``rooms`` of this machine had lessons.

    A teacher may sit there under any name, that of a pupil who was just added too.
    """
    return {**kept, "class": [max(_weight(one, "class", now) for one in (kept, *rooms)), now]}


def _weight(kept: Kept, name: str, now: float) -> float:
    """The weight of a way's openings by now; 0 where what was kept can't be read."""
    try:
        weight, at = map(float, kept[name])
    except (KeyError, TypeError, ValueError):
        return 0.0
    if not (isfinite(weight) and isfinite(at)):
        return 0.0
    # A clock that was set back makes nothing grow.
    return float(weight * 0.5 ** (max(0.0, now - at) / HALF_LIFE))
