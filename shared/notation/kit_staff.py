"""An arranged bar on the five-line staff of the kit: hands with stems up, feet with stems down.

Staff positions and heads: N. Weinberg, Guide to Standardized Drumset Notation, Percussive Arts
Society, 1998.  The feet's rests are left out wherever the hands show the time.
"""

from collections.abc import Iterator
from dataclasses import replace

from shared.bars import Meter
from shared.instruments import INSTRUMENTS, Instrument
from shared.notation.engraved import INK, Layout
from shared.notation.notes import BeatVoice, Chord, Head
from shared.notation.page import COUNT_SIZE, PLAIN, STICKING_SIZE, Dress, count_words, hand_words
from shared.notation.parts import KitBeat, Part, beats_of
from shared.notation.staves import FIVE_LINES, NO_SIGNS, Signs, StaffPlan, WordRow, lay_out
from shared.passages import Passage, Stroke

HANDS_OVER_FEET, FEET_UNDER_HANDS = -2.0, 2.0
"""Where the rests of a voice stand when both voices are written in a beat."""


def lay_out_kit(passage: Passage, dress: Dress = PLAIN, bar: int | None = None, signs: Signs = NO_SIGNS) -> Layout:
    """A bar (from 0) of a passage on the kit staff, that of the figures unless another is named.

    Count and sticking stand under the notes as ``dress`` asks; the hands are the passage's own.
    """
    return lay_out_beats(beats_of(passage, passage.figure_bar if bar is None else bar), passage.meter, dress, signs)


def lay_out_beats(beats: tuple[KitBeat, ...], meter: Meter, dress: Dress = PLAIN, signs: Signs = NO_SIGNS) -> Layout:
    """As ``lay_out_kit``, from the beats of a bar: for whoever lays the same bar out several times."""
    voices = ((place, voice) for place, beat in enumerate(beats) for voice in _voices(beat, dress))
    return lay_out(
        StaffPlan(
            lines=FIVE_LINES,
            beats=len(beats),
            voices=() if signs.like_before else tuple(voices),
            rows=tuple(_rows(beats, dress)),
            label=" ".join(beat.counted.count_on(place) for place, beat in enumerate(beats, 1)),
            opening=meter if dress.opening else None,
            least_beat=dress.least_beat,
            signs=signs,
            timed=dress.timed,
        )
    )


def _voices(beat: KitBeat, dress: Dress) -> Iterator[BeatVoice]:
    feet, hands = not beat.feet.figure.is_rest, not beat.hands.figure.is_rest
    upper = _voice(beat.hands, dress, up=True, rests=HANDS_OVER_FEET if feet else 0.0)
    yield upper
    if feet:
        lower = _voice(beat.feet, dress, up=False, rests=None if hands else FEET_UNDER_HANDS)
        # The hands' number says it for both voices.
        yield replace(lower, numbered=upper.spelling.tuplet is None)


def _voice(part: Part, dress: Dress, up: bool, rests: float | None) -> BeatVoice:
    spelling = dress.spelling(part.figure)
    return BeatVoice(spelling, tuple(_chord(chord) for chord in part.chords), up, rests)


def _chord(strokes: tuple[Stroke, ...]) -> Chord:
    # A dictionary, since snare and ghost note share a place: two equal heads are drawn once, in their order.
    heads = {_head(INSTRUMENTS[stroke.instrument]): None for stroke in strokes}
    return Chord(tuple(heads), any(stroke.accent for stroke in strokes))


def _head(instrument: Instrument) -> Head:
    mark = "noteheadBlack"
    if instrument.cross:
        mark = "noteheadCircleX" if instrument.open else "noteheadXBlack"
    # From half spaces up, counted from the bottom line, to whole spaces down, counted from the middle line.
    return Head(FIVE_LINES[-1] - instrument.line / 2, mark, instrument.ghost)


def _rows(beats: tuple[KitBeat, ...], dress: Dress) -> Iterator[WordRow]:
    if dress.count:
        counts = (count_words(dress.spelling(beat.counted), place, place + 1, INK) for place, beat in enumerate(beats))
        yield WordRow(sum(counts, ()), COUNT_SIZE)
    if dress.hands is not None:
        hands = (hand_words(beat.counted, place, beat.sticking, INK) for place, beat in enumerate(beats))
        yield WordRow(sum(hands, ()), STICKING_SIZE)
