"""Writes a bar or a chart to a file, as sound, MIDI, MusicXML or a picture, by the file's ending."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shared.bars import Bar
from shared.files import write_together
from shared.orchestration import Setting
from shared.passages import Passage
from shared.sticking import natural

if TYPE_CHECKING:
    from shared.charts import Chart
    from shared.notation.engraved import Layout

PLAIN = "snare"
"""The orchestration that is written without a kit."""


@dataclass(frozen=True)
class Piece:
    """A piece to be written: a bar, how it is played, its strokes; ``sounds`` is where hits of the drums are kept.

    Where there is a ``chart`` of fills, it is written in place of the bar, which is only its first.  ``title`` stands
    over it in a notation program.
    """

    bar: Bar
    setting: Setting
    passage: Passage
    sounds: Path | None = None
    chart: "Chart | None" = None
    title: str = ""

    @property
    def layout(self) -> "Layout":
        """Figures on one line where all is on the snare drum, else the kit's staff; the count-in is not written."""
        # The engraver is slow to load, and a sound has no use for it.
        from shared.notation.chart_page import lay_out_chart, on_one_page
        from shared.notation.kit_staff import lay_out_kit
        from shared.notation.page import Dress, lay_out_whole

        if self.chart:
            return on_one_page(lay_out_chart(self.chart, self.setting))
        dress = Dress(hands=natural(self.bar, self.setting.lead))
        if self.setting.orchestration == PLAIN:
            return lay_out_whole(self.bar, dress)
        return lay_out_kit(self.passage, dress=dress)


def chart_piece(chart: "Chart", setting: Setting, title: str = "") -> Piece:
    """A chart of fills as it is heard and written in a setting."""
    return Piece(chart.bars[0], setting, chart.arranged(setting), chart=chart, title=title)


@dataclass(frozen=True)
class FileKind:
    """A kind of file: its name, a word and a few for players, and whether first bytes are of that kind.

    ``maker`` is the place of the function that makes one, ``parts`` gives the parts of a piece that it takes.
    """

    name: str
    word: str
    about: str
    owns: Callable[[bytes], bool]
    maker: str
    parts: Callable[[Piece], tuple[Any, ...]]

    def made(self, piece: Piece) -> bytes:
        """A piece as what a file of this kind holds."""
        # Each kind has a library of its own, and all of them together are slow to load.
        module, _, maker = self.maker.rpartition(".")
        found = getattr(import_module(module), maker)(*self.parts(piece))
        return found.encode() if isinstance(found, str) else bytes(found)


def write_piece(paths: Iterable[Path], piece: Piece) -> None:
    """Write a piece as files of the kinds that their endings say: all or none.  Raises ``FileError``."""
    write_together({path: KINDS[path.suffix.lower()].made(piece) for path in paths})


def _sound(piece: Piece) -> tuple[Passage, Path | None]:
    return piece.passage, piece.sounds


def _passage(piece: Piece) -> tuple[Passage]:
    return (piece.passage,)


def _score(piece: Piece) -> tuple[Any, ...]:
    if piece.chart is None:
        return piece.passage, None, piece.title
    from shared.notation.chart_page import signs_of  # the engraver again

    signs = tuple(signs_of(piece.chart, bar) for bar in range(len(piece.chart.bars)))
    return piece.chart.written(piece.setting), None, piece.title, signs


def _layout(piece: Piece) -> "tuple[Layout]":
    return (piece.layout,)


def _layouts(piece: Piece) -> "tuple[tuple[Layout]]":
    return ((piece.layout,),)


KINDS = {
    ".wav": FileKind(
        "WAV sound", "Sound", "WAV, for any player",
        lambda head: head[:4] == b"RIFF" and head[8:12] == b"WAVE", "audio.wav.passage_wav", _sound,
    ),
    ".mid": FileKind(
        "MIDI file", "MIDI", "for a sequencer",
        lambda head: head[:4] == b"MThd", "audio.midi.midi", _passage,
    ),
    ".musicxml": FileKind(
        "MusicXML file", "Score", "MusicXML, for a notation program",
        # Not at the very beginning: a declaration and a document type come before it.
        lambda head: b"<score-partwise" in head, "shared.notation.musicxml.musicxml", _score,
    ),
    ".svg": FileKind(
        "SVG picture", "Drawing", "SVG, sharp at every size",
        lambda head: b"<svg" in head, "game.engraving.svg.svg", _layout,
    ),
    ".png": FileKind(
        "PNG picture", "Picture", "PNG, for a page or a message",
        lambda head: head[:8] == b"\x89PNG\r\n\x1a\n", "game.engraving.png.png", _layout,
    ),
    ".pdf": FileKind(
        "PDF page", "Page", "PDF, to print",
        lambda head: head[:5] == b"%PDF-", "game.engraving.pdf.pdf", _layouts,
    ),
}  # fmt: skip
"""Every kind of file that is written, by its ending."""
