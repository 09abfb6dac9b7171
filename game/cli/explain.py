"""``drumlin explain``: a bar beat by beat, in words."""

import argparse
from collections.abc import Iterator
from typing import Any

from game.cli.arguments import add_json, add_left_handed, add_meter, add_tempo, lead, print_json
from shared.bars import Bar
from shared.counting import Words, as_shown, parse_bar, words_shown
from shared.figures import Figure
from shared.names import TERMS, note_names
from shared.passages import check_tempo
from shared.spelling import Spelling, spellings
from shared.sticking import natural
from shared.syllables import SYSTEMS


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    parser.add_argument("count", metavar="COUNT", nargs="+", help='the bar as it is counted, such as "1 e a 2 & (3) 4"')
    add_tempo(parser)
    add_left_handed(parser)
    add_meter(parser)
    parser.add_argument(
        "--names", choices=list(TERMS), help="the language of the note names (uk, with those of us beside them)"
    )
    parser.add_argument(
        "--counting", default="", metavar="WORDS",
        help='the words shown for e & a trip let la li ta, in this order, such as "e + e"',
    )  # fmt: skip
    add_json(parser, "the beats")
    parser.set_defaults(run=run, json=False)


def run(options: argparse.Namespace) -> int:
    """Print names, places, sticking, spellings and syllables of each beat."""
    check_tempo(options.tempo)
    bar = parse_bar(" ".join(options.count), options.meter)
    words = words_shown(options.counting)
    if options.json:
        print_json(described(bar, lead(options), options.names))
    else:
        print("\n".join(explained(bar, lead(options), options.tempo, options.names, words)))
    return 0


def described(bar: Bar, lead: str, terms: str | None = None) -> dict[str, Any]:
    """Names, places, sticking, spellings and syllables of each beat, as JSON holds them.

    ``terms`` are a further language of the note names.
    """
    hands = natural(bar, lead)
    beats = [_beat(place, figure, hands[place - 1], terms) for place, figure in enumerate(bar.figures, 1)]
    return {"meter": bar.meter.name, "beats": beats}


def _beat(place: int, figure: Figure, hands: tuple[str, ...], terms: str | None) -> dict[str, Any]:
    # UK and US always, as scripts rely on these two keys; a language that was asked for beside them, and none twice.
    ways, named = spellings(figure), dict.fromkeys(("uk", "us", *([terms] if terms else [])))
    return {
        "beat": place,
        "count": figure.count_on(place),
        "onsets": [str(onset) for onset in figure.onsets],
        "sticking": " ".join(hands),
        "spelling": ways[0].code,
        "spellings": [way.code for way in ways],
        **{name: note_names(ways[0], name) for name in named},
        **{system: SYSTEMS[system](figure) for system in ("takadimi", "kodaly", "french")},
    }


def explained(bar: Bar, lead: str, tempo: float, terms: str | None = None, words: Words = ()) -> Iterator[str]:
    """The same as lines for the reader.

    ``terms`` names the notes, UK and US ones without it; ``words`` are those shown for words of the count.
    """
    hand = "right" if lead == "R" else "left"
    yield as_shown(bar.count, words)
    yield f"{bar.meter}, {tempo:g} {bar.meter.beat_name} beats a minute, {hand} hand leading."
    for beat in range(1, bar.meter.beats + 1):
        yield ""
        yield from beat_explained(bar, beat, lead, tempo, terms, words)


def beat_explained(
    bar: Bar, beat: int, lead: str, tempo: float, terms: str | None = None, words: Words = ()
) -> Iterator[str]:
    """The lines of one beat of a bar, from 1; ``terms`` and ``words`` as for ``explained``."""
    told = described(bar, lead)["beats"][beat - 1]
    yield f"Beat {beat}: {as_shown(told['count'], words)}"
    yield from _words(told, bar.figures[beat - 1], 60 / tempo, terms)


def _words(beat: dict[str, Any], figure: Figure, beat_seconds: float, terms: str | None) -> Iterator[str]:
    usual, *others = spellings(figure)
    if figure.is_rest:
        yield "  strokes: none"
    else:
        seconds = ", ".join(f"{(beat['beat'] - 1 + onset) * beat_seconds:.3f}" for onset in figure.onsets)
        yield f"  strokes: at {', '.join(beat['onsets'])} of the beat"
        yield f"  seconds: {seconds} from the start of the bar"
        yield f"  sticking: {beat['sticking']}"
    yield f"  written: {_named(usual, terms or 'uk')}"
    if terms is None:
        yield f"  in US terms: {_named(usual, 'us')}"
    if others:
        yield f"  also written: {'; '.join(_named(way, terms or 'uk') for way in others)}"
    for system, title in (("takadimi", "Takadimi"), ("kodaly", "Kodály style"), ("french", "French time names")):
        if beat[system]:
            yield f"  {title}: {beat[system]}"


def _named(way: Spelling, terms: str) -> str:
    tuplet = f", as a {way.figure.grid.name}" if way.tuplet else ""
    return note_names(way, terms) + tuplet
