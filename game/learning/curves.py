"""Estimates how well each figure is known, as a probability for each ability: an exact Bayesian filter over answers.

The model is a hidden Markov chain for each figure.  The hidden state is the ability, one of a few steps from guessing
to sure: hearing the figure with its answer lifts it, time away lowers it.  How fast depends on the figure (its rate)
and on the player (the kind of learner, a trait of memory, the share of figures known from before), so that what one
figure tells of the player bears on every other.  Given the player the chains are independent, so the posterior is
computed exactly by the forward algorithm (Rabiner 1989), without sampling.

Shapes are those of ``rates``: G rates, K figures, T traits, A abilities, S shares known, P kinds of player; the axis of
2 is ``NEW`` or ``OLD``.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from game.learning.rates import ABILITIES, RATES, SHARES_KNOWN, TRAIT_SHARES, TRAITS, drop, players, starts

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEW, OLD = 0, 1
"""Where a figure may have started: new to the player, or known from before."""

MOST_LOST = 0.9
"""The highest chance that time away costs ability; below 1, so that an answer can always show that it did not."""

LEAST_LIKELY = -500.0
"""The floor, in log probability below the best, under which hypotheses are no longer told apart: without it exp()
would give 0, and a kind of player that was ruled out could never come back."""

# Worked out once: the tables are fixed, and each answer is multiplied by them.
_LIFT = np.stack([rate.lift() for rate in RATES])
_DROP = drop()
_LOSS = np.array([trait.loss for trait in TRAITS])[:, None, None]
_PLAYERS = players()
_STARTS = np.stack([starts(rate) for rate in RATES])


class Curves:
    """The posterior over abilities, learning rates, traits and starts for the figures of a level.

    ``belief`` (G, K, T, 2, A) is P(ability | rate, figure, trait, start); ``evidence`` (G, K, T, 2) the log
    probability of all answers to the figure under those.
    """

    def __init__(self, figures: int) -> None:
        shape = (len(RATES), figures, len(TRAITS), 2)
        self.belief = np.broadcast_to(_STARTS[:, None, None], (*shape, len(ABILITIES))).copy()
        self.evidence = np.zeros(shape)
        self._weights: Floats | None = None

    def absorb(self, heard: Ints, likelihood: Floats, forgot: Floats, lessons: Floats) -> None:
        """Take in answers to the figures ``heard`` (n,), in order, each followed by the figure's solution.

        ``likelihood`` (n, T, A) is P(answer | trait, ability); ``forgot`` (n,) how much time has undone since the
        figure was heard before, 0 to 1; ``lessons`` (n,) is 1 where the solution was a lesson, 0 where it was none.
        """
        self._weights = None
        for turn in _turns(heard):
            figures = heard[turn]
            joint = _faded(self.belief[:, figures], forgot[turn]) * likelihood[turn][:, :, None, :]
            # The normaliser is the probability of this answer given all before it; their logs add up to the evidence.
            total = joint.sum(axis=-1, keepdims=True)
            self.evidence[:, figures] += np.log(total[..., 0])
            joint /= total
            taught = lessons[turn][:, None, None, None]
            self.belief[:, figures] = (
                joint + taught * (_lifted(joint) - joint) if (taught < 1).any() else _lifted(joint)
            )

    def weights(self) -> Floats:
        """P(rate, trait, start | all answers) of each figure, as (G, K, T, 2)."""
        if self._weights is None:
            likely = self._likely()
            figure = _by_player(likely)
            # Divided by the figure's own part, so that each figure is weighed by what all the others tell of the
            # player; its own part comes in again by ``likely`` below, rate by rate.
            player = _players(figure)[:, :, None] / figure
            share = SHARES_KNOWN[:, None, None, None]
            start = np.stack([((1 - share) * player).sum(axis=0), (share * player).sum(axis=0)], axis=-1)
            self._weights = (_PLAYERS.T @ start.reshape(len(start), -1)).reshape(likely.shape) * likely
        return self._weights

    def rated_abilities(self, forgot: Floats) -> Floats:
        """P(rate, ability) of each figure, as (G, K, A), when so much is forgotten (K,)."""
        mixed = (self.weights()[..., None] * self.belief).sum(axis=3, keepdims=True)
        return np.asarray(_faded(mixed, forgot).sum(axis=(2, 3)))

    def trait_abilities(self, figures: Ints, forgot: Floats) -> Floats:
        """P(trait, ability) of some of the figures (n,), as (n, T, A), when so much of each is forgotten (n,)."""
        mixed = np.einsum("gkts,gktsa->kta", self.weights()[:, figures], self.belief[:, figures])
        return np.asarray(_faded(mixed[None, :, :, None], forgot)[0, :, :, 0])

    def draws(self, forgot: Floats, count: int, random: np.random.Generator) -> Floats:
        """P(right) of each figure in ``count`` draws from the posterior, as (count, K).

        What is not known of the player is drawn once for all figures, so that they are right or wrong together.
        """
        likely = self._likely()
        # A forecast believes in a rare trait on strong evidence alone: on a level of few figures, all heard within the
        # minute, what rings can hardly be told from what is known.
        player = _players(_by_player(likely)) * TRAIT_SHARES
        player /= player.sum()
        kinds, times = np.unique(random.choice(player.size, count, p=player.ravel()), return_counts=True)
        drawn = []
        for kind, number in zip(kinds, times, strict=True):
            share, rates, trait = (int(part) for part in np.unravel_index(kind, player.shape))
            known = np.array([1 - SHARES_KNOWN[share], SHARES_KNOWN[share]])
            weights = _PLAYERS[rates][:, None, None] * known * likely[:, :, trait]
            mixed = np.einsum("gkb,gkba->ka", weights, self.belief[:, :, trait])
            # Forgetting is worked out for each draw, since how much is lost depends on the trait that was drawn.
            lost = np.minimum(MOST_LOST, TRAITS[trait].loss * forgot)[:, None]
            mixed += lost * (mixed @ _DROP - mixed)
            drawn.append(_drawn(mixed / mixed.sum(axis=1, keepdims=True), int(number), random))
        return np.concatenate(drawn)

    def _likely(self) -> Floats:
        """P(answers to each figure | rate, trait, start), as (G, K, T, 2), up to a factor for each figure."""
        against_best = self.evidence - self.evidence.max(axis=(0, 2, 3), keepdims=True)
        return np.asarray(np.exp(np.maximum(against_best, LEAST_LIKELY)))


def _by_player(likely: Floats) -> Floats:
    """P(answers to each figure | share known, kind of player, trait), as (S, P, K, T), up to the same factor."""
    kinds = (_PLAYERS @ likely.reshape(len(RATES), -1)).reshape(-1, *likely.shape[1:])
    share = SHARES_KNOWN[:, None, None, None]
    return np.asarray((1 - share) * kinds[..., NEW] + share * kinds[..., OLD])


def _drawn(abilities: Floats, count: int, random: np.random.Generator) -> Floats:
    """P(right) in draws from P(ability) (K, A), as (count, K)."""
    below = np.cumsum(abilities, axis=1)
    ability = (random.random((count, len(below), 1)) > below).sum(axis=-1)
    # The sum may end a hair below 1: a draw above it is of the last ability.
    return np.asarray(ABILITIES[np.minimum(ability, len(ABILITIES) - 1)])


def _turns(heard: Ints) -> Iterator[Ints]:
    """Places in ``heard``, in groups that hold each figure once: first all first hearings, then all second ones.

    Within a group all figures are updated in one array operation; a figure that comes twice in a bar has to wait for
    its own first update.
    """
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
    """The belief (G, n, T, 2, A) after so much is forgotten (n,)."""
    # The usual case within a round, where the matrix product would change nothing.
    if not forgot.any():
        return belief
    chance = np.minimum(MOST_LOST, _LOSS * forgot[:, None, None, None])
    return np.asarray(belief + chance * (belief @ _DROP - belief))


def _lifted(belief: Floats) -> Floats:
    """The belief (G, n, T, 2, A) after one hearing of each figure."""
    rows = belief.reshape(len(belief), -1, belief.shape[-1])
    return np.asarray((rows @ _LIFT).reshape(belief.shape))


def _players(figures: Floats) -> Floats:
    """P(share known, kind of player, trait), as (S, P, T), from P(answers to each figure | those) (S, P, K, T)."""
    # In logarithms: the product over thirty figures would be smaller than any float.
    logs = np.log(figures).sum(axis=2) + np.log(TRAIT_SHARES)
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())
