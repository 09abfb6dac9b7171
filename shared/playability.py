"""Judges whether hands can play a fill at a tempo: cautions with reasons, never a refusal; and how hard it is.

The rules are common practice, no source; the figures are ours, chosen by hand before any fill was judged by them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from shared.fills import ACCENT, GHOST, Fill, FillPlace
from shared.instruments import INSTRUMENTS

PLACES = {
    "open-hat": (-1.0, 0.0),
    "closed-hat": (-1.0, 0.0),
    "crash": (-0.6, 1.2),
    "snare": (0.0, 0.0),
    "high-tom": (0.1, 1.0),
    "mid-tom": (0.9, 1.0),
    "floor-tom": (1.6, 0.0),
    "ride": (1.8, 1.0),
}
"""Where a right-hander's drums stand: to the right and away from the player, in steps of a tom's width."""

# For comparison: demisemiquavers at 107 beats a minute are 0.07 s apart, semiquavers at 100 are 0.15 s.
BOUNCE, DOUBLE = 0.07, 0.15
"""Seconds that one hand needs to the second stroke of a double on one drum, and between strokes of a longer row."""

REACH, STEP = 0.125, 0.06
"""Seconds that one hand needs from one drum to another next to it, and more for each further step."""

# Semiquavers at 88 beats a minute.
FOOT = 0.17
"""Seconds that one foot needs between strokes."""

CROSSED_WITHIN = 0.35
"""Strokes of both hands that lie no further apart, in seconds, need both hands at their drums at once."""

CROSSED_BY = 1.0
"""Hands cross where the right one is more steps than this left of the other: on the hi-hat over the snare is usual."""

HANDS, FEET, ROW, WAY, CROSSING = "hands", "feet", "row", "way", "crossing"
"""The kinds of caution."""


@dataclass(frozen=True)
class Caution:
    """A passage of a fill that hands can hardly play.

    ``kind`` is one of the kinds above, ``beat`` its beat from 0, ``says`` the reason in a sentence.
    """

    kind: str
    beat: int
    says: str


@dataclass(frozen=True)
class _Struck:
    """A stroke of one hand: when in seconds, on which drum, and which stroke of the fill it is."""

    time: float
    hand: str
    drum: str
    one: FillPlace


def cautions(fill: Fill, tempo: float, lead: str = "R") -> tuple[Caution, ...]:
    """The cautions for a fill at a tempo (beats a minute) with a leading hand, in the order of time.

    Each kind is told once for a beat.
    """
    placed = fill.placed(lead)
    found: dict[tuple[str, int], Caution] = {}
    for caution in _all(fill, placed, 60 / tempo, lead):
        found.setdefault((caution.kind, caution.beat), caution)
    return tuple(sorted(found.values(), key=lambda one: one.beat))


def _all(fill: Fill, placed: tuple[FillPlace, ...], beat_seconds: float, lead: str) -> Iterator[Caution]:
    # Told in any order here; ``cautions`` sorts them by their beats.
    for one in placed:
        if len(one.stroke.by_hand) > 2:
            drums = _listed(one.stroke.by_hand)
            yield Caution(HANDS, one.beat, f"{_called(fill, one)}: {drums} at once, and there are two hands.")
    struck = [stroke for one in placed for stroke in _by_hands(one, beat_seconds)]
    for hand in "RL":
        yield from _one_hand(fill, [stroke for stroke in struck if stroke.hand == hand])
    yield from _crossings(fill, struck, lead)
    yield from _feet(fill, placed, beat_seconds)


def _by_hands(one: FillPlace, beat_seconds: float) -> Iterator[_Struck]:
    """The strokes of the hands at one moment; of three drums or more the first two."""
    time = (one.beat + float(one.at)) * beat_seconds
    for drum, hand in one.hands[:2]:
        yield _Struck(time, hand, drum, one)


def _one_hand(fill: Fill, strokes: list[_Struck]) -> Iterator[Caution]:
    row = 1
    for before, after in pairwise(strokes):
        gap = after.time - before.time
        if before.drum != after.drum:
            # On another drum a new row begins: the stick is lifted between them.
            row = 1
            if gap < needed(before.drum, after.drum):
                words = f"{_hand(after)} from the {_title(before.drum)} to the {_title(after.drum)}"
                yield Caution(WAY, after.one.beat, f"{_called(fill, after.one)}: {words} in {_seconds(gap)}.")
            continue
        # After such a pause the hand begins anew, and what was before tires it no more.
        row = row + 1 if gap < DOUBLE else 1
        # Two in a row can bounce, as in a double-stroke roll; the wrist must play a third.
        if gap < BOUNCE or row > 2:
            where, hand = _called(fill, after.one), _hand(after)
            told = f"{where}: two strokes of {hand}, {_seconds(gap)} apart."
            if row > 2:
                told = f"{where}: three strokes of {hand}, {_seconds(gap)} apart."
            yield Caution(ROW, after.one.beat, told)


def needed(start: str, end: str) -> float:
    """The least time, in seconds, in which one hand comes from one drum to another."""
    (x, y), (a, b) = PLACES[start], PLACES[end]
    return REACH + STEP * max(0.0, hypot(x - a, y - b) - 1)


def _crossings(fill: Fill, strokes: list[_Struck], lead: str) -> Iterator[Caution]:
    for before, after in pairwise(strokes):
        if before.hand == after.hand or after.time - before.time > CROSSED_WITHIN:
            continue
        right, left = (before, after) if before.hand == "R" else (after, before)
        # A left-hander's kit is the mirror image (common practice).
        side = 1 if lead == "R" else -1
        if (PLACES[right.drum][0] - PLACES[left.drum][0]) * side < -CROSSED_BY:
            words = f"the right hand on the {_title(right.drum)} while the left is on the {_title(left.drum)}"
            yield Caution(CROSSING, after.one.beat, f"{_called(fill, after.one)}: hands cross, {words}.")


def _feet(fill: Fill, placed: tuple[FillPlace, ...], beat_seconds: float) -> Iterator[Caution]:
    kicks = [one for one in placed if any(INSTRUMENTS[drum].foot for drum in one.stroke.drums)]
    for before, after in pairwise(kicks):
        gap = (after.beat - before.beat + float(after.at - before.at)) * beat_seconds
        if gap < FOOT:
            yield Caution(FEET, after.beat, f"{_called(fill, after)}: two strokes of the foot, {_seconds(gap)} apart.")


def _called(fill: Fill, one: FillPlace) -> str:
    bar, beat = divmod(one.beat, fill.meter.beats)
    found = fill.beats[one.beat]
    assert found is not None
    word = dict(found.figure.counted_places(beat + 1))[one.at]
    where = f"Beat {beat + 1}" if word == str(beat + 1) else f"Beat {beat + 1}, {word}"
    return f"Bar {bar + 1}, {where.lower()}" if fill.length > 1 else where


def _hand(stroke: _Struck) -> str:
    return "the right hand" if stroke.hand == "R" else "the left hand"


def _title(drum: str) -> str:
    return INSTRUMENTS[drum].title


def _listed(drums: tuple[str, ...]) -> str:
    return ", ".join(map(_title, drums))


def _seconds(gap: float) -> str:
    return f"{gap:.2f} s"


def difficulty(fill: Fill, tempo: float, lead: str = "R") -> int:
    """How hard a fill is at a tempo, from 1 to 10: our own reckoning.

    It adds up how many strokes there are a second, how often a drum changes, how many figures do not begin on their
    beat, how many different figures there are, and accents and ghost notes beside plain strokes.
    """
    placed = fill.placed(lead)
    played = [beat for beat in fill.beats if beat and beat.strokes]
    if not played:
        return 1
    seconds = len(fill.played) * 60 / tempo
    changes = sum(before.stroke.drums != after.stroke.drums for before, after in pairwise(placed))
    off_the_beat = sum(beat.figure.onsets[0] > 0 for beat in played)
    forces = {one.stroke.force for one in placed} & {ACCENT, GHOST}
    # Weights by judgement.  On the snare at 80 beats a minute a bar of quavers is at 1; semiquavers round the kit are
    # at 4 at 120 beats, at 6 at 160.
    weight = (
        0.45 * len(placed) / seconds
        + 0.5 * changes / seconds
        + 1.5 * off_the_beat / len(played)
        + 0.4 * (len({beat.figure for beat in played}) - 1)
        + 0.6 * len(forces)
    )
    # Within the scale, whatever the tempo.
    return max(1, min(10, round(weight)))
