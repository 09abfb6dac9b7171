"""``drumlin write``: a bar as sound, MIDI, MusicXML and pictures, by the files' endings."""

import argparse
from typing import Any

from game.cli.arguments import (
    add_data_dir,
    add_json,
    add_left_handed,
    add_meter,
    add_tempo,
    lead,
    number,
    print_json,
    whole,
)
from game.cli.outputs import checked_outputs
from game.data_folder import data_folder, kept_sounds
from game.pieces import PLAIN, Piece, write_piece
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke


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
    add_data_dir(parser)
    add_json(parser, "the strokes")
    parser.set_defaults(run=run, json=False)


def run(options: argparse.Namespace) -> int:
    """Check everything, then write each file."""
    # The count first, for it is what is most often mistyped; nothing is on the disk before all is known to be good.
    bar = parse_bar(options.count, options.meter)
    setting = setting_of(options)
    paths = checked_outputs(options.files)
    piece = Piece(bar, setting, arrange(bar, setting), kept_sounds(data_folder(options.data_dir)))
    write_piece(paths, piece)
    if options.json:
        print_json(described(piece.passage), indent=None)
    return 0


def setting_of(options: argparse.Namespace) -> Setting:
    """The setting in which the bar is played, by the options."""
    return Setting(
        orchestration=options.orchestration,
        tempo=options.tempo,
        groove_bars=options.groove_bars,
        count_in=options.count_in,
        seed=options.seed,
        lead=lead(options),
        swing=options.swing,
    )


def described(passage: Passage) -> dict[str, Any]:
    """Every stroke with its time, as JSON holds it."""
    return {
        "tempo": passage.tempo,
        "beat_seconds": passage.beat_seconds,
        "bars": passage.bars,
        "strokes": [_stroke(seconds, stroke) for seconds, stroke in passage.timed],
    }


def _stroke(seconds: float, stroke: Stroke) -> dict[str, Any]:
    return {
        "bar": stroke.bar,
        "beat": stroke.beat,
        # A fraction as text: a third of a beat has no exact number in JSON.
        "at": str(stroke.at),
        "seconds": seconds,
        "voice": stroke.instrument,
        "hand": stroke.hand,
        "velocity": stroke.velocity,
        "figure": stroke.figure,
    }
