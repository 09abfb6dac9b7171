"""Takes as players play them, for tests: figures at random, strokes about their places."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from shared.charts import Chart
from shared.counting import parse_figure
from shared.figures import Figure
from shared.levels import vocabulary
from shared.strokes import Take, TakeStroke


def grids(*names: str) -> tuple[Figure, ...]:
    """Every figure of the vocabulary whose grid is one of these, in crotchet beats unless the name says otherwise."""
    return tuple(figure for figure in vocabulary().figures if figure.grid.name in names)


STAGE_4 = tuple(map(parse_figure, ("1", "1 &", "1 e & a", "1 e &", "1 & a", "1 e", "1 a", "1 e a")))
STAGE_5 = tuple(map(parse_figure, ("1", "1 &", "1 & a", "1 a", "1 e & a", "1 trip let", "1 let", "(1) trip let")))
SEMIQUAVERS = grids("semiquaver")
WITH_TRIPLETS = grids("semiquaver", "triplet")


@dataclass(frozen=True)
class Played:
    """A take and what was meant by it."""

    take: Take
    figures: tuple[Figure, ...]
    offset: float


def played(
    rng: np.random.Generator,
    figures: Sequence[Figure],
    tempo: float,
    beats: int,
    spread: float,
    offset_sd: float = 0.015,
    cued: int = 0,
) -> Played:
    """So many beats of figures at random, each stroke with a normal deviation, all late by one normal offset."""
    offset, beat = float(rng.normal(0, offset_sd)), 60 / tempo
    chosen = tuple(figures[k] for k in rng.integers(len(figures), size=beats))
    places = [Fraction(k) for k in range(-cued, 0)]
    places += [number + onset for number, figure in enumerate(chosen) for onset in figure.onsets]
    times = sorted(float(place) * beat + offset + rng.normal(0, spread) for place in places)
    return Played(tuple(TakeStroke(float(time)) for time in times), chosen, offset)


def chart_strokes(
    chart: Chart, otherwise: Mapping[tuple[int, int], Figure] | None = None, groove: bool = False
) -> Iterator[float]:
    """Where a player strikes who plays a chart along, in beats from its first bar, two cues before it.

    ``otherwise`` has another figure at some places (the number of a bar as it is heard, and a beat, both from 0);
    with ``groove`` quavers are played in the groove, else it is left alone.
    """
    quavers = Figure((Fraction(0), Fraction(1, 2)))
    yield from (-2.0, -1.0)
    for number, place in enumerate(chart.heard):
        fill = chart.fills[place]
        for beat in range(chart.meter.beats):
            written = (fill.figures[beat] if fill else None) or (quavers if groove else None)
            figure = (otherwise or {}).get((number, beat), written)
            yield from (number * chart.meter.beats + beat + float(at) for at in (figure.onsets if figure else ()))
