"""Sticking: the hand of each stroke, by the natural rule or alternating.

The natural rule (common practice): take the alternating hands of the full grid and leave out the
strokes that are not played, so ``1 e a`` is R L L for a right-hander and L R R for a left-hander.
A beat with an odd number of divisions hands the lead over to the next beat.
"""

from itertools import count

from shared.bars import Bar

OTHER = {"R": "L", "L": "R"}
"""The other hand."""

Hands = tuple[tuple[str, ...], ...]
"""For each beat the hand of each stroke, ``R`` or ``L``."""


def natural(bar: Bar, lead: str = "R") -> Hands:
    """The natural sticking: one tuple for each beat, one hand (``R`` or ``L``) for each stroke."""
    hands = []
    place = 0
    for figure in bar.figures:
        hands.append(tuple(_hand(place + slot, lead) for slot in figure.slots))
        # An odd number of divisions, as in a triplet, turns the hands over for the next beat.
        place += figure.grid.divisions
    return tuple(hands)


def alternating(bar: Bar, lead: str = "R") -> Hands:
    """Strictly alternating hands, stroke by stroke, in the same shape as ``natural``."""
    # One row of numbers for the whole bar: after an odd number of strokes the next beat begins with the other hand.
    stroke = count()
    return tuple(tuple(_hand(next(stroke), lead) for _ in figure.onsets) for figure in bar.figures)


def _hand(place: int, lead: str) -> str:
    return lead if place % 2 == 0 else OTHER[lead]


STICKINGS = {"natural": natural, "alternating": alternating}
"""The rules a player can choose from, by name."""
