"""Shows of hands, as a teacher types them in: a figure's letter, and then the number of hands if there is time."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import NamedTuple

from game.sessions.answering.sheet import Places
from shared.figures import Figure

MOST_HANDS = 99


@dataclass(frozen=True)
class Ballot:
    """The hands that a room, or a team of it, showed for one beat.

    ``counts`` are the hands typed so far; ``chosen`` the figure whose letter was pressed last.  A letter
    pressed without any number means: most chose this.
    """

    counts: Mapping[Figure, int] = field(default_factory=dict)
    chosen: Figure | None = None

    def choose(self, figure: Figure) -> "Ballot":
        """The letter of a figure was pressed."""
        return replace(self, chosen=figure)

    def typed(self, digit: int) -> "Ballot":
        """A digit of the number of hands for the chosen figure; what would be more than 99 is not taken."""
        if self.chosen is None:
            return self
        hands = self.counts.get(self.chosen, 0) * 10 + digit
        return self if hands > MOST_HANDS else replace(self, counts={**self.counts, self.chosen: hands})

    @property
    def counted(self) -> bool:
        """Whether hands were counted, rather than only the letter that most chose."""
        return any(self.counts.values())

    @property
    def hands(self) -> dict[Figure, int]:
        """The hands for each figure; a single one for the letter that most chose; none when nothing was typed."""
        if self.counted:
            return {figure: count for figure, count in self.counts.items() if count}
        # A letter whose number is 0 was taken back by that: it is not what most chose.
        return {self.chosen: 1} if self.chosen and self.chosen not in self.counts else {}

    @property
    def leader(self) -> Figure | None:
        """The figure with more hands than any other; None on a tie or when nothing was typed."""
        ranked = sorted(self.hands.items(), key=lambda item: -item[1])
        if not ranked or (len(ranked) > 1 and ranked[0][1] == ranked[1][1]):
            return None
        return ranked[0][0]


class Poll(NamedTuple):
    """A show of hands: for an asked beat (its place in the bar, from 0), of a team by its number from 0.

    Without teams the room is team 0.
    """

    beat: int
    team: int


class Hands(Places[Poll, Ballot]):
    """The hands that a class shows for a bar, poll by poll.  What was typed last can always be taken back."""

    def __init__(self, polls: Sequence[Poll]) -> None:
        super().__init__(polls, Ballot())
        self._before: list[tuple[Poll, dict[Poll, Ballot]]] = []
        self._lettered: Poll | None = None
        self.done = False
        """Whether the last poll has its letter, so that there is nothing more to ask."""

    @property
    def ballot(self) -> Ballot:
        """The ballot at the cursor."""
        return self.picks[self.place]

    @property
    def last(self) -> bool:
        """Whether the cursor is on the last poll."""
        return self.place == self.asked[-1]

    @property
    def counts_for(self) -> Poll | None:
        """The poll that a number typed now belongs to: the one whose letter was pressed last."""
        return self.place if self.ballot.chosen else self._lettered

    def said(self, place: Poll) -> bool:
        # A letter with the number 0 shows no hands.
        return bool(self.picks[place].hands)

    def of_beat(self, beat: int) -> dict[Poll, Ballot]:
        """The ballots for a beat, in the order of the teams; empty where it is not asked."""
        return {poll: self.picks[poll] for poll in sorted(self.picks) if poll.beat == beat}

    def choose(self, figure: Figure) -> None:
        """A letter for the poll at the cursor, which goes on to the next poll unless hands are being counted."""
        # Once hands are counted, a letter is the next figure of the same poll; else it is all that the poll gets.
        counting = bool(self.ballot.counts)
        self._write(self.ballot.choose(figure))
        self.done = False
        if not counting:
            self._lettered = self.place
            self.done = self.last
            if not self.last:
                super().step(1)

    def type_digit(self, digit: int) -> None:
        """A digit for the letter pressed last, back at its poll."""
        # The letter before it has moved the cursor on already: the number goes back to where it was pressed.
        here = self.place
        self.place = self.counts_for or here
        self._write(self.ballot.typed(digit), here)
        self.done = False

    def step(self, step: int) -> None:
        super().step(step)
        self._lettered, self.done = None, False

    def _write(self, ballot: Ballot, back_to: Poll | None = None) -> None:
        """Put a ballot in place of the one at the cursor."""
        # The dictionary is replaced, never changed: to hold on to the old one is copy enough.
        self._before.append((back_to or self.place, self.picks))
        self.picks = {**self.picks, self.place: ballot}

    def take_back(self) -> None:
        """Undo the last letter or digit, wherever it was typed, and go back there."""
        if self._before:
            self.place, self.picks = self._before.pop()
            self._lettered, self.done = None, False


class Had(Enum):
    """How many of a room had it: hands of twenty that stand for what is not counted."""

    # Never all or none, and few as far below half as most is above it: a glance round a room counts nothing, and must
    # not make the coach sure.
    MOST = 17
    HALF = 10
    FEW = 3

    @property
    def right(self) -> int:
        """Those who were right, of twenty."""
        return self.value

    @property
    def others(self) -> int:
        """The rest."""
        return OF_TWENTY - self.value

    @property
    def following(self) -> "Had":
        """The next one, round and round."""
        order = list(Had)
        return order[(order.index(self) + 1) % len(order)]


OF_TWENTY = 20


@dataclass(frozen=True)
class Saying:
    """A figure that was said to a beat, and by how many hands or, in teams, by most of which (by number).

    ``hands`` is 0 where only the letter of most was typed.  ``weight`` is what it counts beside the others.
    """

    figure: Figure
    hands: int
    teams: tuple[int, ...]
    weight: float


def sayings(ballots: Mapping[Poll, Ballot]) -> list[Saying]:
    """All that a room or its teams said to a beat, the most frequent first."""
    given = {poll.team: ballot for poll, ballot in ballots.items() if ballot.hands}
    counts = merged(given.values())
    hands: Counter[Figure] = Counter()
    for ballot in given.values():
        if ballot.counted:
            hands.update(ballot.hands)
    figures = sorted((figure for figure in counts if figure), key=lambda figure: -counts[figure])
    teams = {figure: tuple(t for t, ballot in given.items() if ballot.leader == figure) for figure in figures}
    return [Saying(figure, hands[figure], teams[figure], counts[figure]) for figure in figures]


def merged(ballots: Iterable[Ballot]) -> dict[Figure | None, int]:
    """The hands of several teams together: counted where all were counted, else one voice for each team."""
    given = [ballot for ballot in ballots if ballot.hands]
    total: Counter[Figure | None] = Counter()
    for ballot in given:
        # Teams that counted hands would outvote those that only typed a letter, so all or none count by hands.
        if all(other.counted for other in given):
            total.update(ballot.hands)
        elif ballot.leader:
            total[ballot.leader] += 1
    return dict(total)
