"""A bar as it leaves the program: as sound, MIDI, MusicXML or a picture, by a file's ending."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shared.bars import Bar
    from shared.notation.engraved import Layout
    from shared.orchestration import Setting
    from shared.passages import Passage

PLAIN = "snare"
"""The orchestration that is written without a kit."""


@dataclass(frozen=True)
class Piece:
    """What is written: a bar, how it is played, and its strokes."""

    bar: "Bar"
    setting: "Setting"
    passage: "Passage"


def _wav(path: Path, piece: Piece) -> None:
    from audio.kit import Bank
    from audio.mixdown import mix
    from audio.wav import write_wav

    write_wav(path, mix(piece.passage, Bank()))


def _midi(path: Path, piece: Piece) -> None:
    from audio.midi import write_midi

    write_midi(path, piece.passage)


def _musicxml(path: Path, piece: Piece) -> None:
    from shared.notation.musicxml import write_musicxml

    write_musicxml(path, piece.passage)


def _svg(path: Path, piece: Piece) -> None:
    from game.engraving.svg import write_svg

    write_svg(path, _layout(piece))


def _png(path: Path, piece: Piece) -> None:
    from game.engraving.png import write_png

    write_png(path, _layout(piece))


def _pdf(path: Path, piece: Piece) -> None:
    from game.engraving.pdf import write_pdf

    write_pdf(path, _layout(piece))


def _layout(piece: Piece) -> "Layout":
    """Figures on one line where all is on the snare drum, else the kit's staff; the count-in is not written."""
    from shared.notation.kit_staff import lay_out_kit
    from shared.notation.page import Dress, lay_out_whole
    from shared.sticking import natural

    dress = Dress(hands=natural(piece.bar, piece.setting.lead))
    if piece.setting.orchestration == PLAIN:
        return lay_out_whole(piece.bar, dress)
    return lay_out_kit(piece.passage, dress=dress)


WRITERS: dict[str, Callable[[Path, Piece], None]] = {
    ".wav": _wav,
    ".mid": _midi,
    ".musicxml": _musicxml,
    ".svg": _svg,
    ".png": _png,
    ".pdf": _pdf,
}
"""What writes each kind of file."""
