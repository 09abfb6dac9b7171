"""Estimates the coach's effect from a log: are figures that it chose learned better than those that chance chose?

One place in ten of a question is left to chance, and each answer keeps with which probability its figure was put
there.  The gain of a hearing is whether the figure was named right the next time, less whether it was named right
this time.  Weighting each gain by how likely the figure would have been under a choice, over how likely it was
(inverse propensity weighting, D. G. Horvitz & D. J. Thompson 1952), estimates the mean gain of the coach's choice and
of chance alone, whatever the player is like.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from game.learning.chooser import LEFT_TO_CHANCE
from game.learning.evidence import Answer

Z = 1.959964
"""Standard errors on either side of a 95 % interval."""

NARROW = 0.1
"""Half the width of an interval that is worth telling, in right answers for each hearing."""

FEWEST = 30
"""With fewer hearings that chance alone chose, an interval by the normal curve is not to be trusted."""


@dataclass(frozen=True)
class Judgement:
    """The judgement of the coach from a player's log.

    ``effect``: right answers that a hearing chosen by the coach brings by the next time, more than one chosen by
    chance; ``low`` and ``high`` bound it with 95 % probability, and are -1 and 1 where fewer than ``FEWEST`` hearings
    were chosen by chance.  ``answers`` went into it; ``wanting`` more are needed before it is worth telling (0: none).
    """

    effect: float
    low: float
    high: float
    answers: int
    wanting: int


@dataclass(frozen=True)
class _Hearing:
    """One hearing whose figure was open to chance: its bar, whether chance alone chose it, and its weighted gain."""

    bar: tuple[float, str]
    by_chance: bool
    effect: float


def judged(answers: Iterable[Answer]) -> Judgement:
    """The coach's effect on the player who gave these answers, in the order in which they were given."""
    hearings = _hearings(answers)
    if not hearings:
        return Judgement(0.0, -1.0, 1.0, 0, _wanting(0, 0, 1.0))
    effects = np.array([one.effect for one in hearings])
    effect, half = float(effects.mean()), Z * _error(hearings)
    by_chance = sum(one.by_chance for one in hearings)
    wanting = _wanting(len(hearings), by_chance, half)
    # A few hearings may happen to agree: their interval would be narrow, and say what nobody knows.
    low, high = (effect - half, effect + half) if by_chance >= FEWEST else (-1.0, 1.0)
    return Judgement(effect, low, high, len(hearings), wanting)


def _hearings(answers: Iterable[Answer]) -> list[_Hearing]:
    """The first tries whose figure was open to chance and was heard again later, with what came of them."""
    asked: dict[tuple[str, str], Answer] = {}
    hearings = []
    for row in sorted(answers, key=attrgetter("at")):
        # A class is no one player, and a second try was told that the first was wrong: neither shows what a hearing
        # did.
        if row.attempt > 1 or row.share < 1 or row.kind == "class" or row.ability != "hearing":
            continue
        before = asked.get((row.level, row.heard))
        # At a later time: a figure that comes twice in one bar is answered twice at once, and nothing lies between.
        if before is not None and before.at < row.at and (weights := _weights(before.probability)):
            gain = float(row.said == row.heard) - float(before.said == before.heard)
            coach, chance = weights
            hearings.append(_Hearing((before.at, before.bar), not coach, (coach - chance) * gain))
        # Whatever became of it: the next hearing is held against the one right before, also where chance had no part in
        # that.
        asked[row.level, row.heard] = row
    return hearings


def _weights(probability: float | None) -> tuple[float, float] | None:
    """The weights of the coach's choice and of chance, or None where nothing was left to chance.

    Of so many figures met, one that the coach wanted has probability 1 - c + c / met, any other c / met, where c is
    the share that is left to chance; so that the probability tells both.
    """
    if probability is None or not 0 < probability < 1:
        return None
    wanted = probability > 1 - LEFT_TO_CHANCE
    by_chance = probability - (1 - LEFT_TO_CHANCE) * wanted
    return wanted / probability, by_chance / LEFT_TO_CHANCE / probability


def _error(hearings: list[_Hearing]) -> float:
    """The standard error of the mean effect, where hearings of one bar may be alike (cluster-robust)."""
    mean = sum(one.effect for one in hearings) / len(hearings)
    bars: dict[tuple[float, str], float] = {}
    for one in hearings:
        bars[one.bar] = bars.get(one.bar, 0.0) + one.effect - mean
    return float(np.sqrt(sum(part * part for part in bars.values()))) / len(hearings)


def _wanting(answers: int, by_chance: int, half: float) -> int:
    """How many more answers are needed: an interval narrows with the root of their number."""
    for_width = answers * (half / NARROW) ** 2 if answers else FEWEST / LEFT_TO_CHANCE
    for_chance = answers * FEWEST / by_chance if by_chance else answers + FEWEST / LEFT_TO_CHANCE
    return max(0, int(np.ceil(max(for_width, for_chance))) - answers)
