"""Measures how alike two rhythms sound, by distances from the literature.

Swap, edit and chronotonic distance after G. T. Toussaint, "A comparison of rhythmic similarity
measures", ISMIR 2004; rhythms with different numbers of strokes are matched as in M. Díaz-Báñez et
al., "El compás flamenco: a phylogenetic analysis", Bridges 2004.  Likeness falls off exponentially
with distance after R. N. Shepard, "Stimulus and response generalization", Psychometrika 22, 1957.

A rhythm is its onsets: ascending exact fractions of a cycle (for a figure, of its beat), from 0 up
to, not including, 1.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import exp, inf, lcm

from shared.figures import Figure, Onsets

SWAP_WEIGHT, EDIT_WEIGHT, CHRONOTONIC_WEIGHT = 2.0, 0.25, 2.0
"""Weights of the three distances in ``likeness``: edits lead, as listeners do (Toussaint, Campbell & Brown 2011)."""


def swap_distance(first: Onsets, second: Onsets) -> Fraction:
    """The least total distance, in cycles, that strokes must move to turn one rhythm into the other.

    With different numbers of strokes every stroke of the fuller rhythm goes to a stroke of the
    sparser one, which all receive at least one.  Against silence a stroke moves a whole cycle.
    """
    fuller, sparser = sorted((first, second), key=len, reverse=True)
    if not sparser:
        return Fraction(len(fuller))
    return _cheapest_assignment(fuller, sparser)


def _cheapest_assignment(fuller: Onsets, sparser: Onsets) -> Fraction:
    """The cheapest order-keeping assignment of all of ``fuller`` onto all of ``sparser``."""
    cost: list[Fraction | float] = [0, *[inf] * len(sparser)]
    # Dynamic programming: cost[k + 1] is the least cost that brings the last stroke so far to target k.  Each stroke
    # goes to the target of the stroke before it or to the next one, so the order holds and no target is left out.
    for stroke in fuller:
        moved = [abs(stroke - target) + min(cost[k], cost[k + 1]) for k, target in enumerate(sparser)]
        # Only the first stroke may start from "no target yet", which cost nothing.
        cost = [inf, *moved]
    return Fraction(cost[-1])


def edit_distance(first: Onsets, second: Onsets, divisions: int | None = None) -> int:
    """The least number of insertions, deletions and substitutions between the two as rows of pulses.

    ``divisions`` is the number of pulses in the cycle; by default the coarsest that holds both.
    """
    # Wagner and Fischer's algorithm (Journal of the ACM 21, 1974), of whose table one row is enough to go on.
    pulses = divisions or _pulses(first + second)
    before, after = _row(first, pulses), _row(second, pulses)
    costs = list(range(pulses + 1))
    for i, stroke in enumerate(before, 1):
        diagonal, costs[0] = costs[0], i
        for j, other in enumerate(after, 1):
            diagonal, costs[j] = costs[j], min(costs[j] + 1, costs[j - 1] + 1, diagonal + (stroke != other))
    return costs[-1]


def chronotonic_distance(first: Onsets, second: Onsets) -> Fraction:
    """The area, in square cycles, between the two step functions of intervals against time.

    The start and the end of the cycle bound the first and the last interval: a listener hears the beat.
    """
    pulses = _pulses(first + second)
    steps = zip(_intervals(first, pulses), _intervals(second, pulses), strict=True)
    # Time and interval are both counted in pulses: a division for each brings the area to square cycles.
    return Fraction(sum(abs(one - other) for one, other in steps), pulses**2)


def _pulses(onsets: Onsets) -> int:
    """The coarsest even division of the cycle that holds every onset."""
    return lcm(*(onset.denominator for onset in onsets))


def _row(onsets: Onsets, pulses: int) -> list[bool]:
    struck = {onset * pulses for onset in onsets}
    return [pulse in struck for pulse in range(pulses)]


def _intervals(onsets: Onsets, pulses: int) -> list[int]:
    """For each pulse the length, in pulses, of the interval that it lies in."""
    bounds = [0, *(int(onset * pulses) for onset in onsets), pulses]
    return [end - start for start, end in pairwise(bounds) for _ in range(start, end)]


@cache
def distance(first: Figure, second: Figure) -> float:
    """The distance between two figures, 0 for the same one: the weighted sum of the three distances."""
    return (
        SWAP_WEIGHT * float(swap_distance(first.onsets, second.onsets))
        + EDIT_WEIGHT * edit_distance(first.onsets, second.onsets)
        + CHRONOTONIC_WEIGHT * float(chronotonic_distance(first.onsets, second.onsets))
    )


def likeness(first: Figure, second: Figure) -> float:
    """How likely ears are to take one figure for the other, from 0 (never) to 1 (the same onsets)."""
    return exp(-distance(first, second))


LATER = 0.5
"""The distance of a displacement by one beat in ``bars_apart``: less than most exchanges, for the figures stay."""


def bars_apart(first: Sequence[Figure | None], second: Sequence[Figure | None]) -> float:
    """How different two rows of beats are, 0 only for the same: our own distance.

    Figures are set against each other beat by beat; None (the groove) is further from each than silence is.  A row
    that goes round, a beat later or earlier, is as far as that displacement and what then still differs.  Rows of
    different lengths are set against each other from their ends, where fills lead.
    """
    longer, shorter = (first, second) if len(first) >= len(second) else (second, first)
    padded = (*[None] * (len(longer) - len(shorter)), *shorter)

    def at(shift: int) -> float:
        moved = (*padded[shift:], *padded[:shift])
        # Most beats of fills that are compared are the same objects: these need no looking up.
        pairs = zip(longer, moved, strict=True)
        return sum(_beats_apart(one, other) for one, other in pairs if one is not other) + LATER * abs(shift)

    in_place = at(0)
    # Any displacement costs ``LATER`` by itself, so none can bring rows nearer that are nearer already.
    return in_place if in_place <= LATER else min(in_place, at(1), at(-1))


@cache
def _beats_apart(first: Figure | None, second: Figure | None) -> float:
    if first is None or second is None:
        return 0.0 if first is second else 1.0 + distance(first or _silence(second), second or _silence(first))
    return distance(first, second)


def _silence(figure: Figure | None) -> Figure:
    return Figure((), figure is not None and figure.compound)
