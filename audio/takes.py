"""Reads takes from files: WAV, FLAC, OGG and MP3 as samples, MIDI as strokes on the file's own clock."""

import os
import struct
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audio.decoding import DecodeError, decoded
from audio.onsets import SILENCE
from audio.synthesis import RATE
from shared.errors import UserError
from shared.files import shown
from shared.instruments import INSTRUMENTS
from shared.strokes import LONGEST_TAKE, Take, TakeStroke

LARGEST_MIDI = 4_000_000
"""How many bytes of a MIDI file are read: far more than ten minutes of playing have."""

EXACT_LENGTH = ("FLAC", "OGG")
"""The kinds of sound file that tell how many samples they hold."""

HEAD_BYTES = 65_536
"""How many bytes at the beginning of a sound file tell its kind and length."""


class TakeError(UserError):
    """A file that holds no take; the message is one line: what, where, what would do."""


@dataclass(frozen=True)
class Recording:
    """A sound: one channel of float samples at 48 kHz, full scale 1."""

    samples: NDArray[np.float32]


def load_take(path: str | os.PathLike[str]) -> Recording | Take:
    """A file as a sound, or as strokes where it is a MIDI file.  Raises ``TakeError``."""
    place = Path(path)
    head, size = _head(place)
    # By what is in it, never by its ending: phones and messengers rename recordings at will.
    kind = next((kind for kind in KINDS if kind.owns(head)), None)
    if kind is None:
        raise TakeError(f"{shown(place)}: this is no WAV, FLAC, OGG, MP3 or MIDI file; save the take as one of them")
    if kind.seconds is None:
        return _midi(place, size)
    # Before it is decoded: an hour of MP3 is small, and would fill the memory as samples.
    seconds = _measured(kind, place, head, size)
    _refuse_long(place, seconds)
    return _recording(place, kind.name, seconds)


def _head(place: Path) -> tuple[bytes, int]:
    try:
        if "\0" in str(place) or not place.exists():
            raise TakeError(f"{shown(place)}: there is no such file; check the name")
        if not place.is_file():
            raise TakeError(f"{shown(place)}: this is no file; name a recording or a MIDI file")
        with place.open("rb") as file:
            head = file.read(HEAD_BYTES)
        size = place.stat().st_size
    except OSError as error:
        raise TakeError(f"{shown(place)}: {error.strerror or error}; choose another file") from error
    if not head:
        raise TakeError(f"{shown(place)}: the file is empty; record the take again")
    return head, size


def _refuse_long(place: Path, seconds: float) -> None:
    if seconds > LONGEST_TAKE:
        raise TakeError(
            f"{shown(place)}: this lasts {_minutes(seconds)}; a take may last {_minutes(LONGEST_TAKE)}, so cut it"
        )


def _minutes(seconds: float) -> str:
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def _measured(kind: "RecordingKind", place: Path, head: bytes, size: int) -> float:
    assert kind.seconds is not None
    try:
        return kind.seconds(head, size, place)
    except (struct.error, IndexError, ValueError, ZeroDivisionError, OSError) as error:
        raise _broken(place, kind.name) from error


def _broken(place: Path, kind: str) -> TakeError:
    return TakeError(f"{shown(place)}: this {kind} file is damaged and can't be read; save or record the take again")


def _recording(place: Path, kind: str, told: float) -> Recording:
    """Decode a sound that by its own account lasts ``told`` seconds."""
    try:
        samples = decoded(place)
    except DecodeError as error:
        raise _broken(place, kind) from error
    if not len(samples):
        raise TakeError(f"{shown(place)}: no sound is in it; record the take again")
    seconds = len(samples) / RATE
    _refuse_long(place, seconds)
    # At a damaged part the decoder stops without a word; a little less than was told may be padding.
    if kind in EXACT_LENGTH and seconds < 0.9 * told:
        raise TakeError(f"{shown(place)}: only {seconds:.1f} s of {told:.1f} can be read; save it as WAV")
    mono = samples.astype(np.float32).mean(1) / 32_768
    if float(np.abs(mono).max()) < SILENCE:
        raise TakeError(f"{shown(place)}: nothing came in, it is silent; check the microphone and record again")
    return Recording(mono)


def _wav_seconds(head: bytes, size: int, place: Path) -> float:  # noqa: ARG001
    """The file's size over the bytes a second of its format; a header that promises a longer sound is not believed."""
    at = head.index(b"fmt ", 12)
    # After the chunk's name and size, its format, channels and rate come the bytes a second.
    return size / _number(head, at + 16)


def _number(data: bytes, at: int) -> int:
    """The unsigned 32-bit number, little end first, at a place."""
    (found,) = struct.unpack_from("<I", data, at)
    return int(found)


def _flac_seconds(head: bytes, size: int, place: Path) -> float:  # noqa: ARG001
    """The samples over the rate, which the stream tells in 36 and 20 bits; without them, a guess by the size."""
    # The rate begins ten bytes into the first block, after "fLaC" and the block's own header of four bytes (RFC 9639).
    word = int.from_bytes(head[18:26], "big")
    rate, frames = word >> 44, word & (1 << 36) - 1
    # At fewer bytes a second than drums are usually packed to: a length that is not told is rather taken for too long.
    return frames / rate if frames else size / 20_000


def _ogg_seconds(head: bytes, size: int, place: Path) -> float:
    """The position that the last page tells, in samples, over the rate that the first page tells."""
    with place.open("rb") as file:
        file.seek(max(0, size - HEAD_BYTES))
        tail = file.read()
    (position,) = struct.unpack_from("<Q", tail, tail.rindex(b"OggS") + 6)
    if b"OpusHead" in head[:128]:
        return float(position) / 48_000
    at = head.index(b"\x01vorbis", 0, 256)
    return float(position) / _number(head, at + 12)


MP3_RATES = {
    1: (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    2: (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
"""Kilobits a second of layer III by the code in a frame's header, in MPEG 1 and MPEG 2 (ISO/IEC 11172-3, 13818-3)."""


def _mp3_seconds(head: bytes, size: int, place: Path) -> float:  # noqa: ARG001
    """The frames that the first one tells, each of a fixed length; where it tells none, size over bits a second."""
    start = 0
    if head[:3] == b"ID3":
        start = 10 + sum((byte & 127) << shift for byte, shift in zip(head[6:10], (21, 14, 7, 0), strict=True))
    at = next(k for k in range(start, len(head) - 4) if _is_mp3_frame(head[k : k + 3])) if start < len(head) else -1
    if at < 0:
        return size / 4_000  # the tag is longer than what was looked at
    version = 1 if head[at + 1] & 8 else 2
    rate = (44_100, 48_000, 32_000)[head[at + 2] >> 2 & 3] // version
    for mark in (b"Xing", b"Info"):
        found = head.find(mark, at, at + 64)
        if found > 0 and head[found + 7] & 1:
            return int.from_bytes(head[found + 8 : found + 12], "big") * (1152 // version) / rate
    return size / (MP3_RATES[version][head[at + 2] >> 4] * 125)


def _is_mp3_frame(head: bytes) -> bool:
    """The sync of eleven bits, layer III, and codes of rates that there are."""
    return (
        len(head) == 3 and head[0] == 255 and head[1] & 0xE6 == 0xE2 and 0 < head[2] >> 4 < 15 and head[2] >> 2 & 3 < 3
    )


@dataclass(frozen=True)
class RecordingKind:
    """A kind of file that can hold a take.

    ``owns`` tells it by a file's first bytes.  ``seconds`` works out the length from first bytes, size and path; it is
    None for MIDI, where only the notes tell it.
    """

    name: str
    owns: Callable[[bytes], bool]
    seconds: Callable[[bytes, int, Path], float] | None = None


KINDS = (
    RecordingKind("WAV", lambda head: head[:4] == b"RIFF" and head[8:12] == b"WAVE", _wav_seconds),
    RecordingKind("FLAC", lambda head: head[:4] == b"fLaC", _flac_seconds),
    RecordingKind("OGG", lambda head: head[:4] == b"OggS", _ogg_seconds),
    RecordingKind("MIDI", lambda head: head[:4] == b"MThd"),
    # The last, for its mark is the weakest: other files could begin like a frame by chance.
    RecordingKind("MP3", lambda head: head[:3] == b"ID3" or _is_mp3_frame(head[:3]), _mp3_seconds),
)
"""Every kind of file that is read."""


def _midi(place: Path, size: int) -> Take:
    """The note-ons of a MIDI file, at the times its tempi give."""
    if size > LARGEST_MIDI:
        raise TakeError(
            f"{shown(place)}: this MIDI file is too large for a take of ten minutes; cut out the part to read"
        )
    strokes = tuple(_note_ons(place))
    if not strokes:
        raise TakeError(f"{shown(place)}: nothing came in, the file has no notes; record the take again")
    _refuse_long(place, strokes[-1].seconds)
    return strokes


def _note_ons(place: Path) -> list[TakeStroke]:
    from mido import MidiFile

    # Of drums that share a key, such as snare and ghost note, the first of the table has the last word.
    drums = {row.midi_key: row.name for row in reversed(INSTRUMENTS.values())}
    try:
        file = MidiFile(place)
        if file.ticks_per_beat <= 0:
            raise TakeError(
                f"{shown(place)}: this MIDI file counts film frames (SMPTE time), not beats; save it in ticks a beat"
            )
        if file.type == 2:
            raise TakeError(f"{shown(place)}: this MIDI file holds songs apart (format 2); save one as format 0 or 1")
        now, strokes = 0.0, []
        for message in file:
            now += message.time
            if message.type == "note_on" and message.velocity > 0:
                strokes.append(TakeStroke(now, None, drums.get(message.note), message.velocity / 127))
    except TakeError:
        raise
    except Exception as error:
        # The library lets through whatever its parts raise: EOFError, OSError, ValueError, KeyError and others.
        raise _broken(place, "MIDI") from error
    return strokes
