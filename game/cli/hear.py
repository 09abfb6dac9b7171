"""``drumlin hear``: a recording or a MIDI file of playing, read into figures."""

import argparse
from pathlib import Path
from typing import Any

from audio.recordings import RecordingRead, read_recording
from audio.takes import load_take
from game.cli.arguments import add_data_dir, add_json, add_level, number, print_json, whole
from game.cli.errors import DONE, say
from game.cli.outputs import checked_outputs
from game.data_folder import data_folder, own_levels
from game.pieces import Piece, write_piece
from game.sessions.playing.recorded import other_figures, readable, told
from game.start import MENDABLE
from shared.bars import Bar, Meter
from shared.counting import parse_bar
from shared.levels import Level, find_level
from shared.orchestration import Setting, arrange
from shared.passages import check_tempo
from shared.reading import ReadBeat


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    parser.add_argument("take", metavar="TAKE", help="a recording (.wav .flac .ogg .mp3) or a .mid file of playing")
    parser.add_argument("count", metavar="COUNT", nargs="?", help="the bar that was to be played, to hold it against")
    add_level(parser)
    add_data_dir(parser)
    parser.add_argument("--tempo", type=number, metavar="N", help="beats a minute, 20 to 400 (by the count-in)")
    parser.add_argument(
        "--count-in", type=whole, metavar="N", help="strokes or clicks that come before the first bar (a bar of them)"
    )
    parser.add_argument(
        "--write", action="append", default=[], metavar="FILE",
        help="write what was played, as .wav .mid .musicxml .svg .png .pdf; of several bars FILE-1, FILE-2 …",
    )  # fmt: skip
    add_json(parser, "the bars")
    parser.set_defaults(run=run, json=False)


def run(options: argparse.Namespace) -> int:
    """Read the take, print its bars, and write them to files where asked to."""
    if options.tempo is not None:
        check_tempo(options.tempo)
    written = parse_bar(options.count) if options.count is not None else None
    level = _level(options)
    meter, figures = readable(level, written)
    # Before the recording is read, which takes a while: a wrong place is told at once.
    checked_outputs(options.write)
    # None is not 0: without the option a bar is counted in, and 0 says that nothing is.
    led_in = meter.beats if options.count_in is None else options.count_in
    others = other_figures(figures)
    heard = read_recording(load_take(options.take), figures, meter.beats, options.tempo, led_in, others)
    if options.json:
        print_json(described(heard, meter), indent=None)
    else:
        shown = level.shown if level else ()
        print("\n".join(told(heard.reading, heard.count_in.exact, meter, written, shown, others)))
    return _written(options.write, heard, meter) if options.write else 0


def _level(options: argparse.Namespace) -> Level | None:
    """The level whose figures a beat may hold; None where none was named."""
    name = getattr(options, "level", None)
    return find_level(name, own_levels(data_folder(options.data_dir))) if name else None


def described(heard: RecordingRead, meter: Meter) -> dict[str, Any]:
    """The reading, as JSON holds it: times in seconds, ``count`` null where it is not sure."""
    reading = heard.reading
    return {
        "tempo": round(reading.tempo, 4),
        "offset": _exactly(reading.offset),
        "spread": _exactly(reading.spread),
        "bars": [
            {"beats": [_beat(place, beat) for place, beat in enumerate(bar, 1)]} for bar in reading.bars(meter.beats)
        ],
    }


def _beat(place: int, beat: ReadBeat) -> dict[str, Any]:
    return {
        "beat": place,
        "count": beat.figure.count_on(place) if beat.figure else None,
        "certainty": round(beat.certainty, 6),
        "strokes": [
            {
                "at": None if placed.at is None else str(placed.at),
                "late": None if placed.late is None else _exactly(placed.late),
                "hand": placed.stroke.hand,
            }
            for placed in beat.strokes
        ],
    }


def _exactly(seconds: float) -> float:
    """To the hundredth of a millisecond: nothing is known more exactly."""
    # Plus 0.0, which turns -0.0 into 0.0: a minus before a zero would look like an early stroke.
    return round(seconds, 5) + 0.0


def _written(names: list[str], heard: RecordingRead, meter: Meter) -> int:
    """Write each bar that is known whole; exit code 1 where one is not."""
    bars = list(heard.reading.bars(meter.beats))
    code = DONE
    for which, beats in enumerate(bars, 1):
        figures = [beat.figure for beat in beats if beat.figure]
        # Never a guess in a file: whoever reads it later would take it for the figures that were played.
        if len(figures) < len(beats):
            unsure = next(place for place, beat in enumerate(beats, 1) if beat.figure is None)
            say(f"bar {which} is not written: beat {unsure} is not sure; record it again")
            code = MENDABLE
            continue
        bar, setting = Bar(meter, tuple(figures)), Setting(tempo=heard.reading.tempo)
        # Once more, for a numbered file is another one than that which was looked at before.
        paths = checked_outputs([_numbered(name, which, len(bars)) for name in names])
        write_piece(paths, Piece(bar, setting, arrange(bar, setting)))
    return code


def _numbered(name: str, number: int, bars: int) -> str:
    path = Path(name)
    return name if bars == 1 else str(path.with_name(f"{path.stem}-{number}{path.suffix}"))
