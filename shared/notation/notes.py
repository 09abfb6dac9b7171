"""Engraves one beat of one voice: heads, stems, flags, beams, dots, rests and the tuplet's number."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from shared.notation.beaming import Beam, Group, groups
from shared.notation.engraved import INK, NOTE_MIDDLE, Block, Element, Glyph
from shared.notation.marks import (
    BEAM,
    BEAM_GAP,
    BRACKET,
    FLAG_REACH,
    FLAGS,
    LEDGER,
    LEDGER_REACH,
    MARKS,
    RESTS,
    STEM,
    STEM_JOINT,
)
from shared.notation.spacing import HEAD, STEM_UP, Ink, dot_place, ink, rest_place
from shared.spelling import Spelling, Value

STEM_LENGTH = 3.5
"""An octave: the usual length of a stem (E. Gould, Behind Bars, 2011)."""

OUTER_LINE = 2.0
"""The height of the outer lines of a five-line staff."""

HOOK = 1.0
"""The length of a partial beam."""

TUPLET_GAP, ACCENT_GAP = 0.5, 0.45
"""From the outer edge of stems and beams to a tuplet's number, and to an accent."""

ACCENT_ROOM = 1.4
"""How much further out a tuplet's number stands where there are accents."""

BRACKET_DROP, CLEAR_OF_NUMBER = 0.75, 0.35
"""The length of a bracket's ends, and the space between bracket and number."""

Column = Callable[[float], float]
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

    @cached_property
    def top(self) -> Head:
        """The uppermost head."""
        return min(self.heads, key=lambda head: head.y)

    @cached_property
    def foot(self) -> Head:
        """The lowest head."""
        return max(self.heads, key=lambda head: head.y)


@dataclass(frozen=True)
class BeatVoice:
    """One beat of one voice.

    ``chords`` has one entry for each note of the spelling.  ``rests`` is the height of its rests, or
    None where they are left out; ``lifted`` raises short rests, which on a one-line staff hang low.
    ``numbered`` shows the number of a tuplet.
    """

    spelling: Spelling
    chords: tuple[Chord, ...]
    up: bool = True
    rests: float | None = 0.0
    lifted: bool = False
    numbered: bool = True
    tone: str = INK

    @property
    def ink(self) -> tuple[Ink, ...]:
        """The columns of the notes and rests, timed from the start of the beat."""
        ghosts = any(head.ghost for chord in self.chords for head in chord.heads)
        return ink(self.spelling, self.up, ghosts)


class _Note(NamedTuple):
    value: Value
    chord: Chord
    x: float


class _Stems(NamedTuple):
    """A group with its notes in place and the height at which their stems end."""

    notes: tuple[_Note, ...]
    beams: tuple[Beam, ...]
    flagged: bool
    tip: float


class VoiceEngraver:
    """Turns one beat of one voice into elements; ``place`` gives the column of each place in the beat."""

    def __init__(self, voice: BeatVoice, place: Column) -> None:
        self.voice = voice
        self.tone = voice.tone
        self.place = place
        # -1 where stems go up, since y grows downward: outward from the heads is towards smaller y.
        self.side = -1 if voice.up else 1
        self.stem = STEM_UP if voice.up else 0.0
        chords = iter(voice.chords)
        self.groups = [self._placed(group, chords) for group in groups(voice.spelling)]

    def _placed(self, group: Group, chords: Iterator[Chord]) -> _Stems:
        notes = tuple(_Note(value, next(chords), self.place(value.start)) for value in group.notes)
        return _Stems(notes, group.beams, group.flagged, self._tip(notes, group.extra))

    def elements(self) -> Iterator[Element]:
        """Everything to paint, in no particular order."""
        for group in self.groups:
            yield from self._group(group)
        if self.voice.rests is not None:
            for value in self.voice.spelling.values:
                if value.rest:
                    yield from self._rest(value, self.voice.rests)
        if self.voice.spelling.tuplet and self.voice.numbered:
            yield from self._tuplet(self.voice.spelling.tuplet[0])

    def _group(self, group: _Stems) -> Iterator[Element]:
        for note in group.notes:
            yield from self._heads(note)
            yield self._stem(note, group.tip)
            if note.value.dots:
                yield from self._dots(note, group.flagged)
            if note.chord.accent:
                yield self._accent(note, group.tip)
        if group.flagged:
            yield self._flag(group.notes[0], group.tip)
        for beam in group.beams:
            yield self._beam(group, beam)

    def _tip(self, notes: tuple[_Note, ...], extra: int) -> float:
        """Where the stems of a group end."""
        # At one height for all, so that beams are level: a slant shows how a melody runs, and here is none.
        reach = STEM_LENGTH + (BEAM + BEAM_GAP) * extra
        if self.voice.up:
            return min(note.chord.top.y for note in notes) - reach
        return max(note.chord.foot.y for note in notes) + reach

    def _heads(self, note: _Note) -> Iterator[Element]:
        for head in note.chord.heads:
            # Upward stems stand at the right edge of a plain head: narrower heads move up to them.
            inset = HEAD - MARKS[head.mark].right if self.voice.up else 0.0
            yield Glyph(note.x + inset, head.y, head.mark, self.tone)
            for y in _ledgers(head.y):
                yield Block(note.x - LEDGER_REACH, y - LEDGER / 2, HEAD + 2 * LEDGER_REACH, LEDGER, self.tone)
            if head.ghost:
                yield Glyph(note.x, head.y, "noteheadParenthesis", self.tone)

    def _dots(self, note: _Note, flagged: bool) -> Iterator[Element]:
        ghost = any(head.ghost for head in note.chord.heads)
        x = note.x + dot_place(note.value, flagged and self.voice.up, ghost)
        for y in sorted({_dot_height(head.y) for head in note.chord.heads}):
            yield Glyph(x, y, "augmentationDot", self.tone)

    def _stem(self, note: _Note, tip: float) -> Block:
        near = note.chord.foot if self.voice.up else note.chord.top
        start = near.y + self.side * STEM_JOINT[near.mark]
        return Block(note.x + self.stem, min(start, tip), STEM, abs(start - tip), self.tone)

    def _flag(self, note: _Note, tip: float) -> Glyph:
        name = FLAGS[note.value.letter] + ("Up" if self.voice.up else "Down")
        return Glyph(note.x + self.stem, tip + FLAG_REACH[name], name, self.tone)

    def _beam(self, group: _Stems, beam: Beam) -> Block:
        left = group.notes[beam.first].x + self.stem
        right = group.notes[beam.last].x + self.stem + STEM
        if beam.hook > 0:
            right = left + HOOK
        elif beam.hook < 0:
            left = right - HOOK
        outer = group.tip - self.side * (beam.level - 1) * (BEAM + BEAM_GAP)
        return Block(left, outer if self.voice.up else outer - BEAM, right - left, BEAM, self.tone)

    def _accent(self, note: _Note, tip: float) -> Glyph:
        mark = MARKS["articAccentAbove"]
        left = note.x + NOTE_MIDDLE - mark.width / 2
        y = tip - ACCENT_GAP if self.voice.up else tip + ACCENT_GAP - mark.top
        return Glyph(left, y, "articAccentAbove", self.tone)

    def _rest(self, value: Value, height: float) -> Iterator[Element]:
        x = self.place(value.start)
        # The rests with two and three hooks reach two spaces down, where the count stands under a one-line staff.
        lift = 1.0 if self.voice.lifted and value.letter in "st" else 0.0
        yield Glyph(x + rest_place(value), height - lift, RESTS[value.letter], self.tone)
        if value.dots:
            yield Glyph(x + dot_place(value), height - 0.5, "augmentationDot", self.tone)

    def _tuplet(self, number: int) -> Iterator[Element]:
        mark = MARKS[f"tuplet{number}"]
        edge = self._outer_edge()
        baseline = edge - TUPLET_GAP if self.voice.up else edge + TUPLET_GAP - mark.top
        left, right = self._tuplet_ends()
        # The ink of the number in the middle, not its origin.
        yield Glyph((left + right - mark.left - mark.right) / 2, baseline, f"tuplet{number}", self.tone)
        if not self._beamed_throughout:
            yield from self._bracket(left, right, baseline + mark.top / 2, mark.width / 2 + CLEAR_OF_NUMBER)

    def _outer_edge(self) -> float:
        tips = [group.tip for group in self.groups]
        edge = min(tips) if self.voice.up else max(tips)
        return edge + self.side * ACCENT_ROOM if any(chord.accent for chord in self.voice.chords) else edge

    @cached_property
    def _beamed_throughout(self) -> bool:
        values = self.voice.spelling.values
        return len(self.groups) == 1 and bool(self.groups[0].beams) and not (values[0].rest or values[-1].rest)

    def _tuplet_ends(self) -> tuple[float, float]:
        if self._beamed_throughout:
            notes = self.groups[0].notes
            return notes[0].x + self.stem, notes[-1].x + self.stem + STEM
        # Over the notes and rests alone: a bracket as long as the beat runs into that of the next beat.
        first, *_, last = self.voice.ink
        return self.place(0.0) + first[1], self.place(last[0]) + last[2]

    def _bracket(self, left: float, right: float, y: float, gap: float) -> Iterator[Element]:
        middle = (left + right) / 2
        for start, end in ((left, middle - gap), (middle + gap, right - BRACKET + STEM)):
            yield Block(start, y - BRACKET / 2, end - start, BRACKET, self.tone)
        top = y - BRACKET / 2 if self.voice.up else y + BRACKET / 2 - BRACKET_DROP
        for x in (left, right - BRACKET):
            yield Block(x, top, BRACKET, BRACKET_DROP, self.tone)


def _ledgers(y: float) -> Iterator[float]:
    """The lines beyond the five that a head needs."""
    line = OUTER_LINE + 1
    while line <= abs(y):
        yield line if y > 0 else -line
        line += 1


def _dot_height(y: float) -> float:
    """A dot stands in a space: beside a head on a line it moves up."""
    return y - 0.5 if y == round(y) else y
