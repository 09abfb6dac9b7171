"""The coach: what a player confuses, what to ask next and why, and what an exam would bring.

Only what the records need is here: they open at once, without numpy.  The coach itself is ``learning.coach.Coach``,
its forecast ``learning.forecast.Forecast``.
"""

from game.learning.evidence import Answer
from game.learning.question import CoachError, Mark, Question

__all__ = ["Answer", "CoachError", "Mark", "Question"]
