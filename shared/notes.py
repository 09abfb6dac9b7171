"""One beat of one voice: heads, stems, flags, beams, dots, rests and the tuplet's number."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from shared.beaming import Beam, Group, beams, groups
from shared.engraved import INK, NOTE_MIDDLE, Block, Element, Glyph
from shared.marks import BEAM, BEAM_GAP, BRACKET, FLAG_REACH, FLAGS, MARKS, RESTS, STEM, STEM_JOINT
from shared.spacing import HEAD, STEM_UP, dot_place, flagged, rest_place
from shared.spelling import Spelling, Value

STEM_LENGTH = 3.5
HOOK = 1.0
"""The length of a partial beam."""

TUPLET_GAP = 0.5
BRACKET_DROP = 0.75
ACCENT_GAP = 0.45
ACCENT_ROOM = 1.4
CLEAR_OF_NUMBER = 0.35
SHORT_OF_NEXT = 0.9
"""How far a tuplet bracket stays clear of the next beat's first note."""

Place = Callable[[Fraction], float]
"""From a place in the beat (0 to 1) to the left edge of a note's column there."""


@dataclass(frozen=True)
class Head:
    """One note head: its height on the staff (y downward), its glyph, and whether it stands in brackets."""

    y: float
    mark: str = "noteheadBlack"
    ghost: bool = False


@dataclass(frozen=True)
class Chord:
    """The heads that share a stem."""

    heads: tuple[Head, ...]
    accent: bool = False

    @property
    def top(self) -> Head:
        """The uppermost head."""
        return min(self.heads, key=lambda head: head.y)

    @property
    def foot(self) -> Head:
        """The lowest head."""
        return max(self.heads, key=lambda head: head.y)


@dataclass(frozen=True)
class Voice:
    """One beat of one voice.

    ``chords`` has one entry for each note of the spelling.  ``rests`` is the height of its rests, or
    None where they are left out; ``lifted`` raises short rests, which on a five-line staff hang low.
    """

    spelling: Spelling
    chords: tuple[Chord, ...]
    up: bool = True
    rests: float | None = 0.0
    lifted: bool = False
    numbered: bool = True
    tone: str = INK


class VoiceEngraver:
    """Turns one beat of one voice into elements; ``place`` gives the column of each place in the beat."""

    def __init__(self, voice: Voice, place: Place) -> None:
        self.voice = voice
        self.place = place
        self.side = -1 if voice.up else 1
        self.groups = groups(voice.spelling)
        self.chords = dict(zip((note.at for note in voice.spelling.notes), voice.chords, strict=True))
        self.flagged = flagged(voice.spelling)

    def elements(self) -> Iterator[Element]:
        """Everything to paint, in no particular order."""
        for group in self.groups:
            yield from self._group(group)
        for value in self.voice.spelling.values:
            if value.rest:
                yield from self._rest(value)
        if self.voice.spelling.tuplet and self.voice.numbered:
            yield from self._tuplet(self.voice.spelling.tuplet[0])

    def _group(self, group: Group) -> Iterator[Element]:
        tip = self.tip(group)
        for note in group:
            yield from self._heads(note)
            yield self._stem(note, tip)
            if self.chords[note.at].accent:
                yield self._accent(note, tip)
        if group[0].at in self.flagged:
            yield self._flag(group[0], tip)
        elif group[0].beams:
            yield from (self._beam(group, beam, tip) for beam in beams(group))

    def tip(self, group: Group) -> float:
        """Where the stems of a group end."""
        reach = STEM_LENGTH + (BEAM + BEAM_GAP) * max(0, max(note.beams for note in group) - 2)
        if self._demisemiquaver_rest_under(group):
            reach += BEAM + BEAM_GAP
        heads = [self._far_head(note).y for note in group]
        return min(heads) - reach if self.voice.up else max(heads) + reach

    def _far_head(self, note: Value) -> Head:
        chord = self.chords[note.at]
        return chord.top if self.voice.up else chord.foot

    def _demisemiquaver_rest_under(self, group: Group) -> bool:
        inside = (value for value in self.voice.spelling.values if group[0].at < value.at < group[-1].at)
        return any(value.rest and value.letter == "t" for value in inside)

    def _heads(self, note: Value) -> Iterator[Element]:
        x = self.place(note.at)
        for head in self.chords[note.at].heads:
            inset = HEAD - MARKS[head.mark].right if self.voice.up else 0.0
            yield Glyph(x + inset, head.y, head.mark, self.voice.tone)
            if head.ghost:
                yield Glyph(x, head.y, "noteheadParenthesis", self.voice.tone)
        if note.dots:
            for y in {_dot_height(head.y) for head in self.chords[note.at].heads}:
                yield Glyph(x + dot_place(note, note.at in self.flagged), y, "augmentationDot", self.voice.tone)

    def _stem_left(self, note: Value) -> float:
        return self.place(note.at) + (STEM_UP if self.voice.up else 0.0)

    def _stem(self, note: Value, tip: float) -> Block:
        chord = self.chords[note.at]
        near = chord.foot if self.voice.up else chord.top
        start = near.y + self.side * STEM_JOINT[near.mark]
        return Block(self._stem_left(note), min(start, tip), STEM, abs(start - tip), self.voice.tone)

    def _flag(self, note: Value, tip: float) -> Glyph:
        name = FLAGS[note.letter] + ("Up" if self.voice.up else "Down")
        return Glyph(self._stem_left(note), tip + FLAG_REACH[name], name, self.voice.tone)

    def _beam(self, group: Group, beam: Beam, tip: float) -> Block:
        left = self._stem_left(group[beam.first])
        right = self._stem_left(group[beam.last]) + STEM
        if beam.hook > 0:
            right = left + HOOK
        elif beam.hook < 0:
            left = right - HOOK
        outer = tip - self.side * (beam.level - 1) * (BEAM + BEAM_GAP)
        return Block(left, outer if self.voice.up else outer - BEAM, right - left, BEAM, self.voice.tone)

    def _accent(self, note: Value, tip: float) -> Glyph:
        left = self.place(note.at) + NOTE_MIDDLE - MARKS["articAccentAbove"].width / 2
        return Glyph(left, tip - ACCENT_GAP, "articAccentAbove", self.voice.tone)

    def _rest(self, value: Value) -> Iterator[Element]:
        if self.voice.rests is None:
            return
        x = self.place(value.at)
        lift = -1.0 if self.voice.lifted and value.letter in "st" else 0.0
        yield Glyph(x + rest_place(value), self.voice.rests + lift, RESTS[value.letter], self.voice.tone)
        if value.dots:
            yield Glyph(x + dot_place(value, False), self.voice.rests - 0.5, "augmentationDot", self.voice.tone)

    def _tuplet(self, number: int) -> Iterator[Element]:
        mark = MARKS[f"tuplet{number}"]
        edge = self._outer_edge()
        baseline = edge - TUPLET_GAP if self.voice.up else edge + TUPLET_GAP - mark.top
        left, right = self._tuplet_ends()
        middle = (left + right) / 2
        yield Glyph(middle - (mark.left + mark.right) / 2, baseline, f"tuplet{number}", self.voice.tone)
        if not self._beamed_throughout():
            yield from self._bracket(left, right, baseline + mark.top / 2, mark.width / 2 + CLEAR_OF_NUMBER)

    def _outer_edge(self) -> float:
        tips = [self.tip(group) for group in self.groups] or [self.side * STEM_LENGTH]
        edge = min(tips) if self.voice.up else max(tips)
        return edge - ACCENT_ROOM if any(chord.accent for chord in self.voice.chords) else edge

    def _beamed_throughout(self) -> bool:
        values = self.voice.spelling.values
        return len(self.groups) == 1 and {values[0], values[-1]} <= set(self.groups[0])

    def _tuplet_ends(self) -> tuple[float, float]:
        if self._beamed_throughout():
            group = self.groups[0]
            return self._stem_left(group[0]), self._stem_left(group[-1]) + STEM
        return self.place(Fraction(0)), self.place(Fraction(1)) - SHORT_OF_NEXT

    def _bracket(self, left: float, right: float, y: float, gap: float) -> Iterator[Element]:
        middle = (left + right) / 2
        for start, end in ((left, middle - gap), (middle + gap, right)):
            yield Block(start, y - BRACKET / 2, end - start, BRACKET, self.voice.tone)
        top = y - BRACKET / 2 if self.voice.up else y + BRACKET / 2 - BRACKET_DROP
        for x in (left, right - BRACKET):
            yield Block(x, top, BRACKET, BRACKET_DROP, self.voice.tone)


def _dot_height(y: float) -> float:
    """A dot stands in a space: beside a head on a line it moves up."""
    return y - 0.5 if y == round(y) else y
