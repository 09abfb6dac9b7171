"""The rows of the log of answers, one for each asked beat and try, and counts of what was said to what was heard."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

KINDS = ("practice", "exam", "class", "listen")

ABILITIES = ("hearing", "reading", "playing")


@dataclass(frozen=True)
class Answer:
    """One asked beat and what was said to it: a row of the append-only log.

    ``at`` is in seconds since the epoch; ``level`` a level's name; ``meter`` like "4/4"; ``bar`` the whole
    bar's count and ``beat`` the place in it, from 0.  ``heard`` and ``said`` are figures counted on beat 1;
    ``said`` is None where the beat was skipped.  ``seconds`` is the response time, where it is known;
    ``tempo`` is in beats a minute.  ``kind`` is "practice", "exam", "class" or "listen", and ``share`` the
    part of a class, from 0 to 1, that said so.

    The rest tells how the answer came about; a row of an older record has the defaults.  ``choices`` are the
    counts of the figures on offer (none: all of the level's) and ``met`` those that were met right before.
    ``attempt`` is which try at this beat it was: marks, counters and bests take the first alone.  ``unsure``: the
    player said "not sure", and ``said`` is None; of a class, that it is not known what these took it for.
    ``changes`` counts how often the pick was changed, ``alone`` how often this beat was heard by itself, and ``slower``
    how many of the hearings were slower than was asked.  ``reason`` is the kind of reason for which the figure was
    asked and ``probability`` how likely it was to be; ``ability`` is "hearing", "reading" or "playing".
    """

    at: float
    level: str
    meter: str
    bar: str
    beat: int
    heard: str
    said: str | None
    seconds: float | None
    orchestration: str
    tempo: float
    hearings: int = 1
    kind: str = "practice"
    share: float = 1.0
    choices: tuple[str, ...] = ()
    met: tuple[str, ...] = ()
    attempt: int = 1
    unsure: bool = False
    changes: int = 0
    alone: int = 0
    slower: int = 0
    reason: str = ""
    probability: float | None = None
    ability: str = "hearing"

    @property
    def untold(self) -> bool:
        """Whether these are the ones of a class who did not have it, and of whom nothing else is known."""
        return self.kind == "class" and self.unsure


T = TypeVar("T")

Said = dict[tuple[T, T | None], float]
"""How often each thing was heard and another (None: nothing) was said to it, in the order of first happening."""


UNTOLD = ""
"""Said by those of a class who did not have it, where nothing else is known: wrong, and no mix-up and no skip."""


def said_to(beats: Iterable[tuple[T, T | None, float]]) -> Said[T]:
    """Count beats: what was heard, what was said, and the part of the room that said so (1 for one player)."""
    counts: Said[T] = {}
    for heard, said, share in beats:
        counts[heard, said] = counts.get((heard, said), 0.0) + share
    return counts


def first_tries(answers: Iterable[Answer]) -> Iterator[Answer]:
    """The answers that counts are made of: by ear, at the first try; a second was told that the first was wrong."""
    # A history of another hand may have a share of 0: nobody said so, and no share of nothing can be told.
    return (row for row in answers if row.attempt == 1 and row.ability == "hearing" and row.share > 0)


def as_of(now: float, answers: Iterable[Answer]) -> Iterator[Answer]:
    """The answers as they count at a time: those to come were given before the clock was set back, and count as now."""
    return (row if row.at <= now else replace(row, at=now) for row in answers)


def said_in(answers: Iterable[Answer]) -> Said[str]:
    """Count the first tries in a log, by the figures' counts."""
    return said_to((row.heard, UNTOLD if row.untold else row.said, row.share) for row in first_tries(answers))


def heard_in(said: Said[T]) -> dict[T, float]:
    """How often each thing was heard, whatever was said to it."""
    heard: dict[T, float] = {}
    for (one, _), times in said.items():
        heard[one] = heard.get(one, 0.0) + times
    return heard
