"""Simulated learners of further mechanisms, which the coach is developed on as well.

Most of them share a plain core, a log-odds of being right for each figure that grows with each hearing, so that
each shows one thing that a coach may not know of a player.
"""

from collections.abc import Sequence

import numpy as np

from tests.bench.learning.learners import (
    DAY,
    KNOWN,
    MINUTE,
    SIZE,
    Floats,
    Learner,
    Playing,
    Random,
    SimilarityChoice,
    between,
    kept,
    scaled,
)

KITS = 3


class Odds(Learner):
    """A log-odds of being right for each figure, which grows by much the same with each hearing."""

    name = "odds"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.pace = scaled(random, 0.2, 0.6) * np.exp(0.4 * random.standard_normal(SIZE))
        self.forgetting = between(random, 0.02, 0.1)
        self.low = between(random, -3.0, -1.0)
        self.odds = np.where(self.known, 3.2, self.low + 0.7 * random.standard_normal(SIZE))

    def now(self, now: float) -> Floats:
        """The log-odds at a time."""
        return np.asarray(self.low + (self.odds - self.low) * kept((now - self.last) / DAY, self.forgetting))

    def belief(self, now: float) -> Floats:
        return self.spread(self.now(now))

    def spread(self, odds: Floats) -> Floats:
        """P(said g | heard f) from log-odds: what is not right goes to the likes of a figure."""
        right = (1 / (1 + np.exp(-odds)))[:, None]
        return np.asarray(right * np.eye(SIZE) + (1 - right) * self.guesses)

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.odds = self.now(now)
        np.add.at(self.odds, np.array(bar), self.gains(bar))
        self.last = now

    def gains(self, bar: Sequence[int]) -> Floats:
        """What the log-odds of each figure of a bar gain by hearing it."""
        return np.asarray(self.pace[list(bar)])


class Fading(Odds):
    """Strong loss within the hour: a figure just heard is named at once, and most of that is gone an hour later.

    What is heard again while it still rings leaves less behind.
    """

    name = "fading"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.echo, self.fades = between(random, 1.5, 4.5), scaled(random, 1 * MINUTE, 10 * MINUTE)
        self.pace *= 1.5
        self.heard_at = np.full(SIZE, -1e12)

    def rings(self, now: float) -> Floats:
        """What still rings of each figure, from 0 to 1."""
        return np.asarray((1 + np.maximum(0.0, now - self.heard_at) / self.fades) ** -1.0)

    def belief(self, now: float) -> Floats:
        return self.spread(self.now(now) + self.echo * self.rings(now))

    def hear(self, bar: Sequence[int], now: float) -> None:
        self.ringing = self.rings(now)
        super().hear(bar, now)
        self.heard_at[list(bar)] = now

    def gains(self, bar: Sequence[int]) -> Floats:
        return super().gains(bar) * (1 - 0.7 * self.ringing[list(bar)])


class Plateau(Odds):
    """Learning that stops short: the player's best is .75 to .97, a little different for each figure.

    A figure counts as known within three points of that best where this is below mastery.
    """

    name = "plateau"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        best = np.clip(between(random, 0.75, 0.97) + 0.04 * random.standard_normal(SIZE), 0.65, 0.98)
        self.top = np.log(best / (1 - best))
        self.share = scaled(random, 0.1, 0.3)
        self.odds = np.minimum(self.odds, self.top)

    @property
    def goal(self) -> Floats:
        best = (1 - 0.02) / (1 + np.exp(-self.top)) + 0.02 / SIZE
        return np.minimum(KNOWN, best - 0.03)

    def hear(self, bar: Sequence[int], now: float) -> None:
        super().hear(bar, now)
        self.odds = np.minimum(self.odds, self.top)

    def gains(self, bar: Sequence[int]) -> Floats:
        return np.asarray(self.share * (self.top - self.odds)[list(bar)] + 0.02)


class Contrast(SimilarityChoice):
    """Similarity choice where all is in the pair: a rival in the same bar teaches eight times as much."""

    name = "contrast"
    rates_between, contrasts = (0.08, 0.25), (6.0, 11.0)


class Context(Odds):
    """Hears by the circumstances: quick tempi and strange drums are harder, more hearings help."""

    name = "context"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.tempo = between(random, 0.5, 3.0)
        self.kits = between(random, 0.2, 1.5) * random.standard_normal((KITS, SIZE))
        self.kits -= self.kits.mean(axis=0)
        self.hearings = between(random, 0.3, 1.5)

    def rows(self, bar: Sequence[int], now: float, playing: Playing, hearings: int) -> Floats:
        odds = self.now(now) + self.tempo * (0.5 - playing.tempo) + self.kits[playing.kit % KITS]
        odds += self.hearings * np.log2(hearings)
        return np.asarray((0.98 * self.spread(odds) + 0.02 / SIZE)[list(bar)])


class Careless(Odds):
    """Has days on which a part of the answers is given without thought; what was learned is learned all the same."""

    name = "careless"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.often, self.worst = between(random, 0.2, 0.5), between(random, 0.2, 0.5)
        self.day, self.lapses = -1, 0.0

    def rows(self, bar: Sequence[int], now: float, playing: Playing, hearings: int) -> Floats:  # noqa: ARG002
        if int(now // DAY) != self.day:
            self.day = int(now // DAY)
            self.lapses = self.worst * float(self.random.random() < self.often)
        table = (1 - self.lapses) * self.table(now) + self.lapses * self.guesses
        return np.asarray(table[list(bar)])


class SlowStarter(Odds):
    """Learns hardly anything in the first twenty to sixty bars, and then well."""

    name = "slow starter"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.wakes, self.bars = between(random, 20.0, 60.0), 0

    def gains(self, bar: Sequence[int]) -> Floats:
        self.bars += 1
        return super().gains(bar) * (0.1 + 1.4 / (1 + np.exp((self.wakes - self.bars) / 5)))


class Sleeper(Odds):
    """Improves by sleep: half of what a day's hearings bring is there only on the next day."""

    name = "sleeper"

    def __init__(self, known: Sequence[int], random: Random) -> None:
        super().__init__(known, random)
        self.later = between(random, 0.3, 0.8)
        self.pace *= 1.3
        self.pending = np.zeros(SIZE)

    def now(self, now: float) -> Floats:
        woken = self.pending if now - self.last > DAY / 4 else 0.0
        return super().now(now) + woken

    def hear(self, bar: Sequence[int], now: float) -> None:
        slept = now - self.last > DAY / 4
        super().hear(bar, now)
        if slept:
            self.pending[:] = 0.0
        np.add.at(self.pending, np.array(bar), self.later * self.pace[list(bar)])

    def gains(self, bar: Sequence[int]) -> Floats:
        return super().gains(bar) * (1 - self.later)


FURTHER = (Fading, Plateau, Contrast, Context, Careless, SlowStarter, Sleeper)
"""The further mechanisms that the coach is developed on."""
