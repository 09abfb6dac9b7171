"""Counts of the last ten answers to each figure, for sentences such as "named in 3 of your last 10".

The beliefs of ``curves`` are probabilities, which a sentence for a player can't quote; these are plain counts.
"""

from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from game.learning.beats import Beat
from game.learning.evidence import Said, said_to

REMEMBERED = 10
"""How many of the last answers to each figure are counted."""


class Entry(NamedTuple):
    """An answered beat: its place in the log, the figure heard, and what was said to it, in a class by shares."""

    number: int
    heard: int
    said: tuple[tuple[int, float], ...]


class MixUps(NamedTuple):
    """How often, among the last ``answers`` to two figures, one was said for the other; of a class in shares.

    ``since`` is how many right answers to either have come after the last time.
    """

    mixed: float
    answers: int
    since: int = 0


class RecentAnswers:
    """The last answers to each figure of a level, and the places in the bar where each was heard."""

    def __init__(self, figures: int, beats: int) -> None:
        self.places = np.zeros((figures, beats), dtype=np.int64)
        self._recent: list[deque[Entry]] = [deque(maxlen=REMEMBERED) for _ in range(figures)]
        self._answers = 0

    def note(self, bar: list[Beat], places: list[int]) -> None:
        """Take in an answered bar; ``places`` are the beats, from 0, that were asked."""
        for beat, place in zip(bar, places, strict=True):
            self._answers += 1
            self._recent[beat.heard].append(Entry(self._answers, beat.heard, beat.said))
            # An answer in a longer meter may lie beyond this level's last beat.
            if place < self.places.shape[1]:
                self.places[beat.heard, place] += 1

    def mix_ups(self, first: int, second: int) -> MixUps:
        """How often the two were mixed up in the last answers to either."""
        entries = self._last(first, second)
        said = _said(entries)
        mixed = said.get((first, second), 0.0) + said.get((second, first), 0.0)
        return MixUps(mixed, len(entries), _right_since_mixed(entries, {first, second}))

    def mixed_up(self, first: int, second: int, least: float) -> bool:
        """Whether the two were mixed up so often, or oftener, in the last answers to either."""
        # A quick no first: most pairs of a level were never mixed up, and every pair of every bar is asked about.
        ever = any(figure == second for entry in self._recent[first] for figure, _ in entry.said)
        ever = ever or any(figure == first for entry in self._recent[second] for figure, _ in entry.said)
        return ever and self.mix_ups(first, second).mixed >= least

    def right(self, figure: int) -> tuple[float, int]:
        """How many of the last answers to a figure were right, and how many there were."""
        entries = self._last(figure)
        return _said(entries).get((figure, figure), 0.0), len(entries)

    def _last(self, *figures: int) -> list[Entry]:
        # In the order of the log, so that of two figures the ten last answers to either are meant, not ten to each.
        return sorted(self._entries(figures))[-REMEMBERED:]

    def _entries(self, figures: tuple[int, ...]) -> Iterator[Entry]:
        for figure in figures:
            yield from self._recent[figure]


def _said(entries: list[Entry]) -> Said[int]:
    return said_to((entry.heard, said, share) for entry in entries for said, share in entry.said)


def _right_since_mixed(entries: list[Entry], pair: set[int]) -> int:
    """How many of the answers after the last mix-up of a pair were right, of a class by most of the hands."""
    since = 0
    for entry in entries:
        shares = dict(entry.said)
        since += shares.get(entry.heard, 0.0) > 0.5
        if any(shares.get(figure) for figure in pair - {entry.heard}):
            since = 0
    return since
