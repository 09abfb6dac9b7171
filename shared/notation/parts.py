"""Parts a passage into two voices, hands and feet, beat by beat, as a staff and a score file show them."""

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from shared.figures import Figure
from shared.instruments import INSTRUMENTS
from shared.passages import Passage, Stroke

UNWRITTEN = ("click",)
"""Instruments that are heard but not written down."""


@dataclass(frozen=True)
class Part:
    """One beat of one voice: its figure, and for each onset the strokes that sound there."""

    figure: Figure
    chords: tuple[tuple[Stroke, ...], ...]


@dataclass(frozen=True)
class KitBeat:
    """One beat of a bar: hands, feet, and the figure that is counted there with its hands.

    ``sticking`` has an entry for each stroke of ``counted``; a stroke of the foot has an empty one.
    """

    hands: Part
    feet: Part
    counted: Figure
    sticking: tuple[str, ...]


def beats_of(passage: Passage, bar: int) -> tuple[KitBeat, ...]:
    """The beats of a bar (from 0) of a passage.  The click is left out."""
    strokes = [stroke for stroke in passage.strokes if stroke.bar == bar and stroke.instrument not in UNWRITTEN]
    by_beat = defaultdict(list)
    for stroke in strokes:
        by_beat[stroke.beat].append(stroke)
    return tuple(_beat(by_beat[beat], passage.meter.compound) for beat in range(1, passage.meter.beats + 1))


def written_bars(passage: Passage) -> tuple[int, ...]:
    """The bars of a passage that are written down: all but a count-in."""
    counted_in = {stroke.bar for stroke in passage.strokes if stroke.instrument == "sticks"}
    return tuple(bar for bar in range(passage.bars) if bar not in counted_in)


def _beat(strokes: list[Stroke], compound: bool) -> KitBeat:
    figure = [stroke for stroke in strokes if stroke.figure]
    # A bar of groove has no figures: its hands are counted in their place.
    counted = _part(figure or [stroke for stroke in strokes if not INSTRUMENTS[stroke.instrument].foot], compound)
    return KitBeat(
        hands=_part([stroke for stroke in strokes if not INSTRUMENTS[stroke.instrument].foot], compound),
        feet=_part([stroke for stroke in strokes if INSTRUMENTS[stroke.instrument].foot], compound),
        counted=counted.figure,
        # Both hands at once make one word, such as RL.
        sticking=tuple("".join(stroke.hand or "" for stroke in chord) for chord in counted.chords),
    )


@lru_cache(maxsize=512)
def _figure(onsets: tuple[Fraction, ...], compound: bool) -> Figure:
    """The figure of these onsets; made once, since a page has the same few on all its beats."""
    return Figure(onsets, compound)


def _part(strokes: list[Stroke], compound: bool) -> Part:
    chords: dict[Fraction, list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        chords[stroke.at].append(stroke)
    onsets = tuple(sorted(chords))
    return Part(_figure(onsets, compound), tuple(tuple(chords[onset]) for onset in onsets))
