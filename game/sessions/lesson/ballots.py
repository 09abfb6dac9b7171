"""Shows of hands, as a teacher types them in: a figure's letter, and then the number of hands if there is time."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
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

    @property
    def ballot(self) -> Ballot:
        """The ballot at the cursor."""
        return self.picks[self.place]

    def said(self, place: Poll) -> bool:
        # A letter with the number 0 shows no hands.
        return bool(self.picks[place].hands)

    def of_beat(self, beat: int) -> dict[Poll, Ballot]:
        """The ballots for a beat, in the order of the teams; empty where it is not asked."""
        return {poll: ballot for poll, ballot in self.picks.items() if poll.beat == beat}

    def write(self, ballot: Ballot) -> None:
        """Put a ballot in place of the one at the cursor; the cursor stays, for more digits may come."""
        # The dictionary is replaced, never changed: to hold on to the old one is copy enough.
        self._before.append((self.place, self.picks))
        self.picks = {**self.picks, self.place: ballot}

    def take_back(self) -> None:
        """Undo the last letter or digit, wherever it was typed, and go back there."""
        if self._before:
            self.place, self.picks = self._before.pop()


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
