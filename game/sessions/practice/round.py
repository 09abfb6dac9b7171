"""The rules of a round of practice: ten bars, each heard as often as wanted, answered and revealed.

A state machine without a window, a clock or a disk: times are passed in, and what is to be kept is handed
to ``keep``, with the question's name, before the reveal can be seen.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Protocol

from game.learning.evidence import Answer
from game.learning.question import Mark, Question
from game.learning.said import said_to
from shared.figures import Figure

BARS = 10
"""How many bars make a round."""

BAR_POINTS = 100
"""What a bar is worth when every beat is right after one hearing."""

HEARING_SHARES = (1.0, 0.8, 0.6)
"""The share of the points that one, two and three hearings leave; more hearings leave ``LEAST_SHARE``."""

LEAST_SHARE = 0.5

QUICKEST = 0.1
"""The shortest response time that is believed, in seconds."""


class Asker(Protocol):
    """What asks and marks: the coach."""

    def ask(self, now: float) -> Question:
        """The next question."""

    def mark(
        self, question: Question, picks: Sequence[Figure | None], now: float, seconds: float | None = None,
        hearings: int = 1,
    ) -> Mark:  # fmt: skip
        """What became of a question."""


class State(Enum):
    """Where a round stands."""

    ANSWERING = "answering"
    REVEALED = "revealed"
    FINISHED = "finished"


@dataclass(frozen=True)
class BarResult:
    """An answered bar: what was asked, what was said to each asked beat, and what it brought."""

    question: Question
    said: tuple[Figure | None, ...]
    right: tuple[bool, ...]
    hearings: int
    points: int

    def wrong(self) -> tuple[tuple[int, Figure, Figure | None], ...]:
        """The beats that were not right: place in the bar from 0, figure heard, figure said."""
        heard = (self.question.bar.figures[place] for place in self.question.asked)
        rows = zip(self.question.asked, heard, self.said, self.right, strict=True)
        return tuple((place, figure, said) for place, figure, said, right in rows if not right)


@dataclass(frozen=True)
class MixUp:
    """A figure that was taken for another (None: not answered), and how often."""

    heard: Figure
    said: Figure | None
    times: int


def points(right: Sequence[bool], hearings: int) -> int:
    """The points of a bar, 0 to ``BAR_POINTS``: the share of its beats that are right, less with each hearing."""
    share = HEARING_SHARES[hearings - 1] if 1 <= hearings <= len(HEARING_SHARES) else LEAST_SHARE
    return round(BAR_POINTS * share * sum(right) / len(right)) if right else 0


@dataclass
class PracticeRound:
    """One round.  ``place`` is the asked beat that the next pick fills, as a place in the bar from 0.

    ``id`` is the name under which the round is kept: that of its first question.

    Once a bar is revealed, ``upcoming`` is the question that comes next, with the coach's reason.
    """

    coach: Asker
    keep: Callable[[str, tuple[Answer, ...]], None]
    started: float
    bars: int = BARS
    results: list[BarResult] = field(default_factory=list)
    id: str = field(init=False)
    question: Question = field(init=False)
    picks: dict[int, Figure | None] = field(init=False)
    place: int = field(init=False)
    hearings: int = field(init=False)
    state: State = field(init=False)
    upcoming: Question | None = field(init=False)
    _answerable: float | None = field(init=False)
    _mark: Mark | None = field(init=False)

    def __post_init__(self) -> None:
        self._put(self.coach.ask(self.started))
        self.id = self.question.id

    # The bar at hand

    @property
    def number(self) -> int:
        """The number of the bar at hand, from 1."""
        return len(self.results) + (self.state is State.ANSWERING)

    @property
    def full(self) -> bool:
        """Whether every asked beat has a pick."""
        return all(self.picks[place] is not None for place in self.question.asked)

    @property
    def result(self) -> BarResult:
        """The last answered bar."""
        return self.results[-1]

    def hear(self, now: float, until_end: float = 0.0) -> None:
        """The player hears something of the bar; ``until_end``: seconds until the bar has sounded.

        The response time runs from the end of the first hearing.
        """
        if self.state is State.ANSWERING:
            self.hearings += 1
            if self._answerable is None:
                self._answerable = now + until_end

    def go_to(self, place: int) -> None:
        """Choose the beat that the next pick fills; a place that is not asked is passed over."""
        if place in self.question.asked:
            self.place = place

    def pick(self, figure: Figure) -> None:
        """Say a figure for the chosen beat, and go on to the next beat without one."""
        if self.state is not State.ANSWERING or self._mark is not None:
            return
        self.picks[self.place] = figure
        later = [place for place in self.question.asked if place > self.place]
        order = later + [place for place in self.question.asked if place < self.place]
        self.place = next((place for place in order if self.picks[place] is None), self.place)

    def clear(self) -> None:
        """Take back the pick of the chosen beat; where it has none, the one before it."""
        if self.state is not State.ANSWERING or self._mark is not None:
            return
        earlier = [place for place in self.question.asked if place < self.place]
        if self.picks[self.place] is None and earlier:
            self.place = earlier[-1]
        self.picks[self.place] = None

    def answer(self, now: float) -> BarResult:
        """Hand the picks in: marked, kept, and only then revealed.

        Whatever ``keep`` raises goes through; the answer can then be handed in again and is marked once.
        """
        if self.state is not State.ANSWERING:
            return self.result
        said = tuple(self.picks[place] for place in self.question.asked)
        hearings = max(1, self.hearings)
        if self._mark is None:
            self._mark = self.coach.mark(self.question, said, now, self._seconds(now), hearings)
        self.keep(self.question.id, self._mark.answers)
        right = self._mark.right
        self.results.append(BarResult(self.question, said, right, hearings, points(right, hearings)))
        self.state = State.REVEALED
        self.upcoming = None if self.complete else self.coach.ask(now)
        return self.result

    def exchange(self, question: Question) -> None:
        """Put another question in place of the one at hand, before anything is said to it."""
        if self.state is State.ANSWERING and self._mark is None:
            self._put(question)

    def go_on(self) -> None:
        """Leave the reveal for the next bar, or for the end of the round."""
        if self.state is not State.REVEALED:
            return
        if self.upcoming is None:
            self.state = State.FINISHED
        else:
            self._put(self.upcoming)

    def _put(self, question: Question) -> None:
        self.question = question
        self.picks = dict.fromkeys(self.question.asked)
        self.place = self.question.asked[0]
        self.hearings = 0
        self.state = State.ANSWERING
        self.upcoming = None
        self._answerable = None
        self._mark = None

    def _seconds(self, now: float) -> float | None:
        return None if self._answerable is None else max(QUICKEST, now - self._answerable)

    # The round so far

    @property
    def complete(self) -> bool:
        """Whether every bar of the round is answered."""
        return len(self.results) >= self.bars

    @property
    def beats(self) -> int:
        """How many beats were asked in the answered bars."""
        return sum(len(result.right) for result in self.results)

    @property
    def right(self) -> int:
        """How many of them were right."""
        return sum(sum(result.right) for result in self.results)

    @property
    def heard(self) -> int:
        """How many hearings the answered bars took."""
        return sum(result.hearings for result in self.results)

    @property
    def score(self) -> int:
        """The points so far."""
        return sum(result.points for result in self.results)

    @property
    def best_possible(self) -> int:
        """The points of a round without a fault."""
        return BAR_POINTS * self.bars

    def mix_ups(self) -> tuple[MixUp, ...]:
        """What was taken for what, the most frequent first, then in the order of first happening."""
        said = said_to((heard, named, 1) for result in self.results for _, heard, named in result.wrong())
        mixed = (MixUp(heard, named, round(times)) for (heard, named), times in said.items())
        return tuple(sorted(mixed, key=lambda one: -one.times))
