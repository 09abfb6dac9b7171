"""MIDI files: exact ticks, channel 10 and General MIDI keys, read by two independent programs.

General MIDI 1 percussion keys run from 35 to 81 (MIDI Manufacturers Association).
"""

import io
from fractions import Fraction

import mido
import music21
import pytest

from audio.midi import TICKS, midi
from shared.bars import Meter
from shared.counting import parse_bar
from shared.figures import Figure
from shared.instruments import INSTRUMENTS
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage
from tests.trade.scores import EVERY_METER, crotchets, fitting, full_bars

GM1_PERCUSSION = {
    "kick": 36, "cross-stick": 37, "snare": 38, "ghost": 38, "closed-hat": 42, "foot-hat": 44, "open-hat": 46,
    "ride": 51, "crash": 49, "high-tom": 50, "mid-tom": 47, "floor-tom": 43,
}  # fmt: skip


def read(passage: Passage) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(midi(passage)))


def strokes(file: mido.MidiFile) -> list[tuple[int, mido.Message]]:
    """Every note-on with its tick."""
    now, found = 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "note_on" and message.velocity:
            found.append((now, message))
    return found


@pytest.mark.parametrize("meter", EVERY_METER, ids=str)
def test_ticks_are_exact(meter: Meter) -> None:
    """Each figure's onsets are whole ticks, exactly where they belong, in every meter it fits."""
    figures = fitting(meter)
    length = meter.beats * meter.crotchets_in_beat
    expected = [(bar * length + at) * TICKS for bar, figure in enumerate(figures) for at in crotchets(meter, figure)]
    assert [tick for tick, _ in strokes(read(full_bars(meter, figures)))] == expected


@pytest.mark.parametrize("count", ["1 e a (2) & 3 4 & a", "1 trip let 2 let (3) trip 4"])
def test_music21_reads_the_same_onsets(count: str) -> None:
    """A second reader finds the same places."""
    bar = parse_bar(count)
    score = music21.converter.parse(midi(arrange(bar, Setting(count_in=False))), format="midi")
    found = sorted({Fraction(note.offset).limit_denominator(24) for note in score.flatten().notes})
    assert found == [beat + at for beat, at in bar.onsets()]


def test_ticks_divide_into_every_grid() -> None:
    """A crotchet divides into 24 parts without a remainder."""
    assert TICKS % 24 == 0


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_everything_is_on_channel_ten(name: str) -> None:
    """Every message is on the percussion channel, every key one that General MIDI 1 has."""
    passage = arrange(parse_bar("1 e a 2 & 3 e & 4 a"), Setting(name, groove_bars=1, click=True))
    played = [message for _, message in strokes(read(passage))]
    assert {message.channel for message in played} == {9}
    assert all(35 <= message.note <= 81 for message in played)
    assert len(played) == len(passage.strokes)


@pytest.mark.parametrize(("name", "key"), GM1_PERCUSSION.items())
def test_keys_of_general_midi(name: str, key: int) -> None:
    """The instruments have their General MIDI 1 keys."""
    assert INSTRUMENTS[name].midi_key == key


@pytest.mark.parametrize("meter", EVERY_METER, ids=str)
def test_tempo_and_meter_are_written(meter: Meter) -> None:
    """The tempo is in crotchets, whatever the beat; the meter is the bar's; the track lasts whole bars."""
    figure = Figure((Fraction(0),), meter.compound)
    file = read(full_bars(meter, [figure]))
    meta = {message.type: message for message in file.tracks[0] if message.is_meta}
    assert f"{meta['time_signature'].numerator}/{meta['time_signature'].denominator}" == meter.name
    assert mido.tempo2bpm(meta["set_tempo"].tempo) == pytest.approx(90 * float(meter.crotchets_in_beat), abs=1e-3)
    assert sum(message.time for message in file.tracks[0]) == meter.beats * meter.crotchets_in_beat * TICKS


def test_swing_moves_ticks() -> None:
    """Swung quavers lie at two thirds of the beat, to the nearest tick, at 66.67 per cent."""
    bar = parse_bar("1 & 2 &")
    swung = strokes(read(arrange(bar, Setting(count_in=False, swing=200 / 3))))
    assert [tick for tick, _ in swung] == [0, 320, 480, 800]


def test_no_stroke_swallows_the_next() -> None:
    """In a roll of demisemiquavers each key is up before it goes down again."""
    file = read(arrange(parse_bar("1 ta e ta & ta a ta 2"), Setting(count_in=False)))
    down = set()
    for message in file.tracks[0]:
        if message.type == "note_on":
            assert message.note not in down
            down.add(message.note)
        elif message.type == "note_off":
            down.remove(message.note)
    assert not down
