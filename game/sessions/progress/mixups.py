"""Counts mix-ups from the log: which figures were said for which, and which pairs matter most now."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from game.learning.evidence import Answer, first_tries, heard_in, said_in, said_to
from game.wording import DAY_SECONDS
from shared.figures import Figure
from shared.levels import Level

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
    """A count for the reader, rounded: "about 3" where it is no whole number, as of a class that answers in parts."""
    whole = f"{times:.0f}"
    return whole if abs(times - round(times)) < 0.05 else f"about {whole}"


def mix_ups(figures: Iterable[Figure], answers: Iterable[Answer]) -> tuple[MixUp, ...]:
    """Every mix-up among the figures: the most frequent first, then the larger share, then as the figures stand."""
    order = {figure.count: figure for figure in figures}
    counts = said_in(answers)
    heard = heard_in(counts)
    places = list(order)
    mixed = [(h, s) for h, s in counts if h in order and s in order and h != s]
    mixed.sort(key=lambda pair: (-counts[pair], heard[pair[0]], places.index(pair[0]), places.index(pair[1])))
    return tuple(MixUp(order[h], order[s], counts[h, s], heard[h]) for h, s in mixed)


def largest_mix_up(figures: Iterable[Figure], answers: Iterable[Answer]) -> MixUp | None:
    """The mix-up with the largest share of the answers to what was heard; what happened once is a slip, and none."""
    # By share and not by number, else the figure that is asked most would always win.
    more = [one for one in mix_ups(figures, answers) if one.times > 1]
    return max(more, key=lambda one: (one.times / one.answers, one.times), default=None)


def mixed_pairs(level: Level, answers: Iterable[Answer], now: float) -> tuple[Pair, ...]:
    """Pairs of the level's figures that were mixed up, the one that matters most now first.

    A mix-up weighs half as much after ``HALF_LIFE``, so that one that was overcome is forgotten.
    """
    rows = list(first_tries(answers))
    counts = said_in(rows)
    weights = said_to((row.heard, row.said, row.share * _left_of(now - row.at)) for row in rows)
    heard = heard_in(counts)
    pairs = []
    for first, second in combinations(level.figures, 2):
        f, s = first.count, second.count
        if (f, s) in counts or (s, f) in counts:
            mixed, weight = (table.get((f, s), 0.0) + table.get((s, f), 0.0) for table in (counts, weights))
            right = counts.get((f, f), 0.0) + counts.get((s, s), 0.0)
            answered = heard.get(f, 0.0) + heard.get(s, 0.0)
            pairs.append(Pair(first, second, mixed, right, answered, weight))
    return tuple(sorted(pairs, key=lambda pair: -pair.weight))


def _left_of(seconds: float) -> float:
    """The share of a mix-up's weight that is left after so many seconds, from 0 to 1."""
    # A time to come is of a clock that was ahead, and counts as now.
    return float(0.5 ** (max(0.0, seconds) / HALF_LIFE))
