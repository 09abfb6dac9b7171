"""Charts in files: valid MusicXML that music21 reads back exactly and verovio takes silently; MIDI exact by mido.

MusicXML 4.0, W3C Community Group; Standard MIDI File 1.0 and General MIDI 1, MIDI Manufacturers Association.
"""

import io
from fractions import Fraction

import mido
import music21
import pytest
import verovio
from lxml import etree

from audio.midi import TICKS, midi
from game.pieces import KINDS, chart_piece
from game.sessions.fills.heard import as_chart
from game.sessions.fills.known import example_fill
from shared.bars import METERS
from shared.charts import Chart
from shared.counting import parse_figure
from shared.figures import Figure
from shared.forms import FORMS, drawn
from shared.instruments import INSTRUMENTS
from shared.levels import find_level
from shared.orchestration import Setting
from tests.trade.test_files_musicxml import faults, read_onsets, schema

__all__ = ["schema"]

CHARTS = [
    (drawn(FORMS[name], level.meter, level.figures, 70, seed), Setting(tempo=70, groove=groove))
    for name, level, groove, seed in (
        ("eight bars", find_level("stage-2"), "straight", 1),
        ("twelve bars", find_level("stage-4"), "ride", 2),
        ("sixteen bars", find_level("stage-5"), "ghosted", 3),
        ("sixteen bars", find_level("stage-8"), "broad", 4),
    )
]

# The example of an empty shelf, in both kinds of beat, and one of which a beat was left out as it was played.
CHARTS += [
    (as_chart(fill, 3), Setting(tempo=64, groove="driving"))
    for fill in (
        example_fill(METERS["6/8"], [parse_figure("1 la li", True), parse_figure("1 li", True)]),
        example_fill(METERS["4/4"], [parse_figure("1 e a"), parse_figure("(1) &")]).with_figure(3, Figure(())),
    )
]


@pytest.mark.parametrize(("chart", "setting"), CHARTS)
def test_music_programs_read_a_chart(
    chart: Chart, setting: Setting, schema: etree.XMLSchema, capfd: pytest.CaptureFixture[str]
) -> None:
    """Valid by the schema, every onset read back, repeats unfolded as we play them, and no word from verovio."""
    text = KINDS[".musicxml"].made(chart_piece(chart, setting, "Mill pond")).decode()
    assert faults(schema, text) == []
    beat = chart.meter.crotchets_in_beat
    passage = chart.written(setting)
    wanted = [
        sorted({(s.beat - 1 + s.at) * beat for s in passage.strokes if s.bar == bar}) for bar in range(len(chart.bars))
    ]
    assert read_onsets(text) == wanted
    score = music21.converter.parse(text, format="musicxml")
    assert score.metadata.title == "Mill pond"
    unfolded = score.parts[0].expandRepeats().getElementsByClass(music21.stream.Measure)
    found = [
        sorted({Fraction(n.offset).limit_denominator(96) for n in measure.flatten().notes}) for measure in unfolded
    ]
    assert found == [wanted[bar] for bar in chart.heard]
    marks = [(mark.getContextByClass(music21.stream.Measure).number - 1, mark.value)
             for mark in score.recurse().getElementsByClass(music21.dynamics.Dynamic)]  # fmt: skip
    assert marks == list(chart.dynamics)
    verovio.enableLog(verovio.LOG_WARNING)
    engraver = verovio.toolkit()
    assert engraver.loadData(text)
    assert "<svg" in engraver.renderToSVG(1)
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize(("chart", "setting"), CHARTS)
def test_midi_is_exact(chart: Chart, setting: Setting) -> None:
    """Every stroke of every bar that is heard lies on its tick, on channel 10, with its drum's key; mido reads it."""
    passage = chart.arranged(setting)
    file = mido.MidiFile(file=io.BytesIO(midi(passage)))
    now, found = 0, set()
    for message in file.tracks[0]:
        now += message.time
        if message.type == "note_on":
            assert message.channel == 9
            found.add((now, message.note))
    ticks = int(TICKS * chart.meter.crotchets_in_beat)
    assert found == {(int(passage.position(s) * ticks), INSTRUMENTS[s.instrument].midi_key) for s in passage.strokes}


def test_a_chart_is_written_in_each_silent_kind() -> None:
    """MIDI, score, drawing, picture and page: each begins as its kind does (sound is mixed as for a bar)."""
    chart, setting = CHARTS[0]
    piece = chart_piece(chart, setting)
    for ending, kind in KINDS.items():
        assert ending == ".wav" or kind.owns(kind.made(piece)[:200]), ending
