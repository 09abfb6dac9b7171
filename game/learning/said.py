"""What was said to what was heard, counted the one way in which every page, paper and command counts it."""

from collections.abc import Iterable, Iterator
from typing import TypeVar

from game.learning.evidence import Answer

T = TypeVar("T")

Said = dict[tuple[T, T | None], float]
"""How often each thing was heard and another (None: nothing) was said to it, in the order of first happening."""


def said_to(beats: Iterable[tuple[T, T | None, float]]) -> Said[T]:
    """Count beats: what was heard, what was said, and the part of the room that said so (1 for one player)."""
    counts: Said[T] = {}
    for heard, said, share in beats:
        counts[heard, said] = counts.get((heard, said), 0.0) + share
    return counts


def first_tries(answers: Iterable[Answer]) -> Iterator[Answer]:
    """The answers that counts are made of: by ear, at the first try; a second was told that the first was wrong."""
    return (row for row in answers if row.attempt == 1 and row.ability == "hearing")


def said_in(answers: Iterable[Answer]) -> Said[str]:
    """Count the first tries in a log, by the figures' counts."""
    return said_to((row.heard, row.said, row.share) for row in first_tries(answers))


def heard_in(said: Said[T]) -> dict[T, float]:
    """How often each thing was heard, whatever was said to it."""
    heard: dict[T, float] = {}
    for (one, _), times in said.items():
        heard[one] = heard.get(one, 0.0) + times
    return heard
