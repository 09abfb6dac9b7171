"""The values that pass between coach and screens: a question, the reason for it, and the mark of its answers."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from game.learning.evidence import Answer
from shared.bars import Bar
from shared.figures import Figure
from shared.orchestration import Setting

# Drawn once and never to be changed: under another one every answer that is brought in again would count as new.
QUESTIONS = UUID("5d0d7e3e-2f6b-4a1c-9a57-9b1f6c0e8d42")
"""The namespace of the names of questions."""


class CoachError(ValueError):
    """Something that the coach cannot work with.  The message says what, where and what would do."""


def question_id(*origin: object) -> str:
    """A UUID for the question that was made from these values: the same values give the same name.

    The name is worked out (UUID version 5, RFC 9562), not drawn, so that keeping an answer again adds nothing.
    """
    # By their representation, which tells the number 1 from the text "1", and one value from two.
    return str(uuid5(QUESTIONS, repr(origin)))


@dataclass(frozen=True)
class Reason:
    """Why a bar was chosen: ``words`` about ``figures`` that are drawn, or named by their counts, beside them.

    ``kind`` is what the log keeps of it: "mixed up", "new", "away", "unsteady" or "known"; "" where nobody chose.
    """

    words: str
    kind: str = ""
    figures: tuple[Figure, ...] = ()

    def __str__(self) -> str:
        """All of it as text, its figures in the words that are typed."""
        return self.told(lambda count: count)

    def told(self, shown: Callable[[str], str]) -> str:
        """All of it as text, each figure as its count is ``shown``."""
        named = " and ".join(shown(figure.count) for figure in self.figures)
        return f"{named}: {self.words}" if named else self.words


@dataclass(frozen=True)
class Question:
    """A bar to be heard and named.

    ``asked`` are the places of ``bar.figures`` to be named, from 0; ``choices`` the figures on offer, at least two
    of the level's and in its order; ``reason`` why this bar was chosen.  ``id`` is a UUID, the name
    under which the answers are kept, however often that is tried.  ``meets`` are figures to be met before the
    question is put, ``again`` one that was met before and is heard once more; ``probabilities`` how likely each asked
    figure was to be chosen, where that is known.  ``memory`` is what is asked of the memory, a step of
    ``game.learning.staircase``; ``then`` the question whose bar sounds right after this one, where two bars are named
    from memory.
    """

    bar: Bar
    asked: tuple[int, ...]
    choices: tuple[Figure, ...]
    setting: Setting
    reason: Reason
    id: str
    meets: tuple[Figure, ...] = ()
    probabilities: tuple[float, ...] = ()
    again: tuple[Figure, ...] = ()
    memory: int = 0
    then: "Question | None" = None

    def only(self, places: Iterable[int]) -> "Question":
        """The same question with some of its asked places alone: those that are tried again, or were answered."""
        kept = set(places)
        # Not every question knows its probabilities: then there are none to be kept either.
        chances = dict(zip(self.asked, self.probabilities, strict=False))
        asked = tuple(place for place in self.asked if place in kept)
        return replace(self, asked=asked, probabilities=tuple(chances[place] for place in asked if place in chances))

    @property
    def asked_figures(self) -> tuple[Figure, ...]:
        """The figures to be named, in order."""
        return tuple(self.bar.figures[place] for place in self.asked)


@dataclass(frozen=True)
class Mark:
    """The mark of a question.

    ``right`` tells for each asked beat whether it was named right (of a class: by more than half of
    the hands); ``answers`` are the rows for the log.
    """

    right: tuple[bool, ...]
    answers: tuple[Answer, ...]

    @property
    def score(self) -> float:
        """The share of right answers, from 0 to 1."""
        return sum(row.share for row in self.answers if row.said == row.heard) / len(self.right)
