"""The askers of a round: the coach, or one that chooses the bars in its place and lets it mark them."""

from collections.abc import Iterable, Sequence
from typing import Any, Protocol

from game.learning.coach import Coach
from game.learning.marking import Seconds
from game.learning.question import Mark, Question
from shared.figures import Figure


class Asker(Protocol):
    """Asks questions, marks them, and knows how firm each figure is."""

    def ask(self, now: float) -> Question:
        """The next question."""

    def heard_before(self, question: Question) -> Question:
        """The same question for a player who knows the figures that were to be met before it."""

    def mark(
        self, question: Question, picks: Sequence[Figure | None], now: float, *, attempt: int,
        seconds: Seconds, hearings: int, changes: Sequence[int], alone: Sequence[int], slower: int,
        unsure: Sequence[bool],
    ) -> Mark:  # fmt: skip
        """The mark of an answered question; the keywords are those of ``Sheet.how``."""

    def recall(self, now: float) -> Iterable[float]:
        """The chance of a right answer to each figure of the level at a time."""


class MarkedByCoach:
    """The base of askers that choose the bars themselves: the player's ``coach`` marks them and learns from them."""

    def __init__(self, coach: Coach) -> None:
        self.coach = coach

    def heard_before(self, question: Question) -> Question:
        """The same question for a player who says that its new figures are known: asked among all others."""
        return self.coach.heard_before(question)

    def mark(self, question: Question, picks: Sequence[Figure | None], now: float, **how: Any) -> Mark:
        """The mark of the bar; the coach learns from it."""
        return self.coach.mark(question, picks, now, **how)

    def recall(self, now: float) -> Iterable[float]:
        """The chance of a right answer to each figure of the level at a time."""
        return map(float, self.coach.recall(now))
