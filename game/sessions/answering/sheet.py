"""The sheet on which a bar is answered: its asked places, what was said to each, and where the next answer goes.

Practice, a mock exam, reading and the terminal answer on a ``Sheet``; a class shows its hands on ``Hands``, which is
made of the same ``Places`` (``sessions.lesson.ballots``).  None of them knows right from wrong.
"""

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from typing import Generic, TypedDict, TypeVar

Place = TypeVar("Place", bound=Hashable)
"""Where an answer goes: a beat, from 0, or with teams a beat and a team."""

Said = TypeVar("Said")
"""An answer to a place: a figure or nothing, or a show of hands."""

Option = TypeVar("Option")
"""A thing that a player can pick: a figure, or in reading the number of a bar or beat."""

QUICKEST = 0.1
"""The shortest response time that is believed, in seconds."""


class HowAnswered(TypedDict):
    """The keywords of ``Coach.mark`` beside the picks: each for each asked beat, but for ``slower``."""

    seconds: float | Sequence[float | None] | None
    hearings: int
    changes: Sequence[int]
    alone: Sequence[int]
    slower: int
    unsure: Sequence[bool]


class Places(Generic[Place, Said]):
    """The ``asked`` places in their order, what was said to each (``picks``), and the cursor.

    The cursor, ``place``, is where the next answer goes.  ``nothing`` is the value of a place without an answer.
    ``hearings`` is how often the bar was heard before it was answered.
    """

    def __init__(self, asked: Sequence[Place], nothing: Said) -> None:
        self.asked = tuple(asked)
        self.place = self.asked[0]
        self.picks: dict[Place, Said] = dict.fromkeys(self.asked, nothing)
        self.hearings = 0
        self._nothing = nothing

    def said(self, place: Place) -> bool:
        """Whether something was said to a place."""
        return self.picks[place] != self._nothing

    @property
    def missing(self) -> tuple[Place, ...]:
        """The places to which nothing was said."""
        return tuple(place for place in self.asked if not self.said(place))

    @property
    def full(self) -> bool:
        """Whether something was said to every place."""
        return not self.missing

    def go_to(self, place: Place) -> None:
        """Move the cursor to a place; one that is not asked is passed over."""
        if place in self.picks:
            self.place = place

    def step(self, step: int) -> None:
        """Move the cursor so many places on, round and round."""
        self.place = self.asked[(self.asked.index(self.place) + step) % len(self.asked)]

    def go_on(self) -> None:
        """Move the cursor to the next open place; from the last one back to an earlier one, else nowhere."""
        here = self.asked.index(self.place)
        later = [place for place in self.asked[here + 1 :] if not self.said(place)]
        self.place = next(iter(later or self.missing), self.place)


class Sheet(Places[int, Option | None], Generic[Option]):
    """The answers of one player to the ``asked`` beats of a bar (places from 0), out of some ``choices``.

    ``refused`` is the wrong answer to a beat from the first try: it can't be said to it again.  Of the
    ``hearings`` some are ``slower``, of these ``slower_bars`` of the whole bar.  Once ``closed`` nothing changes any
    more.
    """

    def __init__(
        self, asked: Sequence[int], choices: Sequence[Option], refused: Mapping[int, Option | None] | None = None
    ) -> None:
        super().__init__(asked, None)
        self.choices = tuple(choices)
        self.refused = dict(refused or {})
        self.unsure: set[int] = set()
        self.closed = False
        self.slower = self.slower_bars = 0
        self._alone: Counter[int] = Counter()
        self._changes: Counter[int] = Counter()
        self._said: dict[int, Option | None] = {}
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

    def unhear(self, beat: int | None = None, slower: bool = False) -> None:
        """Take back the last hearing, which was broken off before the bar, or its ``beat``, began to sound."""
        if self.closed or not self.hearings:
            return
        self.hearings -= 1
        self.slower -= slower
        if beat is not None:
            self._alone[beat] -= 1
        else:
            self.slower_bars -= slower
        if not self.hearings:
            self._start = self._since = None

    def heard_alone(self, place: int) -> int:
        """How often a beat was heard by itself."""
        return self._alone[place]

    # Saying

    def said(self, place: int) -> bool:
        """Whether something was said to a beat, be it "not sure"."""
        # "Not sure" is an answer, though it leaves no pick: the beat is no longer open.
        return super().said(place) or place in self.unsure

    def may_pick(self, choice: Option) -> bool:
        """Whether a choice can be said to the chosen beat."""
        return not self.closed and choice in self.choices and self.refused.get(self.place) != choice

    def pick(self, choice: Option, now: float | None = None) -> bool:
        """Say a choice to the chosen beat, and go on to the next that has none; False where it can't be said.

        ``now`` is when it was said, where that tells something of this beat alone.
        """
        if not self.may_pick(choice):
            return False
        self._write(choice, now)
        return True

    def not_sure(self, now: float | None = None) -> None:
        """Say "not sure" to the chosen beat, and go on."""
        if not self.closed:
            self._write(None, now)

    def take_back(self) -> None:
        """Take back what was said to the chosen beat; where that is nothing, to the one before it."""
        if self.closed:
            return
        if not self.said(self.place) and self.place != self.asked[0]:
            self.step(-1)
        self._erase(self.place)

    def _write(self, choice: Option | None, now: float | None) -> None:
        place = self.place
        # Compared with the last answer even if that was taken back in between: that is a change of mind too.
        if place in self._said and self._said[place] != choice:
            self._changes[place] += 1
        self._said[place] = choice
        self._erase(place)
        self.picks[place] = choice
        if choice is None:
            self.unsure.add(place)
        if now is not None and self._since is not None:
            self._spent[place] = self._spent.get(place, 0.0) + max(0.0, now - self._since)
            # An answer given while the bar still sounds took no time; the time of the next one begins with the bar's
            # end.
            self._since = max(now, self._since)
        self.go_on()

    def _erase(self, place: int) -> None:
        self.picks[place] = None
        self.unsure.discard(place)

    # Handing in

    @property
    def answers(self) -> tuple[Option | None, ...]:
        """The answer to each asked beat; None where nothing, or "not sure", was said."""
        return tuple(self.picks[place] for place in self.asked)

    def how(self, now: float) -> HowAnswered:
        """How the answers came about, handed in at ``now``.

        A beat's time runs from the answer before it to its own, added up where it was changed;
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
            # At least one, as marking asks: a bar may be handed in whose only hearing was broken off (``unhear``).
            hearings=max(1, self.hearings),
            changes=[self._changes[place] for place in self.asked],
            alone=[self._alone[place] for place in self.asked],
            slower=self.slower,
            unsure=[place in self.unsure for place in self.asked],
        )
