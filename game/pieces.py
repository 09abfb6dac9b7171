"""A bar as it leaves the program: as sound, MIDI, MusicXML or a picture, by a file's ending."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from shared.bars import Bar
from shared.notation.engraved import Layout
from shared.notation.kit_staff import lay_out_kit
from shared.notation.page import Dress, lay_out_whole
from shared.orchestration import Setting
from shared.passages import Passage
from shared.sticking import natural

PLAIN = "snare"
"""The orchestration that is written without a kit."""


@dataclass(frozen=True)
class Piece:
    """What is written: a bar, how it is played, its strokes; ``sounds`` is where hits of the drums are kept."""

    bar: Bar
    setting: Setting
    passage: Passage
    sounds: Path | None = None

    @property
    def layout(self) -> Layout:
        """Figures on one line where all is on the snare drum, else the kit's staff; the count-in is not written."""
        dress = Dress(hands=natural(self.bar, self.setting.lead))
        if self.setting.orchestration == PLAIN:
            return lay_out_whole(self.bar, dress)
        return lay_out_kit(self.passage, dress=dress)


@dataclass(frozen=True)
class Kind:
    """A kind of file: its name, a word and a few for players, and whether first bytes are of that kind.

    ``writer`` is the place of the function that writes it, ``writes`` the parts of a piece that it takes.
    """

    name: str
    word: str
    about: str
    owns: Callable[[bytes], bool]
    writer: str
    writes: Callable[[Piece], tuple[Any, ...]]

    def write(self, path: Path, piece: Piece) -> None:
        """Write a piece.  Raises ``FileError`` where it cannot be written."""
        # Each kind has a library of its own, and all of them together are slow to load.
        module, _, writer = self.writer.rpartition(".")
        getattr(import_module(module), writer)(path, *self.writes(piece))


def _sound(piece: Piece) -> tuple[Passage, Path | None]:
    return piece.passage, piece.sounds


def _passage(piece: Piece) -> tuple[Passage]:
    return (piece.passage,)


def _layout(piece: Piece) -> tuple[Layout]:
    return (piece.layout,)


KINDS = {
    ".wav": Kind(
        "WAV sound", "Sound", "WAV, for any player",
        lambda head: head[:4] == b"RIFF" and head[8:12] == b"WAVE", "audio.wav.write_passage", _sound,
    ),
    ".mid": Kind(
        "MIDI file", "MIDI", "for a sequencer",
        lambda head: head[:4] == b"MThd", "audio.midi.write_midi", _passage,
    ),
    ".musicxml": Kind(
        "MusicXML file", "Score", "MusicXML, for a notation program",
        lambda head: b"<score-partwise" in head, "shared.notation.musicxml.write_musicxml", _passage,
    ),
    ".svg": Kind(
        "SVG picture", "Drawing", "SVG, sharp at every size",
        lambda head: b"<svg" in head, "game.engraving.svg.write_svg", _layout,
    ),
    ".png": Kind(
        "PNG picture", "Picture", "PNG, for a page or a message",
        lambda head: head[:8] == b"\x89PNG\r\n\x1a\n", "game.engraving.png.write_png", _layout,
    ),
    ".pdf": Kind(
        "PDF page", "Page", "PDF, to print",
        lambda head: head[:5] == b"%PDF-", "game.engraving.pdf.write_pdf", _layout,
    ),
}  # fmt: skip
"""Every kind of file that is written, by its ending."""
