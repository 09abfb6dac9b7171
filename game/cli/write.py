"""``drumlin write``: a bar as sound, MIDI, MusicXML and pictures, by the files' endings."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from game.cli.arguments import add_json, add_left_handed, add_meter, add_tempo, lead, number, whole

if TYPE_CHECKING:
    from shared.bars import Bar
    from shared.engraved import Layout
    from shared.orchestration import Setting
    from shared.passages import Passage, Stroke


PLAIN = "snare"
"""The orchestration that is written without a kit."""


@dataclass(frozen=True)
class Piece:
    """What is written: a bar, how it is played, and its strokes."""

    bar: "Bar"
    setting: "Setting"
    passage: "Passage"


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    parser.add_argument("count", metavar="COUNT", help='the bar as it is counted, such as "1 e a 2 & (3) 4"')
    parser.add_argument("files", metavar="FILE", nargs="+", help="a file to write")
    add_tempo(parser)
    parser.add_argument("--orchestration", default=PLAIN, metavar="NAME", help="the way round the kit (snare)")
    parser.add_argument("--groove-bars", type=whole, default=0, metavar="N", help="bars of groove before it, 0 to 3")
    parser.add_argument(
        "--count-in", action=argparse.BooleanOptionalAction, default=True, help="a bar of sticks before it (yes)"
    )
    parser.add_argument("--swing", type=number, default=50.0, metavar="PERCENT", help="50 straight, to 75")
    parser.add_argument("--seed", type=whole, default=0, metavar="N", help="settles what is random (0)")
    add_left_handed(parser)
    add_meter(parser)
    add_json(parser, "the strokes")
    parser.set_defaults(run=run, json=False)


def run(options: argparse.Namespace) -> int:
    """Check everything, then write each file."""
    from game.cli.outputs import checked_outputs, ending_of
    from shared.counting import parse_bar
    from shared.orchestration import arrange

    bar = parse_bar(options.count, options.meter)
    setting = setting_of(options)
    paths = checked_outputs(options.files)
    piece = Piece(bar, setting, arrange(bar, setting))
    for path in paths:
        WRITERS[ending_of(path)](path, piece)
    if options.json:
        from json import dumps

        print(dumps(described(piece.passage)))
    return 0


def setting_of(options: argparse.Namespace) -> "Setting":
    """How the bar is to be played, by the options."""
    from shared.orchestration import Setting

    return Setting(
        orchestration=options.orchestration,
        tempo=options.tempo,
        groove_bars=options.groove_bars,
        count_in=options.count_in,
        seed=options.seed,
        lead=lead(options),
        swing=options.swing,
    )


def described(passage: "Passage") -> dict[str, Any]:
    """Every stroke with its time, as JSON holds it."""
    return {
        "tempo": passage.tempo,
        "beat_seconds": passage.beat_seconds,
        "bars": passage.bars,
        "strokes": [_stroke(seconds, stroke) for seconds, stroke in passage.timed],
    }


def _stroke(seconds: float, stroke: "Stroke") -> dict[str, Any]:
    return {
        "bar": stroke.bar,
        "beat": stroke.beat,
        "at": str(stroke.at),
        "seconds": seconds,
        "voice": stroke.instrument,
        "hand": stroke.hand,
        "velocity": stroke.velocity,
        "figure": stroke.figure,
    }


def _wav(path: Path, piece: Piece) -> None:
    from audio.kit import Bank
    from audio.mixdown import mix
    from audio.wav import write_wav

    write_wav(path, mix(piece.passage, Bank()))


def _midi(path: Path, piece: Piece) -> None:
    from audio.midi import write_midi

    write_midi(path, piece.passage)


def _musicxml(path: Path, piece: Piece) -> None:
    from shared.musicxml import write_musicxml

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
    from shared.kit_staff import lay_out_kit
    from shared.notation import Dress, lay_out_whole
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
