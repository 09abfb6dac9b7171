"""Fills for tests, from a count and a letter for each stroke."""

from shared.bars import Meter
from shared.counting import parse_bar
from shared.fills import ACCENT, GHOST, PLAIN, Fill, FillBeat, FillStroke

LETTERS = {
    "s": "snare", "h": "high-tom", "m": "mid-tom", "f": "floor-tom", "k": "kick", "c": "crash", "o": "open-hat",
}  # fmt: skip
"""A letter for each drum; a capital is an accent, g a ghost note, [ ] what is struck at once."""


def fill(count: str, drums: str, hands: str = "", sticking: str = "natural", meter: Meter | None = None) -> Fill:
    """A fill of one bar; drums and hands go round where there are more strokes than letters."""
    bar = parse_bar(count, meter)
    strokes = _strokes(drums.replace(" ", ""))
    beats, number = [], 0
    for figure in bar.figures:
        own = []
        for _ in figure.onsets:
            names, force = strokes[number % len(strokes)]
            own.append(FillStroke(names, force, hands[number % len(hands)] if hands else None))
            number += 1
        beats.append(FillBeat(figure, tuple(own)))
    return Fill(bar.meter, tuple(beats), sticking)


def _strokes(letters: str) -> list[tuple[tuple[str, ...], str]]:
    found: list[tuple[tuple[str, ...], str]] = []
    rest = letters
    while rest:
        if rest[0] == "[":
            group, rest = rest[1:].split("]", 1)
        else:
            group, rest = rest[0], rest[1:]
        if group == "g":
            found.append((("snare",), GHOST))
        else:
            found.append((tuple(LETTERS[one.lower()] for one in group), ACCENT if group[0].isupper() else PLAIN))
    return found
