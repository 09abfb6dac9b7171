"""The sheet on which a bar is answered: where the next pick goes, what was said, how long it took, what was changed.

Practice, a mock exam and the terminal answer on one; it knows no right and no wrong.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TypedDict

from shared.figures import Figure

QUICKEST = 0.1
"""The shortest response time that is believed, in seconds."""


class HowAnswered(TypedDict):
    """What ``Coach.mark`` is told beside the picks: for each asked beat, but for ``slower``."""

    seconds: float | Sequence[float | None] | None
    hearings: int
    changes: Sequence[int]
    alone: Sequence[int]
    slower: int
    unsure: Sequence[bool]


class Sheet:
    """What is said to the ``asked`` beats of a bar (places from 0), out of some ``choices``.

    ``place`` is the beat that the next pick fills.  ``refused`` is what was said to a beat before and was not
    right: it can't be said to it again.  Of the ``hearings`` some are ``slower``, of
    these ``slower_bars`` of the whole bar.  Once ``closed`` nothing changes any more.
    """

    def __init__(
        self, asked: Sequence[int], choices: Sequence[Figure], refused: Mapping[int, Figure | None] | None = None
    ) -> None:
        self.asked = tuple(asked)
        self.choices = tuple(choices)
        self.refused = dict(refused or {})
        self.place = self.asked[0]
        self.picks: dict[int, Figure | None] = dict.fromkeys(self.asked)
        self.unsure: set[int] = set()
        self.hearings = self.slower = self.slower_bars = 0
        self.closed = False
        self._alone: Counter[int] = Counter()
        self._changes: Counter[int] = Counter()
        self._said: dict[int, Figure | None] = {}
        self._spent: dict[int, float] = {}
        self._since: float | None = None
        self._start: float | None = None

    # Hearing

    def hear(self, now: float, until_end: float = 0.0, beat: int | None = None, slower: bool = False) -> None:
        """The player hears the bar, or one ``beat`` of it; ``until_end``: seconds until the bar has sounded.

        The response time runs from the end of the first hearing.
        """
        if self.closed:
            return
        self.hearings += 1
        self.slower += slower
        if beat is not None:
            self._alone[beat] += 1
        else:
            self.slower_bars += slower
        # Only of the first hearing: to hear again is part of the time that an answer takes.
        if self._start is None:
            self._start = self._since = now + until_end

    def heard_alone(self, place: int) -> int:
        """How often a beat was heard by itself."""
        return self._alone[place]

    # Saying

    def said(self, place: int) -> bool:
        """Whether something was said to a beat, be it "not sure"."""
        return self.picks[place] is not None or place in self.unsure

    @property
    def missing(self) -> tuple[int, ...]:
        """The beats to which nothing was said."""
        return tuple(place for place in self.asked if not self.said(place))

    @property
    def full(self) -> bool:
        """Whether something was said to every beat."""
        return not self.missing

    def may_pick(self, figure: Figure) -> bool:
        """Whether a figure can be said to the chosen beat."""
        return not self.closed and figure in self.choices and self.refused.get(self.place) != figure

    def go_to(self, place: int) -> None:
        """Choose the beat that the next pick fills; a place that is not asked is passed over."""
        if place in self.picks:
            self.place = place

    def step(self, step: int) -> None:
        """Choose the beat so many on, round and round."""
        self.place = self.asked[(self.asked.index(self.place) + step) % len(self.asked)]

    def pick(self, figure: Figure, now: float | None = None) -> bool:
        """Say a figure to the chosen beat, and go on to the next that has none; False where it can't be said.

        ``now`` is when it was said, where that tells something of this beat alone.
        """
        if not self.may_pick(figure):
            return False
        self._write(figure, now)
        return True

    def not_sure(self, now: float | None = None) -> None:
        """Say "not sure" to the chosen beat, and go on."""
        if not self.closed:
            self._write(None, now)

    def clear(self) -> None:
        """Take back what was said to the chosen beat; where that is nothing, to the one before it."""
        if self.closed:
            return
        if not self.said(self.place) and self.place != self.asked[0]:
            self.step(-1)
        self._erase(self.place)

    def _write(self, figure: Figure | None, now: float | None) -> None:
        place = self.place
        # Held against what was said last even if it was taken back in between: that is a change of mind too.
        if place in self._said and self._said[place] != figure:
            self._changes[place] += 1
        self._said[place] = figure
        self._erase(place)
        self.picks[place] = figure
        if figure is None:
            self.unsure.add(place)
        if now is not None and self._since is not None:
            self._spent[place] = self._spent.get(place, 0.0) + max(0.0, now - self._since)
            self._since = max(now, self._since)
        # On to the next open beat, and from the last one back to an earlier open one.
        later = [other for other in self.missing if other > place]
        self.place = next(iter(later or self.missing), place)

    def _erase(self, place: int) -> None:
        self.picks[place] = None
        self.unsure.discard(place)

    # Handing in

    @property
    def answers(self) -> tuple[Figure | None, ...]:
        """What was said to each asked beat."""
        return tuple(self.picks[place] for place in self.asked)

    def how(self, now: float) -> HowAnswered:
        """How the answers came about, handed in at ``now``.

        A beat's time is what was spent between the answer before it and its own, added up where it was changed;
        where no answer was timed it is one time for the bar.
        """
        seconds: float | list[float | None] | None = None
        if self._spent:
            spent = [self._spent.get(place) for place in self.asked]
            seconds = [None if time is None else max(QUICKEST, time) for time in spent]
        elif self._start is not None:
            seconds = max(QUICKEST, now - self._start)
        return HowAnswered(
            seconds=seconds,
            hearings=max(1, self.hearings),
            changes=[self._changes[place] for place in self.asked],
            alone=[self._alone[place] for place in self.asked],
            slower=self.slower,
            unsure=[place in self.unsure for place in self.asked],
        )
