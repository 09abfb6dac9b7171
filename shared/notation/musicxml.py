"""A passage as MusicXML 4.0 (W3C Community Group): a kit part, hands and feet as two voices.

The count-in is left out, and so are swing and feel, for which there are no notes.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import lcm
from xml.etree import ElementTree
from xml.etree.ElementTree import Element, SubElement

from shared.figures import Figure
from shared.instruments import INSTRUMENTS, Instrument
from shared.notation.beaming import Group, groups
from shared.notation.parts import UNWRITTEN, Part, beats_of, written_bars
from shared.notation.staves import NO_SIGNS, Signs
from shared.passages import Passage, Stroke
from shared.spelling import Spelling, Value, spellings

DIVISIONS = lcm(8, 3)
"""Parts of a crotchet: demisemiquavers and triplets both come out whole."""

TYPES = {"q": "quarter", "e": "eighth", "s": "16th", "t": "32nd"}
BEAM_WORDS = {1: "forward hook", -1: "backward hook"}
LOW_REST = ("D", "4")
"""Where the rests of the feet stand; without a place, readers put them in the middle."""

HEADER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)


def musicxml(
    passage: Passage,
    spelled: Mapping[Figure, Spelling] | None = None,
    title: str = "",
    signs: Sequence[Signs] = (),
) -> str:
    """A passage as a MusicXML document.

    ``spelled`` says how to write figures not written as usual; ``signs`` are those of each written bar, for a chart:
    its repeats and dynamics.  Bars like the one before are written out, for programs to play.
    """
    score = Element("score-partwise", version="4.0")
    if title:
        SubElement(SubElement(score, "work"), "work-title").text = title
    _say(score, "identification", {"encoding": {"software": "Drumlin"}})
    _part_list(score, _instruments(passage))
    part = SubElement(score, "part", id="P1")
    for number, bar in enumerate(written_bars(passage), 1):
        measure = SubElement(part, "measure", number=str(number))
        if number == 1:
            _attributes(measure, passage)
            _tempo(measure, passage)
        own = signs[number - 1] if signs else NO_SIGNS
        if own.begins:
            _barline(measure, "left", "heavy-light", "forward")
        if own.dynamic:
            direction = SubElement(measure, "direction", placement="below")
            _say(SubElement(direction, "direction-type"), "dynamics", {own.dynamic: None})
        _measure(measure, passage, bar, spelled or {})
        if own.ends or own.final:
            _barline(measure, "right", "light-heavy", "backward" if own.ends else "")
    ElementTree.indent(score)
    return HEADER + ElementTree.tostring(score, encoding="unicode") + "\n"


def _say(parent: Element, name: str, content: object = None) -> Element:
    """Add an element that holds text, or elements given as a mapping."""
    element = SubElement(parent, name)
    if isinstance(content, Mapping):
        for child, inner in content.items():
            _say(element, child, inner)
    elif content is not None:
        element.text = str(content)
    return element


def _part_list(score: Element, instruments: list[Instrument]) -> None:
    part = SubElement(SubElement(score, "part-list"), "score-part", id="P1")
    _say(part, "part-name", "Drum kit")
    for instrument in instruments:
        _say(SubElement(part, "score-instrument", id=_id(instrument)), "instrument-name", instrument.title)
    for instrument in instruments:
        midi = SubElement(part, "midi-instrument", id=_id(instrument))
        _say(midi, "midi-channel", 10)
        # MusicXML counts MIDI keys from 1.
        _say(midi, "midi-unpitched", instrument.midi_key + 1)


def _instruments(passage: Passage) -> list[Instrument]:
    written = written_bars(passage)
    used = {stroke.instrument for stroke in passage.strokes if stroke.bar in written} - set(UNWRITTEN)
    return [instrument for name, instrument in INSTRUMENTS.items() if name in used]


def _id(instrument: Instrument) -> str:
    return f"P1-{instrument.name}"


def _attributes(measure: Element, passage: Passage) -> None:
    beats, unit = passage.meter.name.split("/")
    _say(
        measure,
        "attributes",
        {
            "divisions": DIVISIONS,
            "key": {"fifths": 0},
            "time": {"beats": beats, "beat-type": unit},
            "clef": {"sign": "percussion"},
            "staff-details": {"staff-lines": 5},
        },
    )


def _tempo(measure: Element, passage: Passage) -> None:
    direction = SubElement(measure, "direction", placement="above")
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    _say(metronome, "beat-unit", "quarter")
    if passage.meter.compound:
        _say(metronome, "beat-unit-dot")
    _say(metronome, "per-minute", f"{passage.tempo:g}")
    # The metronome mark counts beats as they are felt, the sound's tempo always crotchets (MusicXML 4.0).
    SubElement(direction, "sound", tempo=f"{passage.tempo * float(passage.meter.crotchets_in_beat):g}")


def _barline(measure: Element, side: str, style: str, repeat: str) -> None:
    barline = SubElement(measure, "barline", location=side)
    _say(barline, "bar-style", style)
    if repeat:
        SubElement(barline, "repeat", direction=repeat)


def _measure(measure: Element, passage: Passage, bar: int, spelled: Mapping[Figure, Spelling]) -> None:
    beats = beats_of(passage, bar)
    for voice, parts in ((1, [beat.hands for beat in beats]), (2, [beat.feet for beat in beats])):
        if voice == 2 and all(part.figure.is_rest for part in parts):
            return
        if voice == 2:
            whole = passage.meter.beats * passage.meter.crotchets_in_beat * DIVISIONS
            # The second voice is written after the first one, from the bar's start again.
            _say(measure, "backup", {"duration": whole})
        for place, part in enumerate(parts, 1):
            # What hands or feet play together is often no figure of the level; such a beat is written as usual.
            spelling = spelled.get(part.figure) or spellings(part.figure)[0]
            _XmlBeat(measure, voice, spelling, part, place, beats[place - 1].hands.figure.is_rest).write()


class _XmlBeat:
    """Writes one beat of one voice."""

    def __init__(self, measure: Element, voice: int, spelling: Spelling, part: Part, place: int, alone: bool) -> None:
        self.measure = measure
        self.voice = voice
        self.spelling = spelling
        self.chords = dict(zip(part.figure.onsets, part.chords, strict=True))
        self.words = dict(part.figure.counted_places(place))
        self.alone = alone

    def write(self) -> None:
        """Every note and rest of the beat, in order."""
        beams = dict(self._beams())
        for value in self.spelling.values:
            if value.rest:
                self._rest(value)
            else:
                for place, stroke in enumerate(self.chords[value.at]):
                    # A chord's beams and tuplet belong to its first note.
                    self._note(value, stroke, beams.get(value.at, ()) if not place else (), chord=place > 0)

    def _beams(self) -> Iterator[tuple[Fraction, list[str]]]:
        for group in groups(self.spelling):
            for place, note in enumerate(group.notes):
                yield note.at, _beam_words(group, place)

    def _rest(self, value: Value) -> None:
        shown = self.voice == 1 or self.alone
        # A rest that is not shown must still be there: readers reckon a voice's time by its durations.
        note = SubElement(self.measure, "note", {} if shown else {"print-object": "no"})
        rest = SubElement(note, "rest")
        if self.voice == 2:
            _say(rest, "display-step", LOW_REST[0])
            _say(rest, "display-octave", LOW_REST[1])
        self._length(note, value)
        self._notations(note, value, accent=False, shown=shown)

    def _note(self, value: Value, stroke: Stroke, beams: tuple[str, ...] | list[str], chord: bool) -> None:
        instrument = INSTRUMENTS[stroke.instrument]
        note = SubElement(self.measure, "note")
        if chord:
            SubElement(note, "chord")
        # Written as on a treble staff, whose bottom line is E4: two steps above C4.
        octaves, step = divmod(instrument.line + 2, 7)
        _say(note, "unpitched", {"display-step": "CDEFGAB"[step], "display-octave": 4 + octaves})
        self._length(note, value, instrument)
        _say(note, "stem", "up" if self.voice == 1 else "down")
        _notehead(note, instrument)
        for number, word in enumerate(beams, 1):
            SubElement(note, "beam", number=str(number)).text = word
        self._notations(note, value, stroke.accent, shown=not chord)
        if stroke.figure and value.at in self.words:
            _say(note, "lyric", {"text": self.words[value.at]})

    def _length(self, note: Element, value: Value, instrument: Instrument | None = None) -> None:
        """Duration, instrument, voice, type, dots and time modification, in the order the format asks."""
        actual, normal = self.spelling.tuplet or (1, 1)
        _say(note, "duration", value.crotchets * DIVISIONS * normal / actual)
        if instrument:
            SubElement(note, "instrument", id=_id(instrument))
        _say(note, "voice", self.voice)
        _say(note, "type", TYPES[value.letter])
        for _ in range(value.dots):
            SubElement(note, "dot")
        if self.spelling.tuplet:
            _say(note, "time-modification", {"actual-notes": actual, "normal-notes": normal})

    def _notations(self, note: Element, value: Value, accent: bool, shown: bool) -> None:
        ends = self._tuplet_ends(value) if shown else []
        if not ends and not accent:
            return
        notations = SubElement(note, "notations")
        for end in ends:
            bracket = {"bracket": self._bracket()} if end == "start" else {}
            SubElement(notations, "tuplet", {"type": end, "number": "1", **bracket})
        if accent:
            SubElement(SubElement(notations, "articulations"), "accent")

    def _tuplet_ends(self, value: Value) -> list[str]:
        if not self.spelling.tuplet:
            return []
        values = self.spelling.values
        return [end for end, at in (("start", values[0]), ("stop", values[-1])) if value == at]

    def _bracket(self) -> str:
        whole = groups(self.spelling)[0].notes
        return "no" if len(whole) > 1 and whole == self.spelling.values else "yes"


def _beam_words(group: Group, place: int) -> list[str]:
    """The act of each beam at a note (begin, continue, end, or a hook), outermost first."""
    words = []
    for beam in group.beams:
        if beam.hook and beam.first == place:
            words.append(BEAM_WORDS[beam.hook])
        elif beam.first <= place <= beam.last and not beam.hook:
            words.append("begin" if place == beam.first else "end" if place == beam.last else "continue")
    return words


def _notehead(note: Element, instrument: Instrument) -> None:
    if instrument.ghost:
        SubElement(note, "notehead", parentheses="yes").text = "normal"
    elif instrument.cross:
        _say(note, "notehead", "circle-x" if instrument.open else "x")
