"""Which figures a fill may be made of: those that a player holds firmly, and one in work."""

from collections.abc import Sequence

from game.sessions.progress.standing import Standing
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.fills import Fill, fill_of
from shared.levels import Level

FEWEST = 2
"""Where fewer are firm or in work, others make up for it."""


def known_figures(level: Level, standing: Standing | None, now: float) -> tuple[Figure, ...]:
    """The firm figures of a level at a time (seconds since the epoch) and the least firm of those in work.

    Where these are too few, the level's next figures make up for it.
    """
    found = _held(level, standing, now)
    for figure in level.figures:
        if figure.onsets and len(found) < FEWEST and figure not in found:
            found.append(figure)
    return tuple(found)


def met_figures(level: Level, standing: Standing | None, now: float) -> tuple[Figure, ...]:
    """As ``known_figures``, but none that the player never met; none at all where fewer than two were met.

    They come in the level's order.
    """
    found = _held(level, standing, now)
    by_count = {figure.count: figure for figure in level.figures if figure.onsets}
    # The firmest of those in work first: with the least firm one there is enough that is hard.
    for count in reversed(standing.weakest(now) if standing else ()):
        if count in by_count and len(found) < FEWEST and by_count[count] not in found:
            found.append(by_count[count])
    # Of one figure alone no bar can be made in which there is anything to be told apart.
    return tuple(figure for figure in level.figures if figure in found) if len(found) >= FEWEST else ()


def _held(level: Level, standing: Standing | None, now: float) -> list[Figure]:
    """The firm figures that have a stroke, and the least firm of those in work."""
    if standing is None:
        return []
    by_count = {figure.count: figure for figure in level.figures if figure.onsets}
    firm = [count for count, holds in zip(standing.figures, standing.firm(now), strict=True) if holds]
    in_work = [count for count in standing.weakest(now) if count in by_count]
    return [by_count[count] for count in (*firm, *in_work[:1]) if count in by_count]


def example_fill(meter: Meter, figures: Sequence[Figure]) -> Fill:
    """A fill to begin with: some figures in turn on the second half of a bar, down the kit."""
    bar = Bar(meter, tuple(figures[beat % len(figures)] for beat in range(meter.beats)))
    return fill_of((bar,), range(meter.beats // 2, meter.beats), "down the kit")
