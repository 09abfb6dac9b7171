"""The rules of a round of practice: ten bars, each heard as often as the player likes, answered and revealed.

A state machine without a window, a clock or a disk: times are passed in, and what is to be kept is handed
to ``keep``, with the question's name, before the reveal can be seen.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Any

from game.learning.evidence import Answer, said_to
from game.learning.question import Mark, Question, Reason
from game.learning.staircase import FREELY, UNCOUNTED
from game.sessions.answering.sheet import Sheet
from game.sessions.practice.asker import Asker
from game.sessions.practice.closing import PASSED
from game.sessions.practice.scoring import BEAT_POINTS, beat_points, score, why
from game.wording import DAY_SECONDS
from shared.figures import Figure

BARS = 10
"""How many bars make a round."""

FEWEST_CHOICES = 3
"""A second try is given where so many figures remain: with two it would tell the answer."""

LAST_ALONE = Reason("The last bar of the round: one alone, heard once, without a count-in.", "known")
"""The reason for a bar that has no partner in the round."""


class State(Enum):
    """Where a round stands."""

    ANSWERING = "answering"
    AGAIN = "answering once more"
    REVEALED = "revealed"
    FINISHED = "finished"


@dataclass(frozen=True)
class BarResult:
    """An answered bar: what was asked, what was said to each asked beat, and how it was heard.

    ``hearings`` is how often the bar was heard, or a beat of it; ``alone`` how often each asked beat was, and
    ``slower`` how many hearings of the whole bar were slower.  ``mended`` are the beats, as places in the bar from 0,
    that were right at the second try only, ``unsure`` those to which "not sure" was said; all else is of the first.
    """

    question: Question
    said: tuple[Figure | None, ...]
    right: tuple[bool, ...]
    hearings: int
    alone: tuple[int, ...]
    slower: int = 0
    mended: tuple[int, ...] = ()
    unsure: tuple[int, ...] = ()

    @property
    def named(self) -> tuple[Figure, ...]:
        """The figures that were named right at the first try."""
        rows = zip(self.question.asked_figures, self.right, strict=True)
        return tuple(figure for figure, right in rows if right)

    @property
    def whole(self) -> int:
        """How often the whole bar was heard."""
        return max(1, self.hearings - sum(self.alone))

    @property
    def beat_points(self) -> tuple[int, ...]:
        """The points that each asked beat earned."""
        replays = self.whole - 1 + self.slower
        beats = zip(self.question.asked, self.right, self.alone, strict=True)
        return tuple(beat_points(right, place in self.mended, replays + alone) for place, right, alone in beats)

    @property
    def points(self) -> int:
        """The points that the bar earned."""
        return sum(self.beat_points)

    @property
    def possible(self) -> int:
        """The most points that the bar could have earned."""
        return BEAT_POINTS * len(self.right)

    @property
    def why(self) -> tuple[str, ...]:
        """Why it earned what it did, a few words for each thing that counted."""
        beats = [place + 1 for place in self.question.asked]
        return why(self.right, len(self.mended), self.whole, self.slower, self.alone, beats)

    def wrong(self) -> tuple[tuple[int, Figure, Figure | None], ...]:
        """The beats that were not right: place in the bar from 0, figure heard, figure said."""
        heard = (self.question.bar.figures[place] for place in self.question.asked)
        rows = zip(self.question.asked, heard, self.said, self.right, strict=True)
        return tuple((place, figure, said) for place, figure, said, right in rows if not right)


@dataclass(frozen=True)
class Mistaken:
    """A figure that was taken for another (None: not answered), and how often."""

    heard: Figure
    said: Figure | None
    times: int


@dataclass
class PracticeRound:
    """One round.  The bar at hand is answered on its ``sheet``.

    With ``second_tries`` the beats that are wrong are opened once more before the bar is revealed; marks, counters
    and the score's hearings are those of the first try.  ``before`` is how firm the figures were when the round began.
    Once a bar is revealed, ``upcoming`` is the question that comes next, with
    the coach's reason.  A ``closing`` round gives each bar one hearing and one try, and so does a question that is
    asked from memory; where that holds two bars, both are answered before the first is revealed.  ``end`` makes the
    page after the last bar, where it isn't the usual one: such a round has no score among the others.
    """

    coach: Asker
    keep: Callable[[str, tuple[Answer, ...]], None]
    started: float
    bars: int = BARS
    second_tries: bool = False
    closing: bool = False
    end: Callable[["PracticeRound"], Any] | None = field(default=None, kw_only=True)
    results: list[BarResult] = field(default_factory=list)
    id: str = field(init=False)
    before: tuple[float, ...] = field(init=False)
    question: Question = field(init=False)
    sheet: Sheet[Figure] = field(init=False)
    state: State = field(init=False)
    upcoming: Question | None = field(init=False)
    _mark: Mark | None = field(init=False)
    _first: BarResult | None = field(init=False)
    _unrevealed: list[BarResult] = field(default_factory=list, init=False)
    _revealed: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        self.before = self.recalled(self.started)
        self._put(_opening(self._next(self.started)))
        # The round is kept under the name of its first question, which no other round has.
        self.id = self.question.id

    def recalled(self, now: float) -> tuple[float, ...]:
        """The chance of a right answer to each figure a day on, as it stands now."""
        # A day on and not now: right after a round every figure still echoes, and all would look known.
        return tuple(self.coach.recall(now + DAY_SECONDS))

    # The bar at hand

    @property
    def answering(self) -> bool:
        """Whether the bar at hand is being answered, for the first time or once more."""
        return self.state in (State.ANSWERING, State.AGAIN)

    @property
    def number(self) -> int:
        """The number of the bar at hand, from 1."""
        return len(self.results) + len(self._unrevealed) + 1 if self.answering else self._revealed + 1

    @property
    def once(self) -> bool:
        """Whether the bar at hand is heard once, and not again before it is revealed."""
        return self.answering and (self.closing or self.question.memory > FREELY)

    @property
    def second(self) -> bool:
        """Whether the bar at hand sounded with the one before it, and is to be answered now."""
        return bool(self._unrevealed)

    @property
    def has_second(self) -> bool:
        """Whether the bar after the revealed one was answered together with it, and is revealed next."""
        return self.state is State.REVEALED and self._revealed < len(self.results) - 1

    @property
    def place(self) -> str:
        """Where the round stands, in a few words."""
        return f"Bar {self.number} of {self.bars}"

    @property
    def result(self) -> BarResult:
        """The bar that is revealed; of one whose wrong beats are open again, the first try."""
        return self._first or self.results[self._revealed]

    @property
    def shown(self) -> dict[int, Figure | None]:
        """The answers on the asked beats; those that were right stay while the others are tried again."""
        first = dict(zip(self.question.asked, self._first.said, strict=True)) if self._first else {}
        return {place: self.sheet.picks.get(place, first.get(place)) for place in self.question.asked}

    def answer(self, now: float) -> BarResult:
        """Hand the sheet in: marked, kept, and only then revealed, or opened for the second try.

        Whatever ``keep`` raises goes through; the answer can then be handed in again and is marked once.
        """
        if not self.answering:
            return self.result
        # Before anything is marked: a key that comes late must not change an answer.
        self.sheet.closed = True
        attempt = 2 if self._first else 1
        question, said = self.question.only(self.sheet.asked), self.sheet.answers
        # Marked once: where keeping fails and the answer is handed in again, the coach must not learn twice.
        if self._mark is None:
            self._mark = self.coach.mark(question, said, now, attempt=attempt, **self.sheet.how(now))
        # Kept before anything is shown: an answer that was seen to be wrong could be changed by pulling the plug.
        self.keep(question.id, self._mark.answers)
        right, self._mark = self._mark.right, None
        if self._first is None:
            sheet = self.sheet
            alone = tuple(sheet.heard_alone(place) for place in sheet.asked)
            unsure = tuple(sorted(sheet.unsure))
            result = BarResult(question, said, right, max(1, sheet.hearings), alone, sheet.slower_bars, unsure=unsure)
            if self._may_try_again(right):
                return self._open_again(result)
            if self.question.then:
                return self._put_second(result, self.question.then, now)
        else:
            result = self._mended(self._first, right)
        self._reveal(result, now)
        return result

    def heard_before(self) -> None:
        """Ask the bar at hand among all figures, for a player who says that those to be met are known."""
        # Once it is marked the question stays as it is: its answers are kept under its name.
        if self.state is State.ANSWERING and self._mark is None:
            self._put(self.coach.heard_before(self.question))

    def go_on(self) -> None:
        """Leave the reveal for the next bar, or for the end of the round."""
        if self.state is not State.REVEALED:
            return
        if self.has_second:
            self._revealed += 1
            self.question = self.result.question
        elif self.upcoming is None:
            self.state = State.FINISHED
        else:
            self._put(self.upcoming)

    def _may_try_again(self, right: Sequence[bool]) -> bool:
        """Whether beats were wrong, and what was said to them leaves figures enough to choose from."""
        return (
            self.second_tries and not self.once and not all(right) and len(self.question.choices) - 1 >= FEWEST_CHOICES
        )

    def _open_again(self, first: BarResult) -> BarResult:
        self._first, self.state = first, State.AGAIN
        said = {place: figure for place, _, figure in first.wrong()}
        self.sheet = Sheet(tuple(said), self.question.choices, said)
        return first

    def _put_second(self, first: BarResult, question: Question, now: float) -> BarResult:
        """Go on to the second of two bars that have sounded; it was heard with the first."""
        self._put(question)
        self._unrevealed.append(first)
        self.sheet.hear(now)
        return first

    def _mended(self, first: BarResult, right: Sequence[bool]) -> BarResult:
        mended = tuple(place for place, good in zip(self.sheet.asked, right, strict=True) if good)
        return replace(first, mended=mended)

    def _reveal(self, result: BarResult, now: float) -> None:
        self._revealed = len(self.results)
        self.results += [*self._unrevealed, result]
        self._unrevealed = []
        self._first, self.state = None, State.REVEALED
        self.question = self.result.question
        # Asked now, so that the reveal can say why the next bar comes.
        self.upcoming = None if self.complete else self._next(now)

    def _next(self, now: float) -> Question:
        question = self.coach.ask(now)
        if question.then and len(self.results) + 2 > self.bars:
            # Its partner would belong to no round.
            question = replace(question, then=None, memory=UNCOUNTED, reason=LAST_ALONE)
        return question

    def _put(self, question: Question) -> None:
        self.question = question
        self.sheet = Sheet(question.asked, question.choices)
        self.state = State.ANSWERING
        self.upcoming = self._mark = self._first = None

    # The round so far

    @property
    def passed(self) -> bool:
        """Whether this is a finished closing round with beats enough right."""
        return self.closing and self.complete and self.right >= PASSED * self.beats

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
    def earned(self) -> int:
        """The points of the answered bars."""
        return sum(result.points for result in self.results)

    @property
    def possible(self) -> int:
        """The points that the answered bars could have earned."""
        return sum(result.possible for result in self.results)

    @property
    def score(self) -> int:
        """The score of the answered bars, from 0 to ``FULL``."""
        return score(self.earned, self.possible)

    def largest_first(self) -> tuple[int, ...]:
        """The wrong beats of the last answered bar, as places from 0: what was mixed up most in the round first."""
        # A set of two, since either way round it is one and the same mix-up.
        times = {frozenset((one.heard, one.said)): 0 for one in self.mix_ups()}
        for one in self.mix_ups():
            times[frozenset((one.heard, one.said))] += one.times
        # What was left open comes last: there is no other figure to hear it against.
        wrong = [(said is None, -times[frozenset((heard, said))], place) for place, heard, said in self.result.wrong()]
        return tuple(place for *_, place in sorted(wrong))

    def mix_ups(self) -> tuple[Mistaken, ...]:
        """The figures that were taken for others, the most frequent first, then those with something said."""
        said = said_to((heard, named, 1) for result in self.results for _, heard, named in result.wrong())
        mixed = (Mistaken(heard, named, round(times)) for (heard, named), times in said.items())
        return tuple(sorted(mixed, key=lambda one: (-one.times, one.said is None)))


def _opening(question: Question) -> Question:
    """The first question of a round: a crash on the first 1 of its groove."""
    return replace(question, setting=replace(question.setting, opening=True))
