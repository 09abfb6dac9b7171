"""What the coach asks and what became of it."""

from dataclasses import dataclass

from game.learning.evidence import Answer
from shared.bars import Bar
from shared.figures import Figure
from shared.orchestration import Setting


class CoachError(ValueError):
    """Something that the coach cannot work with.  The message says what, where and what would do."""


@dataclass(frozen=True)
class Question:
    """A bar to be heard and named.

    ``asked`` are the places of ``bar.figures`` to be named, from 0; ``choices`` the figures on offer,
    always all of the level's and in its order; ``reason`` why this bar was chosen, in one sentence.
    """

    bar: Bar
    asked: tuple[int, ...]
    choices: tuple[Figure, ...]
    setting: Setting
    reason: str

    @property
    def asked_figures(self) -> tuple[Figure, ...]:
        """The figures to be named, in order."""
        return tuple(self.bar.figures[place] for place in self.asked)


@dataclass(frozen=True)
class Mark:
    """What became of a question.

    ``right`` tells for each asked beat whether it was named right (of a class: by more than half of
    the hands); ``answers`` are the rows for the log.
    """

    right: tuple[bool, ...]
    answers: tuple[Answer, ...]

    @property
    def score(self) -> float:
        """The share of right answers, from 0 to 1."""
        return sum(row.share for row in self.answers if row.said == row.heard) / len(self.right)
