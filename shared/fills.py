"""Fills: one or two bars over a groove, a figure on some beats, each stroke on a drum.

A beat without a figure of its own goes on with the groove.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Any

from shared.bars import METERS, Bar, Meter
from shared.counting import CountError, parse_figure
from shared.errors import UserError
from shared.figures import Figure
from shared.instruments import INSTRUMENTS
from shared.orchestration import ACCENTED, DOWN_THE_KIT, FIGURE, GHOSTED, Setting
from shared.passages import Stroke
from shared.sticking import OTHER, STICKINGS

DRUMS = ("kick", "floor-tom", "snare", "mid-tom", "high-tom", "ride", "closed-hat", "open-hat", "crash")
"""The drums that a stroke of a fill can be played on, from the bottom of the staff up."""

LEFT_TO_RIGHT = ("open-hat", "closed-hat", "crash", "snare", "high-tom", "mid-tom", "floor-tom", "ride")
"""How the drums of the hands stand before a right-hander (common practice)."""

GHOST, PLAIN, ACCENT = "ghost", "plain", "accent"
FORCES = {GHOST: GHOSTED, PLAIN: FIGURE, ACCENT: ACCENTED}
"""How hard a stroke is, and its velocity."""

MOST_BARS = 2
"""The most bars of a fill."""

WAYS = {"down the kit": DOWN_THE_KIT, "up the kit": DOWN_THE_KIT[::-1], "on the snare": ("snare",)}
"""Ways round the kit: a drum for each beat of the fill, the last one again where there are more beats."""


class FillError(UserError, ValueError):
    """Something that makes no fill."""


@dataclass(frozen=True)
class FillStroke:
    """A stroke of a fill.

    ``drums`` are all that is struck at once; ``force`` one of ``FORCES``.  ``hand`` is ``R`` or ``L`` where the player
    chose it, None where the fill's sticking says it.  Raises ``FillError`` for anything else.
    """

    drums: tuple[str, ...] = ("snare",)
    force: str = PLAIN
    hand: str | None = None

    def __post_init__(self) -> None:
        # In the order of the table, so that equal strokes compare equal however they were made.
        # Where none of the drums is known, they stay as they were, for the message to name them.
        object.__setattr__(self, "drums", tuple(drum for drum in DRUMS if drum in self.drums) or tuple(self.drums))
        if not self.drums or not set(self.drums) <= set(DRUMS):
            raise FillError(f"drums {', '.join(self.drums) or 'none'}: choose from {', '.join(DRUMS)}")
        if self.force not in FORCES:
            raise FillError(f"force {self.force!r}: choose from {', '.join(FORCES)}")
        if self.force == GHOST and self.drums != ("snare",):
            raise FillError(f"a ghost note on {', '.join(self.drums)}: ghost notes are played on the snare drum alone")
        if self.hand not in ("R", "L", None):
            raise FillError(f"hand {self.hand!r}: give R, L or None")

    @property
    def by_hand(self) -> tuple[str, ...]:
        """The drums that hands strike."""
        return tuple(drum for drum in self.drums if not INSTRUMENTS[drum].foot)

    def on(self, *drums: str) -> "FillStroke":
        """The same stroke on other drums; a ghost note that leaves the snare drum becomes a plain stroke."""
        return replace(self, drums=drums, force=PLAIN if self.force == GHOST and drums != ("snare",) else self.force)


@dataclass(frozen=True)
class FillBeat:
    """A beat of a fill: its figure, and a stroke for each of the figure's onsets."""

    figure: Figure
    strokes: tuple[FillStroke, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "strokes", tuple(self.strokes))
        if len(self.strokes) != len(self.figure.onsets):
            raise FillError(f"{self.figure} has {len(self.figure.onsets)} strokes; found {len(self.strokes)}")

    def __hash__(self) -> int:
        # Worked out once: variations of a fill share most of their beats, and are told apart by them.
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.figure, self.strokes))

    def with_figure(self, figure: Figure) -> "FillBeat":
        """Another figure on the same beat: strokes that stay keep their drums, new ones go where the beat begins."""
        kept = dict(zip(self.figure.onsets, self.strokes, strict=True))
        new = FillStroke(self.strokes[0].drums) if self.strokes else FillStroke()
        return FillBeat(figure, tuple(kept.get(at, new) for at in figure.onsets))


@dataclass(frozen=True)
class FillPlace:
    """A stroke of a fill at its place: beat from 0, exact place in it.

    ``hands`` has each drum that is struck by hand, with its hand.
    """

    beat: int
    at: Fraction
    stroke: FillStroke
    hands: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Fill:
    """One or two bars of a meter; ``beats`` has None where the groove goes on.

    ``sticking`` is the rule for strokes whose hand was not chosen: ``natural`` or ``alternating``.
    """

    meter: Meter
    beats: tuple[FillBeat | None, ...]
    sticking: str = "natural"

    def __post_init__(self) -> None:
        object.__setattr__(self, "beats", tuple(self.beats))
        # Whole bars: what fills half a bar has the groove on its other beats.
        if len(self.beats) not in [self.meter.beats * bars for bars in range(1, MOST_BARS + 1)]:
            raise FillError(f"{len(self.beats)} beats of {self.meter}: a fill has 1 or {MOST_BARS} bars")
        if self.sticking not in STICKINGS:
            raise FillError(f"sticking {self.sticking!r}: choose from {', '.join(STICKINGS)}")
        for number, beat in enumerate(self.beats, 1):
            if beat and beat.figure.compound != self.meter.compound:
                raise FillError(f"beat {number}: {beat.figure} is no figure of {self.meter}")

    @property
    def played(self) -> tuple[int, ...]:
        """The beats, from 0, that have a figure of their own."""
        return tuple(place for place, beat in enumerate(self.beats) if beat)

    @cached_property
    def figures(self) -> tuple[Figure | None, ...]:
        """The figure of each beat, None where the groove goes on."""
        return tuple(beat.figure if beat else None for beat in self.beats)

    @property
    def length(self) -> int:
        """How many bars it has."""
        return len(self.beats) // self.meter.beats

    @property
    def count(self) -> str:
        """The fill as it is counted, a stroke between bars; beats of the groove stand in brackets."""
        size = self.meter.beats
        counts = [
            beat.figure.count_on(place % size + 1) if beat else f"({place % size + 1})"
            for place, beat in enumerate(self.beats)
        ]
        return " | ".join(" ".join(counts[at : at + size]) for at in range(0, len(counts), size))

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The figures as bars, silent where the groove goes on."""
        silent = Figure((), self.meter.compound)
        figures = [figure or silent for figure in self.figures]
        size = self.meter.beats
        return tuple(Bar(self.meter, tuple(figures[at : at + size])) for at in range(0, len(figures), size))

    def bar(self, number: int) -> "Fill":
        """One bar (from 0) of the fill, as a fill of its own."""
        size = self.meter.beats
        return replace(self, beats=self.beats[number * size : (number + 1) * size])

    def with_beats(self, changes: Mapping[int, FillBeat | None]) -> "Fill":
        """The same fill with other beats (from 0)."""
        return replace(self, beats=tuple(changes.get(place, beat) for place, beat in enumerate(self.beats)))

    def with_figure(self, beat: int, figure: Figure | None) -> "Fill":
        """With another figure on a beat (from 0), or the groove on it."""
        if figure is None:
            return self.with_beats({beat: None})
        return self.with_beats(
            {beat: (self.beats[beat] or FillBeat(Figure((), figure.compound), ())).with_figure(figure)}
        )

    def with_stroke(self, beat: int, number: int, stroke: FillStroke) -> "Fill":
        """With another stroke in the place of one: ``number`` from 0 within its beat."""
        found = self.beats[beat]
        if found is None or not 0 <= number < len(found.strokes):
            raise FillError(f"beat {beat + 1} has no stroke {number + 1}")
        strokes = (*found.strokes[:number], stroke, *found.strokes[number + 1 :])
        return self.with_beats({beat: replace(found, strokes=strokes)})

    def round_the_kit(self, way: str) -> "Fill":
        """The fill by one of ``WAYS``: every beat on a drum of its own, forces kept."""
        drums = WAYS[way]
        beats = {}
        for number, place in enumerate(self.played):
            # Counted by the beats that are played: a gap of groove skips no drum.
            drum = drums[min(number, len(drums) - 1)]
            beats[place] = self.on_drum(place, drum)
        return self.with_beats(beats)

    def on_drum(self, beat: int, drum: str) -> FillBeat:
        """A beat (from 0) with all its strokes on one drum.  Raises ``FillError`` where the groove goes on."""
        found = self.beats[beat]
        if found is None:
            raise FillError(f"beat {beat + 1} has no figure")
        return replace(found, strokes=tuple(stroke.on(drum) for stroke in found.strokes))

    def placed(self, lead: str = "R") -> tuple[FillPlace, ...]:
        """Every stroke in the order of time, with its hand for a player who leads with ``lead``."""
        rule = _alternating if self.sticking == "alternating" else _natural
        ruled = rule(self.beats, lead)
        found = []
        for place, beat in enumerate(self.beats):
            for at, stroke in zip(beat.figure.onsets, beat.strokes, strict=True) if beat else ():
                # The natural rule has a hand for every stroke, a foot's too, the alternating rule one for each stroke
                # of a hand: it must be asked just as often as it answers.
                hand = next(ruled) if stroke.by_hand or self.sticking == "natural" else None
                found.append(FillPlace(place, at, stroke, _by_hands(stroke, stroke.hand or hand, lead)))
        return tuple(found)

    def strokes(self, setting: Setting) -> Iterator[Stroke]:
        """All that sounds, groove and fill, the first bar as bar 0; without swing and feel."""
        size = self.meter.beats
        for place, beat in enumerate(self.beats):
            if beat is None:
                number = place % size + 1
                for stroke in setting.played_groove.strokes(self.meter, setting.lead, range(number, number + 1)):
                    yield replace(stroke, bar=place // size)
        for one in self.placed(setting.lead):
            yield from _sounding(one, size)


def _natural(beats: Sequence[FillBeat | None], lead: str) -> Iterator[str]:
    """The hand of each stroke by the natural rule, which begins anew after beats of the groove."""
    place = 0
    for beat in beats:
        if beat is None:
            place = 0
            continue
        for slot in beat.figure.slots:
            # By the slot, whether or not the ones before it are struck: each place of the grid has its hand.
            yield lead if (place + slot) % 2 == 0 else OTHER[lead]
        place += beat.figure.grid.divisions


def _alternating(beats: Sequence[FillBeat | None], lead: str) -> Iterator[str]:
    """One hand after the other, stroke by stroke; a stroke of the foot alone takes no hand."""
    hand = lead
    for beat in beats:
        if beat is None:
            hand = lead
            continue
        for stroke in beat.strokes:
            if stroke.by_hand:
                yield hand
                hand = OTHER[hand]


def _by_hands(stroke: FillStroke, hand: str | None, lead: str) -> tuple[tuple[str, str], ...]:
    drums = stroke.by_hand
    if len(drums) < 2 or hand is None:
        return tuple((drum, hand or lead) for drum in drums)
    # Both hands at once: each takes what stands on its own side, and a left-hander's kit is the mirror image.
    side = OTHER[lead]
    first, *others = sorted(drums, key=LEFT_TO_RIGHT.index)
    # Of three drums two fall to one hand, which ``playability`` warns of.
    return (first, side), *((drum, OTHER[side]) for drum in others)


def _sounding(one: FillPlace, beats: int) -> Iterator[Stroke]:
    bar, beat = divmod(one.beat, beats)
    hands = dict(one.hands)
    for drum in one.stroke.drums:
        # A ghost note is a sound of its own, not a soft snare.
        name = "ghost" if one.stroke.force == GHOST else drum
        yield Stroke(bar, beat + 1, one.at, name, FORCES[one.stroke.force], hands.get(drum), figure=True)


def fill_of(bars: Iterable[Bar], beats: Iterable[int] | None = None, way: str = "on the snare") -> Fill:
    """A fill of some bars' figures, all beats or those named (from 0), by a way round the kit."""
    bars = tuple(bars)
    if not bars:
        raise FillError("a fill has 1 or 2 bars; found none")
    figures = [figure for bar in bars for figure in bar.figures]
    chosen = set(range(len(figures)) if beats is None else beats)
    plain = tuple(
        FillBeat(figure, (FillStroke(),) * len(figure.onsets)) if place in chosen else None
        for place, figure in enumerate(figures)
    )
    return Fill(bars[0].meter, plain).round_the_kit(way)


# What a records file or another machine holds


def as_values(fill: Fill) -> dict[str, Any]:
    """A fill as what JSON can hold."""
    return {
        "meter": fill.meter.name,
        "sticking": fill.sticking,
        "beats": [
            beat
            and {
                "figure": beat.figure.count,
                "strokes": [[list(stroke.drums), stroke.force, stroke.hand] for stroke in beat.strokes],
            }
            for beat in fill.beats
        ],
    }


def from_values(values: Any) -> Fill:
    """The fill that ``as_values`` gave.  Raises ``FillError`` for anything else, in one line."""
    try:
        meter = METERS[values["meter"]]
        return Fill(meter, tuple(beat and _beat(beat, meter) for beat in values["beats"]), values["sticking"])
    except FillError:
        raise
    except CountError as error:
        raise FillError(f"a fill that can't be read: {error}") from None
    # A file of another machine can hold any shape: whatever breaks while it is taken apart is the same mistake to its
    # reader.
    except (KeyError, TypeError, ValueError, AttributeError):
        raise FillError("a fill that can't be read: it needs meter, sticking and beats") from None


def _beat(values: Mapping[str, Any], meter: Meter) -> FillBeat:
    figure = parse_figure(values["figure"], meter.compound)
    return FillBeat(figure, tuple(FillStroke(tuple(drums), force, hand) for drums, force, hand in values["strokes"]))
