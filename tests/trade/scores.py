"""Passages that hold every figure of the vocabulary, for other programs to read."""

from collections.abc import Iterable
from fractions import Fraction

from shared.bars import METERS, Bar, Meter
from shared.figures import Figure
from shared.levels import vocabulary
from shared.passages import Passage, Stroke
from shared.spelling import Spelling, spellings


def fitting(meter: Meter) -> list[Figure]:
    """The figures of the vocabulary that a meter can hold."""
    figures = (figure for row in vocabulary().grids.values() for figure in row)
    return [figure for figure in dict.fromkeys(figures) if figure.compound == meter.compound]


def full_bars(meter: Meter, figures: Iterable[Figure]) -> Passage:
    """A passage with a bar full of each figure, on the snare drum."""
    bars = [Bar(meter, (figure,) * meter.beats) for figure in figures]
    strokes = tuple(
        Stroke(place, beat + 1, at, "snare", 0.8, figure=True)
        for place, bar in enumerate(bars)
        for beat, at in bar.onsets()
    )
    return Passage(meter, 90, len(bars), 0, strokes)


def ways(figures: Iterable[Figure]) -> list[dict[Figure, Spelling]]:
    """Two ways to write all figures: as usual, and each as far from usual as it can be."""
    figures = list(figures)
    return [{figure: spellings(figure)[place] for figure in figures} for place in (0, -1)]


def crotchets(meter: Meter, figure: Figure) -> list[Fraction]:
    """Where the strokes of a bar full of a figure lie, in crotchets from the bar's start."""
    return [(beat + at) * meter.crotchets_in_beat for beat in range(meter.beats) for at in figure.onsets]


EVERY_METER = list(METERS.values())
