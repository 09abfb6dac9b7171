"""``drumlin hear``: a recording or a MIDI file of playing, read into figures."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from audio.recordings import RecordingRead, read_recording
from audio.takes import load_take
from game.cli.arguments import add_data_dir, add_json, add_level, number, print_json, whole
from game.cli.errors import DONE, say
from game.cli.outputs import checked_outputs
from game.data_folder import data_folder, own_levels
from game.pieces import Piece, write_piece
from game.start import MENDABLE
from game.wording import counted
from shared.bars import METERS, Bar, BarError, Meter
from shared.counting import parse_bar
from shared.figures import Figure
from shared.levels import find_level, vocabulary
from shared.orchestration import Setting, arrange
from shared.passages import check_tempo
from shared.reading import SLOWER, ReadBeat


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
    """Read the take, tell it, and write it where asked to."""
    if options.tempo is not None:
        check_tempo(options.tempo)
    written = parse_bar(options.count) if options.count is not None else None
    meter, figures = _asked(options, written)
    checked_outputs(options.write)
    # None is not 0: without the option a bar is counted in, and 0 says that nothing is.
    led_in = meter.beats if options.count_in is None else options.count_in
    heard = read_recording(load_take(options.take), figures, meter.beats, options.tempo, led_in)
    if options.json:
        print_json(described(heard, meter), indent=None)
    else:
        print("\n".join(told(heard, meter, written)))
    return _written(options.write, heard, meter) if options.write else 0


USUAL = ("semiquaver", "triplet", "compound quaver", "compound semiquaver")
"""The grids whose figures are looked for where no level says which: finer ones need a steadier hand to be told."""


def _asked(options: argparse.Namespace, written: Bar | None) -> tuple[Meter, tuple[Figure, ...]]:
    """The meter, and the figures that a beat may hold: the level's, else those of the usual grids; and the count's."""
    name = getattr(options, "level", None)
    level = find_level(name, own_levels(data_folder(options.data_dir))) if name else None
    meter = written.meter if written else METERS[level.meter.name] if level else METERS["4/4"]
    if level and written and level.meter.compound != meter.compound:
        raise BarError(f"the count is in {meter} and the level in {level.meter}; choose one of the same kind of beat")
    known = level.figures if level else tuple(figure for figure in vocabulary().figures if figure.grid.name in USUAL)
    known = tuple(figure for figure in known if figure.compound == meter.compound)
    return meter, tuple(dict.fromkeys((*known, *(written.figures if written else ()))))


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


def told(heard: RecordingRead, meter: Meter, written: Bar | None) -> Iterator[str]:
    """The reading, as lines for the reader."""
    reading = heard.reading
    bars = list(reading.bars(meter.beats))
    yield f"{counted(len(bars), 'bar')} of {meter}, {reading.tempo:.4g} {meter.beat_name} beats a minute"
    for which, bar in enumerate(bars, 1):
        yield f"Bar {which}: {' '.join(_word(place, beat) for place, beat in enumerate(bar, 1))}"
        for place, beat in enumerate(bar, 1):
            yield from (f"  {line}" for line in _remarks(place, beat, written))
    yield f"Strokes lie about {reading.spread * 1000:.0f} ms from their places."
    if heard.count_in.exact and abs(reading.offset) >= WORTH_A_WORD:
        side = "after" if reading.offset > 0 else "before"
        yield f"Altogether they come {abs(reading.offset) * 1000:.0f} ms {side} the beat, with the sound's own delay."
    if reading.verdict == SLOWER:
        yield "That is too uneven to tell these figures apart at this tempo: play it slower."


WORTH_A_WORD = 0.01
"""Nobody notices less, in seconds (Friberg and Sundberg 1995, J. Acoust. Soc. Am. 98)."""


def _word(place: int, beat: ReadBeat) -> str:
    return beat.figure.count_on(place) if beat.figure else f"{place}?"


def _remarks(place: int, beat: ReadBeat, written: Bar | None) -> Iterator[str]:
    """Remarks on one beat: that it is not sure, that it is another one than written, that it has strokes too many."""
    if beat.figure is None:
        ways = [(beat.likeliest, beat.certainty), (beat.rival, beat.rival_certainty)]
        either = " or ".join(f"{figure.count_on(place)} ({chance:.0%})" for figure, chance in ways if figure)
        yield f"beat {place} is not sure: {either}"
    elif written and beat.figure != written.figures[place - 1]:
        yield f"beat {place} was {beat.figure.count_on(place)}, written is {written.figures[place - 1].count_on(place)}"
    extra = sum(placed.extra for placed in beat.strokes)
    if beat.figure is not None and extra:
        yield f"beat {place} has {counted(extra, 'stroke')} more than that"


def _written(names: list[str], heard: RecordingRead, meter: Meter) -> int:
    """Write each bar that is known whole; exit code 1 where one is not."""
    bars = list(heard.reading.bars(meter.beats))
    code = DONE
    for which, beats in enumerate(bars, 1):
        figures = [beat.figure for beat in beats if beat.figure]
        # Never a guess in a file: what is read from it later would be taken for what was played.
        if len(figures) < len(beats):
            unsure = next(place for place, beat in enumerate(beats, 1) if beat.figure is None)
            say(f"bar {which} is not written: beat {unsure} is not sure; record it again")
            code = MENDABLE
            continue
        bar, setting = Bar(meter, tuple(figures)), Setting(tempo=heard.reading.tempo)
        paths = checked_outputs([_numbered(name, which, len(bars)) for name in names])
        write_piece(paths, Piece(bar, setting, arrange(bar, setting)))
    return code


def _numbered(name: str, number: int, bars: int) -> str:
    path = Path(name)
    return name if bars == 1 else str(path.with_name(f"{path.stem}-{number}{path.suffix}"))
