"""MusicXML: valid by the format's own schema, and read back by two independent programs.

Format: MusicXML 4.0, W3C Community Group; the schema comes with the PyPI package ``musicxml`` 1.6.3.
"""

import importlib.util
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import music21
import pytest
import verovio
from lxml import etree

from shared.bars import METERS, Meter
from shared.counting import parse_bar
from shared.instruments import INSTRUMENTS
from shared.notation.musicxml import musicxml
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from tests.sampling import some
from tests.trade.scores import EVERY_METER, crotchets, fitting, full_bars, ways

NAMESPACE = '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{}">{}</xs:schema>'
ATTRIBUTES = {
    "xml.xsd": ("http://www.w3.org/XML/1998/namespace", ("lang", "space")),
    "xlink.xsd": ("http://www.w3.org/1999/xlink", ("type", "href", "role", "title", "show", "actuate")),
}
"""The attributes that the schema takes from two others, which it would fetch from the network."""


class _Local(etree.Resolver):  # type: ignore[misc]
    def resolve(self, url: str, identity: str, context: object) -> object:  # noqa: ARG002
        name = url.rsplit("/", 1)[-1]
        if name not in ATTRIBUTES:
            return None
        space, attributes = ATTRIBUTES[name]
        body = "".join(f'<xs:attribute name="{attribute}"/>' for attribute in attributes)
        return self.resolve_string(NAMESPACE.format(space, body), context)


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    """The XSD of MusicXML 4.0, read without the network."""
    package = importlib.util.find_spec("musicxml")
    assert package is not None, "install the test extra: it brings the schema"
    assert package.submodule_search_locations is not None
    folder = Path(package.submodule_search_locations[0]) / "generate_classes"
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    return etree.XMLSchema(etree.parse(folder / "musicxml_4_0.xsd", parser))


def faults(schema: etree.XMLSchema, text: str) -> list[str]:
    """What the schema finds wrong."""
    schema.validate(etree.fromstring(text.encode()))
    return [str(fault) for fault in schema.error_log]


def read_onsets(text: str) -> list[list[Fraction]]:
    """The onsets of each measure, in crotchets, as music21 reads them."""
    score = music21.converter.parse(text, format="musicxml")
    return [
        sorted({Fraction(note.offset).limit_denominator(96) for note in measure.flatten().notes})
        for measure in score.parts[0].getElementsByClass(music21.stream.Measure)
    ]


@pytest.mark.parametrize(("meter", "way"), some(2, list(EVERY_METER), [0, 1]), ids=str)
def test_every_figure_in_every_meter(schema: etree.XMLSchema, meter: Meter, way: int) -> None:
    """Each figure fills a bar of each meter it fits, in two spellings: valid, and read back exactly."""
    figures = fitting(meter)
    text = musicxml(full_bars(meter, figures), ways(figures)[way])
    assert faults(schema, text) == []
    assert read_onsets(text) == [crotchets(meter, figure) for figure in figures]


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_every_orchestration(schema: etree.XMLSchema, name: str) -> None:
    """Each way round the kit, two voices and all, is valid and keeps its exact places."""
    passage = arrange(parse_bar("1 e a (2) & 3 trip let 4 & a"), Setting(name, groove_bars=1, seed=5))
    text = musicxml(passage, title="Ash & Rowan <1>")
    assert faults(schema, text) == []
    expected = [
        sorted({stroke.beat - 1 + stroke.at for stroke in passage.strokes if stroke.bar == bar}) for bar in (1, 2)
    ]
    assert read_onsets(text) == expected


@pytest.mark.parametrize("meter", [METERS["4/4"], METERS["12/8"]], ids=str)
def test_verovio_renders_without_a_warning(meter: Meter, capfd: pytest.CaptureFixture[str]) -> None:
    """An independent engraver takes every figure of the vocabulary without a word, and would say a word if it must."""
    figures = fitting(meter)
    verovio.enableLog(verovio.LOG_WARNING)
    engraver = verovio.toolkit()
    texts = [musicxml(full_bars(meter, figures), way) for way in ways(figures)]
    for text in texts:
        assert engraver.loadData(text)
        assert "<svg" in engraver.renderToSVG(1)
    assert capfd.readouterr().err == ""
    engraver.loadData(texts[0].replace("<type>16th</type>", "<type>sixteenth</type>"))
    assert "sixteenth" in capfd.readouterr().err


def test_keys_count_from_one() -> None:
    """``midi-unpitched`` is the General MIDI key plus one, on channel 10 (MusicXML 4.0)."""
    text = musicxml(arrange(parse_bar("1 e a 2"), Setting("kick-and-snare", seed=1)))
    score = ElementTree.fromstring(text)
    for row in score.iter("midi-instrument"):
        name = row.attrib["id"].removeprefix("P1-")
        assert row.findtext("midi-unpitched") == str(INSTRUMENTS[name].midi_key + 1)
        assert row.findtext("midi-channel") == "10"


def test_snare_and_bass_drum_stand_where_readers_put_them() -> None:
    """Snare on C5, bass drum on F4, hi-hat on G5 (Weinberg, 1998, by display pitch)."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar("1 & 2 &"), Setting("kick-and-snare", seed=1))))
    places = {
        (note.find("instrument").attrib["id"], note.findtext("unpitched/display-step"), octave)  # type: ignore[union-attr]
        for note in score.iter("note")
        if (octave := note.findtext("unpitched/display-octave"))
    }
    assert places == {("P1-snare", "C", "5"), ("P1-kick", "F", "4"), ("P1-closed-hat", "G", "5")}


def test_count_travels_as_lyrics() -> None:
    """The count stands under the notes in other programs too."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar("1 e a (2) &"), Setting())))
    assert [text.text for text in score.iter("text")] == ["1", "e", "a", "&"]


def test_tempo_is_in_crotchets() -> None:
    """A dotted-crotchet tempo is shown as such and sounds in crotchets: 60 of them are 90 (arithmetic)."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar("1 la li 2"), Setting(tempo=60))))
    assert score.find(".//beat-unit-dot") is not None
    assert score.findtext(".//per-minute") == "60"
    assert score.find(".//sound").attrib["tempo"] == "90"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("count", "beams"),
    [
        ("1 e a 2", [["begin", "forward hook"], ["continue"], ["end", "backward hook"]]),
        ("1 e 2", [["begin", "forward hook"], ["end"]]),
        ("1 & a 2", [["begin"], ["continue", "begin"], ["end", "end"]]),
        ("1 ta e ta & 2", [["begin"] * 3, ["continue"] * 3, ["continue"] * 3, ["continue", "end", "end"], ["end"]]),
    ],
)
def test_beams_tell_what_they_do(count: str, beams: list[list[str]]) -> None:
    """Outermost first: begin, continue, end, or a hook towards its neighbour (MusicXML 4.0, ``beam-value``)."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar(count), Setting(count_in=False))))
    found = [[beam.text for beam in note.iter("beam")] for note in score.iter("note")]
    assert [words for words in found if words] == beams


def test_tuplets_begin_and_end_once() -> None:
    """A tuplet starts at its first note or rest and stops at its last (MusicXML 4.0, ``tuplet``)."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar("(1) trip let 2 &"), Setting(count_in=False))))
    ends = [[mark.get("type") for mark in note.iter("tuplet")] for note in score.iter("note")]
    assert ends == [["start"], [], ["stop"], [], []]


def test_part_opens_as_percussion() -> None:
    """Percussion clef, five lines, no key, and the meter as written (MusicXML 4.0, ``attributes``)."""
    score = ElementTree.fromstring(musicxml(arrange(parse_bar("1 la li 2"), Setting())))
    opening = {name: score.findtext(f".//attributes/{name}") for name in ("clef/sign", "staff-details/staff-lines",
               "key/fifths", "time/beats", "time/beat-type")}  # fmt: skip
    assert list(opening.values()) == ["percussion", "5", "0", "6", "8"]


def test_title_is_the_work() -> None:
    """A title travels as the work's; without one the file claims no work."""
    passage = arrange(parse_bar("1 & 2"), Setting())
    titled, untitled = (ElementTree.fromstring(musicxml(passage, title=title)) for title in ("Ash & Rowan", ""))
    assert titled.findtext("work/work-title") == "Ash & Rowan"
    assert untitled.find("work") is None
