"""What days do to a figure: a memory strength each, and what is due.

The first answer to a figure after a break of hours is a review; what follows in the same sitting is
practice, which tells nothing of days.  Strengths and intervals come from the ``fsrs`` package, with its
day scale: it says what is due, and never which bar comes next.  Elapsed time counts in fractions of a day.
"""

from datetime import UTC, datetime, timedelta

import numpy as np
from fsrs import Card, Rating, Scheduler
from fsrs.scheduler import FSRS_DEFAULT_DECAY
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BREAK_SECONDS = 4 * 3600.0
"""A break so long starts a new sitting."""

DAY_SECONDS = 86400.0
FIRST_STRENGTH = 2.0
"""Days of strength of a figure that was never reviewed."""

DUE_RECALL = 0.9
"""Reviews are due when recall has sunk to this."""

_FACTOR = DUE_RECALL ** (-1 / FSRS_DEFAULT_DECAY) - 1
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def retained(days: Floats | float, strength: Floats | float) -> Floats:
    """The share of what was known that is left after some days: the power curve of FSRS 6."""
    return np.asarray((1 + _FACTOR * np.maximum(days, 0.0) / strength) ** -FSRS_DEFAULT_DECAY)


class Memory:
    """The strength of each figure's memory in days, and when each was last heard."""

    def __init__(self, figures: int) -> None:
        self.strength = np.full(figures, FIRST_STRENGTH)
        self.last_heard = np.full(figures, -np.inf)
        self._scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
        self._cards: list[Card | None] = [None] * figures

    def note(self, figure: int, right: bool, at: float) -> float:
        """Take in an answer at epoch seconds ``at``; return how much time had undone since the last, 0 to 1."""
        gap = at - self.last_heard[figure]
        forgot = 0.0 if gap == np.inf else self._forgot(gap, self.strength[figure])
        if gap >= BREAK_SECONDS:
            self._review(figure, right, at)
        self.last_heard[figure] = at
        return forgot

    def _review(self, figure: int, right: bool, at: float) -> None:
        card = self._cards[figure] or Card(card_id=figure, due=_EPOCH)
        rating = Rating.Good if right else Rating.Again
        card, _ = self._scheduler.review_card(card, rating, _EPOCH + timedelta(seconds=at))
        self._cards[figure] = card
        self.strength[figure] = card.stability

    @staticmethod
    def _forgot(seconds: float, strength: float) -> float:
        return float(1 - retained(seconds / DAY_SECONDS, strength))

    def forgotten(self, now: float) -> Floats:
        """How much time has undone of each figure (K,) since it was last heard, 0 to 1."""
        days = np.where(np.isfinite(self.last_heard), (now - self.last_heard) / DAY_SECONDS, 0.0)
        return 1 - retained(days, self.strength)

    def due(self, now: float) -> tuple[int, ...]:
        """The figures whose review is due, by their places in the level, the weakest memory first."""
        forgotten = self.forgotten(now)
        return tuple(int(k) for k in np.argsort(-forgotten, kind="stable") if self._is_due(int(k), now))

    def _is_due(self, figure: int, now: float) -> bool:
        card = self._cards[figure]
        return card is not None and (card.due - _EPOCH).total_seconds() <= now
