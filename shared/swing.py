"""Swing: delays the second of each pair of strokes, never so far that one figure sounds as another."""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from shared.bars import Bar
from shared.figures import Figure

# 75 is 3 : 1, a dotted quaver and a semiquaver: with more, swing would be another written rhythm.  Jazz drummers go up
# to 3.5 : 1 at slow tempi (A. Friberg and A. Sundström, Music Perception 19, 2002).
STRAIGHT, MOST_SWING = 50, 75
"""The least and the most of a pair that its first stroke can take, in per cent."""

SWINGS = (STRAIGHT, 57, 62, 67)
"""The swings on offer to a player; the last is the triplet's 2 : 1."""

SAFE = Fraction(2, 5)
"""How far a swung stroke may move towards the place that another figure has for it, as a share of that distance.

At one half the ear begins to hear the other figure (common practice, no source); this stops short of it.
"""


def swung_pair(bar: Bar) -> Fraction | None:
    """How long the pair is that swings: two quavers, or two semiquavers where the bar has any.

    None for compound beats, which have three quavers and no pair.
    """
    if bar.meter.compound:
        return None
    finest = max((onset.denominator for _, onset in bar.onsets()), default=1)
    # No place of a triplet is the middle of half a beat, so a bar with triplets may take the shorter pair and none
    # moves.
    return Fraction(1) if finest <= 2 else Fraction(1, 2)


# Fractions all through: the distance to another figure is compared exactly, with nothing lost to rounding.
def swing_shift(at: Fraction, pair: Fraction | None, swing: float) -> Fraction:
    """How far, in beats, swing delays a stroke in the middle of a pair; 0 for every other stroke, as in triplets."""
    if pair is None or at % pair != pair / 2:
        return Fraction(0)
    return pair * (Fraction(swing) / 100 - Fraction(1, 2))


def evened(place: float, pair: Fraction | None, swing: float) -> float:
    """A place in beats at which a swung stroke falls, as it would be if it were played straight.

    Each part of a pair is stretched or shrunk to half of it: what swing leaves in its place stays there.
    """
    if pair is None:
        return place
    long = float(pair) * swing / 100
    before, within = divmod(place, float(pair))
    half = float(pair) / 2
    straight = within * half / long if within <= long else half + (within - long) * half / (float(pair) - long)
    return before * float(pair) + straight


@lru_cache(maxsize=32)
def safe_swings(figures: tuple[Figure, ...]) -> tuple[int, ...]:
    """Straight, and every other swing on offer that brings none of these figures close to another of them."""
    return tuple(swing for swing in SWINGS if swing == STRAIGHT or _is_safe(figures, swing))


def _is_safe(figures: Sequence[Figure], swing: int) -> bool:
    # A compound beat has three quavers and no pair that could be uneven.
    if any(figure.compound for figure in figures):
        return False
    return all(_moved(figure, swing) < SAFE * _nearest(figure, figures) for figure in figures)


def _moved(figure: Figure, swing: int) -> Fraction:
    """The most, in beats, that swing moves any stroke of a figure, whichever bar of the level it stands in."""
    # A bar with semiquavers anywhere swings its semiquavers, so a figure without any may be moved either way.
    whole = figure.onsets if all(onset.denominator <= 2 for onset in figure.onsets) else ()
    in_quavers = [swing_shift(onset, Fraction(1), swing) for onset in whole]
    in_semiquavers = [swing_shift(onset, Fraction(1, 2), swing) for onset in figure.onsets]
    return max([*in_quavers, *in_semiquavers, Fraction(0)])


def _nearest(figure: Figure, figures: Sequence[Figure]) -> Fraction:
    """The distance in beats to the most alike figure with as many strokes; one beat where there is no such figure.

    The distance of two figures is that of the strokes that lie furthest apart, first with first and so on.
    """
    others = (other for other in figures if other != figure and len(other.onsets) == len(figure.onsets))
    return min((max(map(_apart, figure.onsets, other.onsets)) for other in others if other.onsets), default=Fraction(1))


def _apart(one: Fraction, other: Fraction) -> Fraction:
    return abs(one - other)
