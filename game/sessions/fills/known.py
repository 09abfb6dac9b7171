"""Which figures a fill may be varied with: those that a player holds firmly, and one in work."""

from game.sessions.progress.standing import Standing
from shared.figures import Figure
from shared.levels import Level

FEWEST = 2
"""Where fewer are firm or in work, the level's next figures make up for it."""


def known_figures(level: Level, standing: Standing | None, now: float) -> tuple[Figure, ...]:
    """The firm figures of a level at a time (seconds since the epoch) and the least firm of those in work."""
    by_count = {figure.count: figure for figure in level.figures if figure.onsets}
    found: list[Figure] = []
    if standing:
        firm = [count for count, holds in zip(standing.figures, standing.firm(now), strict=True) if holds]
        in_work = [count for count in standing.weakest(now) if count in by_count]
        found = [by_count[count] for count in (*firm, *in_work[:1]) if count in by_count]
    for figure in by_count.values():
        if len(found) < FEWEST and figure not in found:
            found.append(figure)
    return tuple(found)
