"""Which figures were said for which, counted from the log."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from game.learning.evidence import Answer
from shared.figures import Figure
from shared.levels import Level

DAY_SECONDS = 86400.0

HALF_LIFE = 14 * DAY_SECONDS
"""The seconds after which a mix-up weighs half as much."""


@dataclass(frozen=True)
class MixUp:
    """``heard`` was said to be ``said`` so many ``times`` of the ``answers`` to it.

    In a class ``times`` and ``answers`` count rooms: half of the hands, once, is 0.5.
    """

    heard: Figure
    said: Figure
    times: float
    answers: float

    @property
    def words(self) -> str:
        """The mix-up as a sentence."""
        return f"{self.heard} was taken for {self.said}: {tally(self.times)} of {tally(self.answers)}."


@dataclass(frozen=True)
class Pair:
    """Two figures, mixed up either way: how often, of how many answers to either, and how much that weighs now.

    ``right`` counts the answers that were right.
    """

    first: Figure
    second: Figure
    mixed: float
    right: float
    answers: float
    weight: float

    @property
    def names(self) -> str:
        """The two figures' counts."""
        return f"{self.first} and {self.second}"

    @property
    def share_right(self) -> float:
        """The share of answers to either that were right."""
        return self.right / self.answers


def tally(times: float) -> str:
    """A count for the reader: whole, or with one place for parts of a class."""
    return f"{times:.0f}" if abs(times - round(times)) < 0.05 else f"{times:.1f}"


def mix_ups(figures: Iterable[Figure], answers: Iterable[Answer]) -> tuple[MixUp, ...]:
    """Every mix-up among the figures, the most frequent first, then in the order of the figures."""
    order = {figure.count: figure for figure in figures}
    said: dict[tuple[str, str], float] = defaultdict(float)
    heard: dict[str, float] = defaultdict(float)
    for row in answers:
        heard[row.heard] += row.share
        if row.said is not None and row.said != row.heard and row.said in order and row.heard in order:
            said[row.heard, row.said] += row.share
    places = list(order)
    ranked = sorted(said, key=lambda key: (-said[key], places.index(key[0]), places.index(key[1])))
    return tuple(MixUp(order[h], order[s], said[h, s], heard[h]) for h, s in ranked)


def mixed_pairs(level: Level, answers: Iterable[Answer], now: float) -> tuple[Pair, ...]:
    """Pairs of the level's figures that were mixed up, the one that matters most now first.

    A mix-up weighs half as much after ``HALF_LIFE``, so that what was overcome is forgotten.
    """
    places = {figure.count: place for place, figure in enumerate(level.figures)}
    heard, right = [0.0] * len(places), [0.0] * len(places)
    mixed: dict[tuple[int, int], float] = defaultdict(float)
    weight: dict[tuple[int, int], float] = defaultdict(float)
    for row in answers:
        if row.heard not in places:
            continue
        here, there = places[row.heard], places.get(row.said or "")
        heard[here] += row.share
        if there == here:
            right[here] += row.share
        elif there is not None:
            key = min(here, there), max(here, there)
            mixed[key] += row.share
            weight[key] += row.share * 0.5 ** (max(0.0, now - row.at) / HALF_LIFE)
    return tuple(
        Pair(level.figures[a], level.figures[b], mixed[a, b], right[a] + right[b], heard[a] + heard[b], weight[a, b])
        for a, b in sorted(mixed, key=lambda key: (-weight[key], key))
    )
