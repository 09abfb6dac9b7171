"""Lays out voices and rows of words on a staff: from a ``StaffPlan`` to a ``Layout``."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from shared.bars import Meter
from shared.notation.engraved import NOTE_MIDDLE, Block, Element, Glyph, Layout, Span, Word
from shared.notation.marks import BAR_LINE, CAPITALS, CLEF_BARS, MARKS, STAFF_LINE, THICK_LINE, text_width
from shared.notation.notes import OUTER_LINE, BeatVoice, Column, VoiceEngraver
from shared.notation.spacing import CLEAR, NARROWEST_BEAT, Ink, beat_width, lettering

ONE_LINE = (0.0,)
FIVE_LINES = (-2.0, -1.0, 0.0, 1.0, 2.0)
"""The heights of a staff's lines, y downward."""

MARGIN = 0.9
"""From the edge of the staff, or of a beat, to the first note."""

TAIL = 1.0
"""From where the next beat's first note would begin to the end of the staff."""

CLEAR_OF_END = 0.6
"""The least space between the last ink and the end of the staff."""

CLEAR_OF_LINE = 0.25
"""From a number of the time signature to a lone line, which runs between the two."""

CLEF_AT, METER_AT, MUSIC_AT = 0.5, 2.9, 2.1
"""The clef's left edge, the time signature's, and the way from there to the first note."""

CLEF_ALONE = 0.6
"""From where a time signature would stand to the first note, where there is none."""

# Bravura's default between thin and thick line, which it calls thinThickBarlineSeparation (from memory).
SEPARATION, DOTS_AT = 0.4, (-0.5, 0.5)
"""Between the lines of a repeat sign, and the heights of its dots: the two middle spaces."""

SIGN = THICK_LINE + SEPARATION + BAR_LINE + SEPARATION + MARKS["repeatDot"].width
"""The width of a repeat sign."""

NUMBER_SIZE, NUMBER_AT = 1.7, -7.4
"""The type size of a bar's number and its baseline, above all but the tallest stems."""

OPENING_NUMBER_AT = -3.0
"""The baseline of a number over the clef that opens a line, where no notes are."""

DYNAMICS = {"p": "dynamicPiano", "mf": "dynamicMF", "f": "dynamicForte"}
"""The glyph of each dynamic."""

DYNAMIC_GAP = 0.5
"""From the lowest ink to the top of a dynamic."""

BELOW_STAFF, ROW_GAP = 0.8, 0.9
"""From the lowest ink to the first row of words, and from one row to the next."""

DESCENT = 0.24
"""How far letters reach below their baseline, as a part of their size."""


@dataclass(frozen=True)
class WordRow:
    """A row of words under the staff: (time in beats from the start of the bar, text, tone) each."""

    words: tuple[tuple[float, str, str], ...]
    size: float


@dataclass(frozen=True)
class Signs:
    """The signs at a bar of a longer piece, besides its notes.

    ``number`` is the bar's number as it is shown, ``alone`` the only one of its line; ``begins`` and ``ends`` a
    stretch that is repeated, ``final`` the last bar of all, ``dynamic`` one of ``DYNAMICS``; ``like_before`` has the
    sign for a bar like the one before it in place of notes.
    """

    number: str = ""
    alone: bool = False
    begins: bool = False
    ends: bool = False
    final: bool = False
    dynamic: str = ""
    like_before: bool = False


NO_SIGNS = Signs()


@dataclass(frozen=True)
class StaffPlan:
    """The plan of one staff: everything that is to be written on it.

    ``voices`` are (beat from 0, voice); ``opening`` the meter whose clef and time signature open the
    staff, or None, without the time signature where it is not ``timed``; ``closed`` asks for a bar line at
    the end; ``foot`` is the least height, y downward, at which words may begin; ``least_beat`` the least
    width of a beat; ``label`` says the music in words.
    """

    lines: tuple[float, ...]
    beats: int
    voices: tuple[tuple[int, BeatVoice], ...]
    rows: tuple[WordRow, ...]
    label: str
    opening: Meter | None = None
    closed: bool = True
    foot: float = 2.1
    least_beat: float = NARROWEST_BEAT
    signs: Signs = NO_SIGNS
    timed: bool = True


def lay_out(plan: StaffPlan) -> Layout:
    """The layout of a plan.  A pure function of it."""
    width = max(plan.least_beat, beat_width(_inks(plan)))
    start = _start(plan)
    origin = start + (SIGN + SEPARATION if plan.signs.begins else 0.0)
    end = origin + plan.beats * width + TAIL + _after(plan.signs)

    def column(time: float) -> float:
        return origin + time * width

    elements = [*_staff(plan, end), *_music(plan, column), *_signs(plan, start - MARGIN, origin, end)]
    glyphs = tuple(element for element in elements if isinstance(element, Glyph))
    blocks = tuple(element for element in elements if isinstance(element, Block))
    lowest = _lowest(glyphs, blocks)
    if plan.signs.dynamic:
        dynamic = _dynamic(plan.signs.dynamic, origin, lowest)
        glyphs += (dynamic,)
        lowest = dynamic.y + MARKS[dynamic.name].bottom
    words = tuple(_words(plan, column, lowest))
    top = min([*(glyph.y + MARKS[glyph.name].top for glyph in glyphs), *(block.y for block in blocks)])
    number = _number(plan, top)
    return Layout(
        width=end,
        top=min([top, *(word.y - CAPITALS * word.size for word in number)]),
        # Rows run downward, so the last word stands lowest.
        bottom=max([lowest, *(word.y + DESCENT * word.size for word in words[-1:])]),
        origin=origin,
        beat_width=width,
        lines=plan.lines,
        glyphs=glyphs,
        blocks=blocks,
        words=(*number, *words),
        beats=tuple(_span(origin - MARGIN, width, beat) for beat in range(plan.beats)),
        columns=tuple(sorted({column(beat + at) for beat, voice in plan.voices for at, _, _ in voice.ink})),
        label=plan.label,
    )


def _start(plan: StaffPlan) -> float:
    """Where the first note stands if no repeat sign comes before it."""
    if not plan.opening:
        return MARGIN
    return METER_AT + (_meter_width(plan.opening) + MUSIC_AT if plan.timed else CLEF_ALONE)


def _after(signs: Signs) -> float:
    """The width of what closes a bar besides a plain bar line."""
    if signs.ends:
        return SIGN
    return THICK_LINE + SEPARATION if signs.final else 0.0


def _signs(plan: StaffPlan, left: float, origin: float, end: float) -> Iterator[Element]:
    """The repeat signs at either end of a bar, and the sign for a bar like the one before."""
    height = 2 * _reach(plan)
    top = -height / 2
    if plan.signs.begins:
        thin = left + THICK_LINE + SEPARATION
        yield Block(left, top, THICK_LINE, height)
        yield Block(thin, top, BAR_LINE, height)
        yield from (Glyph(thin + BAR_LINE + SEPARATION, y, "repeatDot") for y in DOTS_AT)
    if plan.signs.ends:
        thin = end - THICK_LINE - SEPARATION - BAR_LINE
        yield Block(end - THICK_LINE, top, THICK_LINE, height)
        yield Block(thin, top, BAR_LINE, height)
        yield from (Glyph(thin - SEPARATION - MARKS["repeatDot"].width, y, "repeatDot") for y in DOTS_AT)
    elif plan.signs.final:
        yield Block(end - THICK_LINE, top, THICK_LINE, height)
        yield Block(end - THICK_LINE - SEPARATION - BAR_LINE, top, BAR_LINE, height)
    if plan.signs.like_before:
        last = end - _after(plan.signs) - TAIL
        yield Glyph((origin + last - MARKS["repeat1Bar"].width) / 2, 0.0, "repeat1Bar")


def _dynamic(name: str, origin: float, lowest: float) -> Glyph:
    mark = MARKS[DYNAMICS[name]]
    return Glyph(origin, max(lowest, OUTER_LINE) + DYNAMIC_GAP - mark.top, DYNAMICS[name])


def _number(plan: StaffPlan, top: float) -> tuple[Word, ...]:
    text = plan.signs.number
    if not text:
        return ()
    at = OPENING_NUMBER_AT if plan.signs.alone else min(NUMBER_AT, top - DYNAMIC_GAP)
    return (Word(text_width(text, NUMBER_SIZE) / 2, at, text, NUMBER_SIZE),)


def _lowest(glyphs: tuple[Glyph, ...], blocks: tuple[Block, ...]) -> float:
    feet = (glyph.y + MARKS[glyph.name].bottom for glyph in glyphs)
    return max([*feet, *(block.y + block.height for block in blocks)])


def _span(start: float, width: float, beat: int) -> Span:
    return Span(start + beat * width, start + (beat + 1) * width)


def _inks(plan: StaffPlan) -> Iterator[list[Ink]]:
    # The end of the staff counts as ink, so that the last column keeps clear of it.
    end = (float(plan.beats), TAIL + CLEAR - CLEAR_OF_END, TAIL)
    # Each voice by itself: hands and feet at one time share a column, and need no room beside each other.
    for up in (True, False):
        voices = [(beat, voice) for beat, voice in plan.voices if voice.up == up]
        yield [(beat + at, left, right) for beat, voice in voices for at, left, right in voice.ink] + [end]
    for row in plan.rows:
        yield [*lettering([(time, text) for time, text, _ in row.words], row.size), end]


def _music(plan: StaffPlan, column: Column) -> Iterator[Element]:
    for beat, voice in plan.voices:
        yield from VoiceEngraver(voice, _from_beat(beat, column)).elements()


def _from_beat(beat: int, column: Column) -> Column:
    return lambda at: column(beat + at)


def _words(plan: StaffPlan, column: Column, lowest: float) -> Iterator[Word]:
    # On one line nothing hangs low, so words keep one height and bars can stand side by side; on five a low head or a
    # foot's stem pushes them down.
    foot = max(plan.foot, lowest + BELOW_STAFF) if plan.lines == FIVE_LINES else plan.foot
    for row in plan.rows:
        baseline = foot + CAPITALS * row.size
        for time, text, tone in row.words:
            yield Word(column(time) + NOTE_MIDDLE, baseline, text, row.size, tone)
        foot = baseline + ROW_GAP


def _staff(plan: StaffPlan, end: float) -> Iterator[Element]:
    for y in plan.lines:
        # Up to the middle of the bar line: rounded to pixels, a line that ended with it could stick out beyond.
        yield Block(0.0, y - STAFF_LINE / 2, end - BAR_LINE / 2, STAFF_LINE)
    if plan.closed and not (plan.signs.ends or plan.signs.final):
        yield Block(end - BAR_LINE, -_reach(plan), BAR_LINE, 2 * _reach(plan))
    if plan.opening:
        yield from _opening(plan.opening, plan.timed, lone=plan.lines == ONE_LINE)


def _reach(plan: StaffPlan) -> float:
    """How far a bar line reaches above and below the middle line."""
    # No taller than a lone staff line it would be a dot.
    return max(1.0, plan.lines[-1] + STAFF_LINE / 2)


@lru_cache(maxsize=16)
def _opening(meter: Meter, timed: bool, lone: bool) -> tuple[Element, ...]:
    """Clef and time signature; on a ``lone`` line the two numbers stand clear of it."""
    clef = (Block(CLEF_AT + left, -1.0, width, 2.0) for left, width in CLEF_BARS)
    if not timed:
        return tuple(clef)
    return (*clef, *_time_signature(meter, STAFF_LINE / 2 + CLEAR_OF_LINE if lone else 0.0))


def _time_signature(meter: Meter, apart: float) -> Iterator[Glyph]:
    width = _meter_width(meter)
    upper, lower = meter.name.split("/")
    for number, y in ((upper, -1.0 - apart), (lower, 1.0 + apart)):
        x = METER_AT + (width - _digits_width(number)) / 2
        for digit in number:
            yield Glyph(x - MARKS[f"timeSig{digit}"].left, y, f"timeSig{digit}")
            x += _advance(digit)


@lru_cache(maxsize=16)
def _meter_width(meter: Meter) -> float:
    return max(_digits_width(number) for number in meter.name.split("/"))


def _digits_width(number: str) -> float:
    return sum(map(_advance, number[:-1])) + MARKS[f"timeSig{number[-1]}"].width


def _advance(digit: str) -> float:
    """From a digit's left edge to the next one's: as much air behind it as the font leaves before it."""
    mark = MARKS[f"timeSig{digit}"]
    return mark.right + mark.left
