"""Models forgetting over days: how much of each figure is forgotten by now, and which figures it is time to bring back.

The first answer to a figure after a break of hours is a review; what follows in the same sitting is
practice, which tells nothing of days.  Strengths and intervals come from the ``fsrs`` package, with its
day scale: it says when a figure is due to be brought back, and never which bar comes next.  Elapsed time counts in
fractions of a day.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

import numpy as np
from fsrs import Card, Rating, Scheduler
from fsrs.scheduler import FSRS_DEFAULT_DECAY
from numpy.typing import NDArray

from game.learning.beats import Glance
from game.wording import DAY_SECONDS

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BREAK_SECONDS = 4 * 3600.0
"""A break so long starts a new sitting."""

FIRST_STRENGTH = 2.0
"""Days of strength of a figure that was never reviewed."""

DUE_RECALL = 0.9
"""Reviews are due when recall has sunk to this."""

OVERLAID = 0.012
"""The share of a figure that each bar without it undoes: interference, as other figures overlay it."""

# Chosen so that ``retained`` is DUE_RECALL exactly when as many days have passed as the strength says, as in FSRS 6.
_FACTOR = DUE_RECALL ** (-1 / FSRS_DEFAULT_DECAY) - 1
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
# Finite, and before any clock's time: differences stay numbers, where those of infinities would be none.
_NEVER = -1e18


def retained(days: Floats | float, strength: Floats | float) -> Floats:
    """The share of what was known that is left after some days: the power curve of FSRS 6."""
    return np.asarray((1 + _FACTOR * np.maximum(days, 0.0) / strength) ** -FSRS_DEFAULT_DECAY)


class Memory:
    """The strength of each figure's memory in days, how often each was heard, and when last."""

    def __init__(self, figures: int) -> None:
        self.bars = 0
        self.heard = [0] * figures
        self._strength = [FIRST_STRENGTH] * figures
        self._last_heard = [_NEVER] * figures
        self._last_bar = [0] * figures
        self._cards: list[Card | None] = [None] * figures
        # Without its steps of minutes, which the coach has its own rules for, and without its chance: a replay must
        # give the same.
        self._scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)

    def note_bar(self, beats: Iterable[Glance]) -> None:
        """Take in an answered bar."""
        self.bars += 1
        for figure, right, at in beats:
            self._note(figure, right, at)

    def _note(self, figure: int, right: bool, at: float) -> None:
        # Once a sitting: what was heard a minute ago is remembered by everybody, and tells nothing of days.
        if at - self._last_heard[figure] >= BREAK_SECONDS:
            self._review(figure, right, at)
        self.heard[figure] += 1
        self._last_heard[figure], self._last_bar[figure] = at, self.bars

    def _review(self, figure: int, right: bool, at: float) -> None:
        # With a number of its own: without one the library sleeps a millisecond to draw it from the clock.
        card = self._cards[figure] or Card(card_id=figure, due=_EPOCH)
        # Two of the four ratings: nobody is asked how hard it was, and times are weighed in ``response_times``.
        rating = Rating.Good if right else Rating.Again
        card, _ = self._scheduler.review_card(card, rating, _EPOCH + timedelta(seconds=at))
        self._cards[figure] = card
        self._strength[figure] = card.stability or FIRST_STRENGTH

    def rested(self) -> Ints:
        """Bars since each figure was heard (K,), counting the one to come; those never heard have rested longest."""
        return self.bars + 1 - np.array(self._last_bar)

    def seconds_away(self, now: float) -> Floats:
        """Seconds since each figure was heard (K,); endless where it never was."""
        last = np.array(self._last_heard)
        return np.where(last > _NEVER, np.maximum(0.0, now - last), np.inf)

    def days_away(self, now: float) -> Floats:
        """Days since each figure was heard (K,); 0 where it never was."""
        last = np.array(self._last_heard)
        return np.where(last > _NEVER, np.maximum(0.0, now - last) / DAY_SECONDS, 0.0)

    def forgotten(self, now: float) -> Floats:
        """How much time has undone of each figure (K,) since it was last heard, 0 to 1."""
        by_days = 1 - retained(self.days_away(now), np.array(self._strength))
        heard = np.array(self._last_heard) > _NEVER
        return np.asarray(np.minimum(1.0, by_days + heard * OVERLAID * (self.rested() - 1)))

    def due_at(self) -> tuple[float | None, ...]:
        """When the next review of each figure is due, in epoch seconds; None where it was never heard."""
        return tuple(None if card is None else (card.due - _EPOCH).total_seconds() for card in self._cards)
