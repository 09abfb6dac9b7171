"""A fill that is being written: by figures, by its count, stroke by stroke on the stave, or by playing it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from shared.bars import Meter
from shared.counting import CountError, parse_beats
from shared.figures import Figure
from shared.fills import ACCENT, DRUMS, GHOST, MOST_BARS, PLAIN, Fill, FillBeat, FillError, FillStroke
from shared.sticking import OTHER
from shared.strokes import TakeStroke

BAR_SIGN = "|"
"""The sign between two bars of a count; no word of the count holds it."""

FORCE_TURNS = (PLAIN, ACCENT, GHOST)
"""The order in which a stroke's force is changed."""

ACCENTED_FROM = 0.85
"""A stroke that was played so hard, of 0 to 1, is read as an accent."""


@dataclass(frozen=True)
class Draft:
    """The fill, the count as it was typed, and the stroke at hand.

    ``fault`` says what is wrong with the typed count; the fill is then that of the last good one.  ``beat`` (from 0)
    and ``stroke`` (from 0 within the beat) are the place at hand.
    """

    fill: Fill
    text: str = ""
    fault: str = ""
    beat: int = 0
    stroke: int = 0

    @property
    def is_empty(self) -> bool:
        """Whether the fill has no stroke yet."""
        return not any(beat and beat.strokes for beat in self.fill.beats)

    @property
    def here(self) -> FillStroke | None:
        """The stroke at hand, None on a beat without one."""
        beat = self.fill.beats[self.beat]
        return beat.strokes[self.stroke] if beat and beat.strokes else None

    # The place at hand

    def at(self, beat: int, stroke: int = 0) -> "Draft":
        """At another place; of a beat with fewer strokes at the last."""
        beat = min(max(beat, 0), len(self.fill.beats) - 1)
        found = self.fill.beats[beat]
        return replace(self, beat=beat, stroke=min(stroke, max(0, len(found.strokes if found else ()) - 1)))

    def moved(self, by: int) -> "Draft":
        """At the next stroke (``by`` 1) or the one before (-1); a beat without strokes is a place too."""
        places = [
            (number, stroke)
            for number, beat in enumerate(self.fill.beats)
            for stroke in range(max(1, len(beat.strokes) if beat else 0))
        ]
        here = places.index((self.beat, self.stroke))
        return self.at(*places[min(max(here + by, 0), len(places) - 1)])

    # Beats

    def with_figure(self, figure: Figure | None) -> "Draft":
        """With a figure on the beat at hand, or the groove."""
        return self._with(self.fill.with_figure(self.beat, figure))

    def with_count(self, text: str) -> "Draft":
        """With a count as it was typed: a faulty one changes no beat; on a beat left out the groove goes on."""
        try:
            figures = _typed(text, self.fill.meter, self.fill.length)
        except CountError as error:
            return replace(self, text=text, fault=str(error))
        fill = self.fill
        for place, figure in enumerate(figures):
            if figure != fill.figures[place]:
                fill = fill.with_figure(place, figure)
        return replace(self, fill=fill, text=text, fault="").at(self.beat, self.stroke)

    def in_meter(self, meter: Meter) -> "Draft":
        """In another meter: beats whose figures fit keep their places."""
        kept = [beat if beat and beat.figure.compound == meter.compound else None for beat in self.fill.beats]
        size, old = meter.beats, self.fill.meter.beats
        beats: list[FillBeat | None] = []
        for bar in range(self.fill.length):
            beats += (kept[bar * old : (bar + 1) * old] + [None] * size)[:size]
        return self._with(replace(self.fill, meter=meter, beats=tuple(beats)))

    def with_length(self, bars: int) -> "Draft":
        """With one bar or two; of two bars the last stays, and a new one comes before it."""
        size, beats = self.fill.meter.beats, self.fill.beats
        if bars == self.fill.length:
            return self
        # The last bar is the one that leads into the next 1 of the groove: a fill grows, and shrinks, at its beginning.
        longer = (*[None] * size, *beats) if bars == MOST_BARS else beats[-size:]
        shifted = self.beat + size if bars == MOST_BARS else max(0, self.beat - size)
        return self._with(replace(self.fill, beats=longer)).at(shifted)

    def with_sticking(self, rule: str) -> "Draft":
        """With another rule for the hands."""
        return self._with(replace(self.fill, sticking=rule))

    def round_the_kit(self, way: str) -> "Draft":
        """By a way round the kit: see ``shared.fills.WAYS``."""
        return self._with(self.fill.round_the_kit(way))

    def becoming(self, fill: Fill) -> "Draft":
        """With another fill in its place."""
        return self._with(fill)

    # Strokes

    def higher(self, by: int) -> "Draft":
        """With the stroke at hand on the next drum up the staff (``by`` 1) or down (-1)."""
        return self._stroke(lambda one: one.on(DRUMS[min(max(DRUMS.index(one.drums[-1]) + by, 0), len(DRUMS) - 1)]))

    def beat_higher(self, by: int) -> "Draft":
        """With every stroke of the beat at hand on the drum next to that of the stroke at hand."""
        moved = self.higher(by)
        if moved.here is None:
            return self
        drum = moved.here.drums[-1]
        return self._with(moved.fill.with_beats({self.beat: moved.fill.on_drum(self.beat, drum)}))

    def harder(self) -> "Draft":
        """With the stroke at hand plain, accented, a ghost note (on the snare drum alone), in turn."""

        def turned(one: FillStroke) -> FillStroke:
            after = FORCE_TURNS[(FORCE_TURNS.index(one.force) + 1) % len(FORCE_TURNS)]
            return replace(one, force=PLAIN if after == GHOST and one.drums != ("snare",) else after)

        return self._stroke(turned)

    def other_hand(self, lead: str) -> "Draft":
        """With the stroke at hand by the other hand; one that was turned before goes back to the rule."""
        found = {(p.beat, p.at): p.hands for p in self.fill.placed(lead)}
        beat = self.fill.beats[self.beat]
        if beat is None or self.here is None:
            return self
        hands = found[self.beat, beat.figure.onsets[self.stroke]]
        # Two drums at once take both hands: there is no other one.
        chosen = OTHER[hands[0][1]] if len(hands) == 1 else None
        return self._stroke(lambda one: replace(one, hand=None if one.hand else chosen))

    def together(self, drum: str) -> "Draft":
        """With a drum struck at once with the stroke at hand, or no longer."""

        def changed(one: FillStroke) -> FillStroke:
            drums = tuple(other for other in one.drums if other != drum) if drum in one.drums else (*one.drums, drum)
            return one.on(*drums) if drums else one

        return self._stroke(changed)

    def left_out(self) -> "Draft":
        """Without the stroke at hand; on a beat without any, the groove goes on."""
        beat = self.fill.beats[self.beat]
        if beat is None or len(beat.strokes) < 2:
            return self.with_figure(None)
        onsets = beat.figure.onsets[: self.stroke] + beat.figure.onsets[self.stroke + 1 :]
        strokes = beat.strokes[: self.stroke] + beat.strokes[self.stroke + 1 :]
        return self._with(self.fill.with_beats({self.beat: FillBeat(Figure(onsets, beat.figure.compound), strokes)}))

    def as_played(
        self, figures: Sequence[Figure | None], strokes: Sequence[Sequence[tuple[Fraction, TakeStroke]]]
    ) -> "Draft":
        """With what was played: a figure for each beat, None where it is not sure, and the strokes at their places.

        A beat that is not sure stays as it is; one without a stroke goes on with the groove.  A stroke whose drum is
        known goes there; hard ones are accents, and a known hand is kept.
        """
        fill = self.fill
        for place, (figure, played) in enumerate(zip(figures, strokes, strict=True)):
            if figure is not None:
                fill = fill.with_figure(place, figure if figure.onsets else None)
                for at, stroke in played:
                    if at in figure.onsets:
                        number = figure.onsets.index(at)
                        beat = fill.beats[place]
                        assert beat is not None
                        fill = fill.with_stroke(place, number, _heard(beat.strokes[number], stroke))
        return self._with(fill)

    def _stroke(self, change: Callable[[FillStroke], FillStroke]) -> "Draft":
        here = self.here
        if here is None:
            return self
        try:
            return self._with(self.fill.with_stroke(self.beat, self.stroke, change(here)))
        except FillError:
            # A ghost note keeps to the snare drum: what would make it another thing leaves it as it is.
            return self

    def _with(self, fill: Fill) -> "Draft":
        """The draft with a fill that did not come from typing; the count follows it."""
        return replace(self, fill=fill, text=counted(fill), fault="").at(self.beat, self.stroke)


def _heard(present: FillStroke, played: TakeStroke) -> FillStroke:
    # Only pads tell their drum: of keys and a microphone what was written stays.
    drums = (played.drum,) if played.drum in DRUMS else present.drums
    return FillStroke(drums, ACCENT if played.velocity >= ACCENTED_FROM else PLAIN, played.hand)


def blank(meter: Meter, bars: int = 1) -> Draft:
    """A fill with nothing in it yet."""
    return Draft(Fill(meter, (None,) * (meter.beats * bars)))


def draft_of(fill: Fill) -> Draft:
    """A written fill, to be changed; the place at hand is its first stroke."""
    first = next((place for place, beat in enumerate(fill.beats) if beat and beat.strokes), 0)
    return Draft(fill, counted(fill)).at(first)


def counted(fill: Fill) -> str:
    """The count of a fill, to be typed on: its own beats, a stroke between bars; empty where nothing is played.

    A beat of the groove is left out, for brackets say that a beat is silent.
    """
    size = fill.meter.beats
    own = [beat.figure.count_on(place % size + 1) if beat else "" for place, beat in enumerate(fill.beats)]
    bars = [" ".join(filter(None, own[at : at + size])) for at in range(0, len(own), size)]
    return f" {BAR_SIGN} ".join(bars).strip() if fill.played else ""


def _typed(text: str, meter: Meter, bars: int) -> list[Figure | None]:
    """The beats of a count, None for those that are left out or still to come.  Raises ``CountError``."""
    parts = text.split(BAR_SIGN)
    if len(parts) > bars:
        place = text.rindex(BAR_SIGN) + 1
        raise CountError(f"a bar too many; the fill has {bars}", BAR_SIGN, place)
    found: list[Figure | None] = []
    before = 0
    for part in (*parts, *[""] * (bars - len(parts))):
        try:
            found += parse_beats(part, meter) if part.strip() else [None] * meter.beats
        except CountError as error:
            # Its place in the whole text, where it is looked for.
            raise CountError(error.reason, error.word, error.position and error.position + before) from None
        before += len(part) + len(BAR_SIGN)
    return found
