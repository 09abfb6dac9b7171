"""How well each figure is known: an exact filter over learning curves.

Each figure has an ability, one of a few steps from guessing to sure.  Hearing the figure with its answer
lifts the ability, time away lowers it.  How fast is a trait of the player, the same for all figures:
what is learned of the player from one figure tells about every other.  Given the traits the figures are
independent hidden Markov chains, so the posterior is computed exactly, without sampling.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEP = 0.6
"""Log-odds between neighbouring abilities."""

ABILITIES = 1 / (1 + np.exp(-np.arange(-3.0, 4.0, STEP)))
"""P(right) at each ability."""

KNOWN = 0.9
"""A figure is known when it is named right so often."""

NEW, OLD = 0, 1
"""Where a figure may have started: new to the player, or known from before."""


@dataclass(frozen=True)
class Trait:
    """How a player learns: log-odds ``gain`` per hearing, chance of a sudden ``click``, and ``loss``.

    ``loss`` scales the chance that time away costs a step, per unit of forgetting (0 none, 1 all).
    """

    gain: float
    click: float
    loss: float


TRAITS = tuple(
    Trait(gain, click, loss)
    for gain, click in ((0.1, 0.0), (0.25, 0.0), (0.5, 0.0), (0.9, 0.0), (0.1, 0.1), (0.1, 0.25), (0.25, 0.5))
    for loss in (0.5, 4.0)
)
"""The kinds of player that are thought of, all as likely before the first answer."""

SHARES_KNOWN = np.array([0.03, 0.2, 0.4, 0.6, 0.85])
"""The parts of a level that a player may know from before, all as likely before the first answer."""


def _start(centre: float, spread: float) -> Floats:
    odds = np.log(ABILITIES / (1 - ABILITIES))
    weights = np.exp(-0.5 * ((odds - centre) / spread) ** 2)
    return np.asarray(weights / weights.sum())


def _lift(trait: Trait) -> Floats:
    """Row-stochastic (A, A): where one hearing takes each ability."""
    size = len(ABILITIES)
    whole, part = divmod(trait.gain / STEP, 1.0)
    lift = np.zeros((size, size))
    for ability in range(size):
        for steps, chance in ((int(whole), 1 - part), (int(whole) + 1, part)):
            lift[ability, min(size - 1, ability + steps)] += (1 - trait.click) * chance
        lift[ability, max(ability, size - 2)] += trait.click
    return lift


def _drop() -> Floats:
    """Row-stochastic (A, A): where a loss takes each ability, one to four steps down."""
    size = len(ABILITIES)
    drop = np.zeros((size, size))
    for ability in range(size):
        for steps in range(1, 5):
            drop[ability, max(0, ability - steps)] += 0.25
    return drop


class Curves:
    """The posterior over abilities, starts and traits for the figures of a level.

    ``belief`` (R, K, 2, A) is P(ability | trait, figure, start); ``evidence`` (R, K, 2) the log
    probability of all answers to the figure under that trait and start.
    """

    def __init__(self, figures: int) -> None:
        starts = np.stack([_start(-2.6, 1.0), _start(2.8, 0.8)])
        self.belief = np.broadcast_to(starts, (len(TRAITS), figures, 2, len(ABILITIES))).copy()
        self.evidence = np.zeros((len(TRAITS), figures, 2))
        self._lift = np.stack([_lift(trait) for trait in TRAITS])
        self._drop = _drop()
        self._loss = np.array([trait.loss for trait in TRAITS])[:, None, None, None]

    def absorb(self, heard: Ints, right: Floats, wrong: Floats, forgot: Floats) -> None:
        """Take in one answer for each of several different figures, then the hearing of its solution.

        ``right`` and ``wrong`` are the weights, 0 to 1, of right and wrong answers; ``forgot`` how much
        time has undone since the figure was heard before, 0 to 1.
        """
        faded = self._faded(self.belief[:, heard], forgot)
        chance = ABILITIES ** right[:, None] * (1 - ABILITIES) ** wrong[:, None]
        joint = faded * chance[None, :, None, :]
        total = joint.sum(axis=-1, keepdims=True)
        self.evidence[:, heard] += np.log(total[..., 0])
        self.belief[:, heard] = self._lifted(joint / total)

    def _faded(self, belief: Floats, forgot: Floats) -> Floats:
        chance = np.minimum(0.9, self._loss * forgot[None, :, None, None])
        return np.asarray((1 - chance) * belief + chance * (belief @ self._drop))

    def _lifted(self, belief: Floats) -> Floats:
        rows = belief.reshape(len(TRAITS), -1, len(ABILITIES))
        return (rows @ self._lift).reshape(belief.shape)

    def player(self) -> Floats:
        """P(trait, share known) given all answers, as (R, S)."""
        return _softmax(self._figure_evidence().sum(axis=1))

    def _figure_evidence(self) -> Floats:
        """Log probability of each figure's answers by trait and share known, as (R, K, S)."""
        new, old = self.evidence[:, :, NEW, None], self.evidence[:, :, OLD, None]
        return np.asarray(np.logaddexp(np.log1p(-SHARES_KNOWN) + new, np.log(SHARES_KNOWN) + old))

    def _from_before(self) -> Floats:
        """P(figure was known from before | trait, share), as (R, K, S)."""
        return np.asarray(np.exp(np.log(SHARES_KNOWN) + self.evidence[:, :, OLD, None] - self._figure_evidence()))

    def abilities(self, forgot: Floats) -> Floats:
        """P(ability) of each figure, as (K, A), when so much is forgotten (K,)."""
        player = self.player()
        old = np.einsum("rs,rks->rk", player, self._from_before())
        starts = np.stack([player.sum(axis=1)[:, None] - old, old], axis=-1)
        return np.asarray(np.einsum("rkb,rkba->ka", starts, self._faded(self.belief, forgot)))

    def draws(self, forgot: Floats, count: int, random: np.random.Generator) -> Floats:
        """P(right) of each figure in ``count`` draws from the posterior, as (count, K)."""
        player, before = self.player(), self._from_before()
        traits, shares = np.unravel_index(random.choice(player.size, count, p=player.ravel()), player.shape)
        figures = np.arange(before.shape[1])
        old = random.random((count, len(figures))) < before[traits, :, shares]
        below = np.cumsum(self._faded(self.belief, forgot), axis=-1)[traits[:, None], figures, old.astype(int)]
        ability = (random.random((count, len(figures), 1)) > below).sum(axis=-1)
        return np.asarray(ABILITIES[np.minimum(ability, len(ABILITIES) - 1)])


def _softmax(logs: Floats) -> Floats:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())
