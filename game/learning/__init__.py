"""The door to the coach: what other packages use of it, above all ``Coach``, ``Question`` and ``Answer``.

Whoever uses the coach from outside finds it here.  It and its forecast need numpy and are imported when they are
first asked for, so that the records, which only need ``Answer``, open at once.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from game.learning.evidence import Answer
from game.learning.question import CoachError, Mark, Question

if TYPE_CHECKING:
    from game.learning.coach import Coach
    from game.learning.forecast import Forecast

__all__ = ["Answer", "Coach", "CoachError", "Forecast", "Mark", "Question"]

_ON_DEMAND = {"Coach": "game.learning.coach", "Forecast": "game.learning.forecast"}


def __getattr__(name: str) -> object:
    if name not in _ON_DEMAND:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_ON_DEMAND[name]), name)
