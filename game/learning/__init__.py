"""The coach: what a player confuses, what to ask next and why, and what an exam would bring."""

from game.learning.coach import Coach
from game.learning.evidence import Answer
from game.learning.forecast import Forecast
from game.learning.question import CoachError, Mark, Question

__all__ = ["Answer", "Coach", "CoachError", "Forecast", "Mark", "Question"]
