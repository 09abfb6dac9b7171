"""A passage as a Standard MIDI File: General MIDI percussion on channel 10."""

import io

from mido import Message, MetaMessage, MidiFile, MidiTrack, bpm2tempo

from shared.instruments import INSTRUMENTS
from shared.passages import Passage, Stroke

TICKS = 480
"""Ticks in a crotchet; every place of every grid falls on a whole tick."""

STROKE_TICKS = TICKS // 16
"""How long a key stays down: half a demisemiquaver, so that no stroke of a roll swallows the next."""

CHANNEL = 9
"""Channel 10 of General MIDI, as ``mido`` counts it: from 0."""


def midi(passage: Passage) -> bytes:
    """A passage, count-in included, as the bytes of a MIDI file of one track.

    Swing and feel are kept to the nearest tick; without them every tick is exact.
    """
    file = MidiFile(type=0, ticks_per_beat=TICKS)
    file.tracks.append(_track(passage))
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def tick_of(passage: Passage, stroke: Stroke) -> int:
    """The tick of a stroke from the start of the passage."""
    beats = passage.position(stroke) + stroke.moved / passage.beat_seconds
    return max(0, round(beats * _beat_ticks(passage)))


def _beat_ticks(passage: Passage) -> int:
    return int(TICKS * passage.meter.crotchets_in_beat)


def _track(passage: Passage) -> MidiTrack:
    count, unit = (int(number) for number in passage.meter.name.split("/"))
    # MIDI counts tempo in crotchets, whatever the beat is.
    crotchets = float(passage.tempo * passage.meter.crotchets_in_beat)
    track = MidiTrack(
        [
            MetaMessage("track_name", name="Drum kit"),
            MetaMessage("time_signature", numerator=count, denominator=unit),
            MetaMessage("set_tempo", tempo=bpm2tempo(crotchets)),
        ]
    )
    now = 0
    # At one tick a key is let go before it is struck anew: else the end of the old stroke would end the new one.
    for tick, message in sorted(_messages(passage), key=lambda pair: (pair[0], pair[1].type == "note_on")):
        track.append(message.copy(time=tick - now))
        now = tick
    # At the end of the bars, not with the last stroke: a sequencer that loops the file must keep its length.
    end = passage.bars * passage.meter.beats * _beat_ticks(passage)
    track.append(MetaMessage("end_of_track", time=max(0, end - now)))
    return track


def _messages(passage: Passage) -> list[tuple[int, Message]]:
    messages = []
    for stroke in passage.strokes:
        tick, key = tick_of(passage, stroke), INSTRUMENTS[stroke.instrument].midi_key
        # A note-on of velocity 0 would be a note-off.
        velocity = max(1, min(127, round(stroke.velocity * 127)))
        messages.append((tick, Message("note_on", channel=CHANNEL, note=key, velocity=velocity)))
        messages.append((tick + STROKE_TICKS, Message("note_off", channel=CHANNEL, note=key)))
    return messages
