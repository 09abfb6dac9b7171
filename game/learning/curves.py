"""How well each figure is known: an exact filter over learning curves.

Each figure has an ability, one of a few steps from guessing to sure.  Hearing the figure with its answer
lifts the ability, time away lowers it.  How fast differs from figure to figure, but is a trait of the
player as well: what is learned of the player from one figure tells about every other.  Given the player
the figures are independent hidden Markov chains, so the posterior is computed exactly, without sampling.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from game.learning.paces import ABILITIES, LOSSES, PACES, SHARES_KNOWN, drop, players, starts

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEW, OLD = 0, 1
"""Where a figure may have started: new to the player, or known from before."""

MOST_LOST = 0.9

LEAST_LIKELY = -500.0
"""The least log probability against the best that is told from 0, so that no kind of player is ruled out."""

_LIFT = np.stack([pace.lift() for pace in PACES])
_DROP = drop()
_LOSS = np.array(LOSSES)[:, None, None]
_PLAYERS = players()


class Curves:
    """The posterior over abilities, paces, losses and starts for the figures of a level.

    ``belief`` (G, K, L, 2, A) is P(ability | pace, figure, loss, start); ``evidence`` (G, K, L, 2) the log
    probability of all answers to the figure under those.
    """

    def __init__(self, figures: int) -> None:
        shape = (len(PACES), figures, len(LOSSES), 2)
        self.belief = np.broadcast_to(starts(), (*shape, len(ABILITIES))).copy()
        self.evidence = np.zeros(shape)

    def absorb(self, heard: Ints, telling: Floats, forgot: Floats) -> None:
        """Take in answers to the figures ``heard`` (n,), in order, each followed by the figure's solution.

        ``telling`` (n, A) is P(answer | ability); ``forgot`` (n,) how much time has undone since the figure was
        heard before, 0 to 1.
        """
        for turn in _turns(heard):
            figures = heard[turn]
            faded = _faded(self.belief[:, figures], forgot[turn])
            joint = faded * telling[turn][:, None, None, :]
            total = joint.sum(axis=-1, keepdims=True)
            self.evidence[:, figures] += np.log(total[..., 0])
            self.belief[:, figures] = _lifted(joint / total)

    def weights(self) -> Floats:
        """P(pace, loss, start | all answers) of each figure, as (G, K, L, 2)."""
        likely, figure = self._likely(), self._by_player()
        player = _softmax(np.log(figure).sum(axis=2))[:, :, None] / figure
        share = SHARES_KNOWN[:, None, None, None]
        start = np.stack([((1 - share) * player).sum(axis=0), (share * player).sum(axis=0)], axis=-1)
        return np.asarray((_PLAYERS.T @ start.reshape(len(start), -1)).reshape(likely.shape) * likely)

    def abilities(self, forgot: Floats) -> Floats:
        """P(ability) of each figure, as (K, A), when so much is forgotten (K,)."""
        return np.asarray(self.paced_abilities(forgot).sum(axis=0))

    def paced_abilities(self, forgot: Floats) -> Floats:
        """P(pace, ability) of each figure, as (G, K, A), when so much is forgotten (K,)."""
        mixed = (self.weights()[..., None] * self.belief).sum(axis=3, keepdims=True)
        return np.asarray(_faded(mixed, forgot).sum(axis=(2, 3)))

    def draws(self, forgot: Floats, count: int, random: np.random.Generator) -> Floats:
        """P(right) of each figure in ``count`` draws from the posterior, as (count, K).

        What is not known of the player is drawn once for all figures, so that they are right or wrong together.
        """
        player = _softmax(np.log(self._by_player()).sum(axis=2))
        kinds, times = np.unique(random.choice(player.size, count, p=player.ravel()), return_counts=True)
        drawn = []
        for kind, number in zip(kinds, times, strict=True):
            share, paces, loss = np.unravel_index(kind, player.shape)
            drawn.append(_drawn(self._abilities_of(int(share), int(paces), int(loss), forgot), int(number), random))
        return np.concatenate(drawn)

    def _likely(self) -> Floats:
        """P(answers to each figure | pace, loss, start), as (G, K, L, 2), up to a factor for each figure."""
        against_best = self.evidence - self.evidence.max(axis=(0, 2, 3), keepdims=True)
        return np.asarray(np.exp(np.maximum(against_best, LEAST_LIKELY)))

    def _by_player(self) -> Floats:
        """P(answers to each figure | share known, kind of player, loss), as (S, P, K, L), up to the same factor."""
        likely = self._likely()
        kinds = (_PLAYERS @ likely.reshape(len(PACES), -1)).reshape(-1, *likely.shape[1:])
        share = SHARES_KNOWN[:, None, None, None]
        return np.asarray((1 - share) * kinds[..., NEW] + share * kinds[..., OLD])

    def _abilities_of(self, share: int, kind: int, loss: int, forgot: Floats) -> Floats:
        """P(ability) of each figure (K, A), were the player one of this sort."""
        known = np.array([1 - SHARES_KNOWN[share], SHARES_KNOWN[share]])
        weights = _PLAYERS[kind][:, None, None] * known * self._likely()[:, :, loss]
        mixed = np.einsum("gkb,gkba->ka", weights, self.belief[:, :, loss])
        chance = np.minimum(MOST_LOST, LOSSES[loss] * forgot)[:, None]
        mixed += chance * (mixed @ _DROP - mixed)
        return np.asarray(mixed / mixed.sum(axis=1, keepdims=True))


def _drawn(abilities: Floats, count: int, random: np.random.Generator) -> Floats:
    """P(right) in draws from P(ability) (K, A), as (count, K)."""
    below = np.cumsum(abilities, axis=1)
    ability = (random.random((count, len(below), 1)) > below).sum(axis=-1)
    return np.asarray(ABILITIES[np.minimum(ability, len(ABILITIES) - 1)])


def _turns(heard: Ints) -> Iterator[Ints]:
    """Places in ``heard``, in groups that hold each figure once: first all first hearings, then all second ones."""
    seen: dict[int, int] = {}
    turns: list[list[int]] = []
    for place, figure in enumerate(heard.tolist()):
        turn = seen.get(figure, 0)
        seen[figure] = turn + 1
        if turn == len(turns):
            turns.append([])
        turns[turn].append(place)
    yield from (np.array(turn) for turn in turns)


def _faded(belief: Floats, forgot: Floats) -> Floats:
    """The belief (G, n, L, 2, A) after so much is forgotten (n,)."""
    if not forgot.any():
        return belief
    chance = np.minimum(MOST_LOST, _LOSS * forgot[:, None, None, None])
    return np.asarray(belief + chance * (belief @ _DROP - belief))


def _lifted(belief: Floats) -> Floats:
    """The belief (G, n, L, 2, A) after one hearing of each figure."""
    rows = belief.reshape(len(belief), -1, belief.shape[-1])
    return np.asarray((rows @ _LIFT).reshape(belief.shape))


def _softmax(logs: Floats) -> Floats:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())
