"""A listening game for a room: play, collect a show of hands, reveal, next.

What is right stays hidden until ``reveal``, which has a stage of its own before it, so that neither a
key pressed twice nor a remote that bounces can give the answer away.
"""

from collections.abc import Callable, Sequence
from enum import Enum

from game.learning import Answer, Mark
from game.learning.coach import Coach
from game.learning.marking import Pick
from game.learning.question import Question
from game.sessions import SessionError
from game.sessions.lesson.ballots import Hands, Poll, merged
from shared.figures import Figure

GUARD_SECONDS = 1.0
"""How long after the hands are down a reveal is refused: longer than a double press."""

MOST_TEAMS = 6


class Stage(Enum):
    """Where a question stands."""

    LISTEN = "listen"
    COLLECT = "collect"
    READY = "ready"
    SHOWN = "shown"
    OVER = "over"


class Step(Enum):
    """What the space bar, or a remote's forward key, does next."""

    PLAY = "play"
    COLLECT = "collect"
    NEXT_BEAT = "next beat"
    CLOSE = "hands down"
    REVEAL = "reveal"
    NEXT = "next bar"
    NOTHING = "nothing"


class ClassSession:
    """One lesson's listening with a class.

    ``coach`` is the class's own; ``keep`` is handed the question's name and the rows for the log before the
    answer can be seen.  ``teams`` are two to six names, or none for the whole room.  Every act that is out of
    turn raises ``SessionError`` and changes nothing.  Times are epoch seconds.
    """

    def __init__(
        self, coach: Coach, keep: Callable[[str, tuple[Answer, ...]], None], now: float, teams: Sequence[str] = ()
    ) -> None:
        if len(teams) == 1 or len(teams) > MOST_TEAMS or len(set(teams)) != len(teams):
            raise SessionError(f"teams: found {', '.join(teams)}; give 2 to {MOST_TEAMS} different names, or none")
        self.coach = coach
        self.keep = keep
        self.teams = tuple(teams)
        self.number = 0
        self.points = [0] * len(self.teams)
        self.answers: list[Answer] = []
        self.mark: Mark | None = None
        self._ask(now)

    def _ask(self, now: float) -> None:
        self.question: Question = self.coach.ask(now)
        self.number += 1
        self.stage = Stage.LISTEN
        self.mark = None
        # Beat by beat, and within a beat team by team: all teams answer while the beat is in their ears.
        teams = range(max(1, len(self.teams)))
        self.hands = Hands([Poll(beat, team) for beat in self.question.asked for team in teams])
        self._ready_since = 0.0

    # Playing

    def play(self) -> Question:
        """Play the bar, for the first time or again, at any stage; returns what is to be played."""
        if self.stage is Stage.OVER:
            raise SessionError("the lesson is over; begin another")
        # What is heard once the answer is known helped nobody to find it.
        if self.stage is not Stage.SHOWN:
            self.hands.hearings += 1
        return self.question

    # Collecting

    def collect(self) -> None:
        """Ask for hands."""
        self._check(Stage.LISTEN, "hands are collected before the reveal")
        if not self.hands.hearings:
            raise SessionError("the bar was not heard yet; play it first")
        self.stage = Stage.COLLECT

    def choose(self, figure: Figure) -> None:
        """The letter of a figure was pressed."""
        self._check_collecting()
        if figure not in self.question.choices:
            raise SessionError(f"{figure} is not a figure of this level; press one of the letters shown")
        self.hands.write(self.hands.ballot.choose(figure))

    def type_digit(self, digit: int) -> None:
        """A digit of the number of hands for the letter pressed last."""
        self._check_collecting()
        if self.hands.ballot.chosen is None:
            raise SessionError("press the letter first, then the number of hands")
        self.hands.write(self.hands.ballot.typed(digit))

    def take_back(self) -> None:
        """Take back what was typed last, wherever that was; once the hands are down, this opens them again."""
        if self.stage is Stage.READY:
            self.stage = Stage.COLLECT
            return
        self._check_collecting()
        self.hands.take_back()

    def step(self, step: int) -> None:
        """Go so many polls on, round and round; nothing where no hands are being collected."""
        if self.stage is Stage.COLLECT:
            self.hands.step(step)

    def close(self, now: float) -> None:
        """Hands down.  The answer stays hidden; what was left out is not kept."""
        self._check_collecting()
        self.stage = Stage.READY
        self._ready_since = now

    # Revealing

    def may_reveal(self, now: float) -> bool:
        """Whether the hands have been down for long enough."""
        return self.stage is Stage.READY and now - self._ready_since >= GUARD_SECONDS

    def reveal(self, now: float) -> None:
        """Show the answer, once what was collected is kept; what was not collected leaves no trace."""
        if not self.may_reveal(now):
            raise SessionError("the answer is shown only once the hands have been down for a second")
        # Marked once: where keeping fails and the reveal is tried again, the coach must not learn twice.
        if self.mark is None:
            self.mark = self._marked(now)
        if self.mark is not None:
            self.keep(self.question.id, self.mark.answers)
            self.answers.extend(self.mark.answers)
        self.stage = Stage.SHOWN
        self._score()

    def _marked(self, now: float) -> Mark | None:
        """The mark of the beats for which hands were collected; None without any."""
        collected = {beat: merged(self.hands.of_beat(beat).values()) for beat in self.question.asked}
        beats = tuple(beat for beat, hands in collected.items() if hands)
        if not beats:
            return None
        picks: list[Pick] = [collected[beat] for beat in beats]
        asked = self.question.only(beats)
        return self.coach.mark(asked, picks, now, hearings=self.hands.hearings, kind="class")

    def team_right(self, poll: Poll) -> bool:
        """Whether most of the team's hands were on the right letter; only after the reveal."""
        self._check(Stage.SHOWN, "nothing is said about right or wrong before the reveal")
        return self.hands.picks[poll].leader == self.question.bar.figures[poll.beat]

    def next(self, now: float) -> None:
        """Put the next question."""
        self._check(Stage.SHOWN, "the next bar comes after the reveal")
        self._ask(now)

    @property
    def empty(self) -> bool:
        """Whether nothing was answered: no hands were kept, and none are typed for the bar at hand."""
        return not self.answers and not any(map(self.hands.said, self.hands.asked))

    def end(self) -> None:
        """End the lesson; a question that was not revealed is dropped."""
        self.stage = Stage.OVER

    # The space bar

    @property
    def next_step(self) -> Step:
        """What ``forward`` would do."""
        match self.stage:
            case Stage.LISTEN:
                return Step.COLLECT if self.hands.hearings else Step.PLAY
            case Stage.COLLECT:
                return Step.CLOSE if self.hands.place == self.hands.asked[-1] else Step.NEXT_BEAT
            case Stage.READY:
                return Step.REVEAL
            case Stage.SHOWN:
                return Step.NEXT
        return Step.NOTHING

    def forward(self, now: float) -> Step:
        """Take the next step and say which it was; a reveal that comes too soon does nothing."""
        step = self.next_step
        match step:
            case Step.PLAY:
                self.play()
            case Step.COLLECT:
                self.collect()
            case Step.NEXT_BEAT:
                self.step(1)
            case Step.CLOSE:
                self.close(now)
            case Step.REVEAL if self.may_reveal(now):
                self.reveal(now)
            case Step.NEXT:
                self.next(now)
            case _:
                return Step.NOTHING
        return step

    def _score(self) -> None:
        """A point for each team and beat of which most hands were right; a tie is no answer."""
        for team in range(len(self.teams)):
            self.points[team] += sum(self.team_right(poll) for poll in self.hands.asked if poll.team == team)

    def _check(self, stage: Stage, otherwise: str) -> None:
        if self.stage is not stage:
            raise SessionError(otherwise)

    def _check_collecting(self) -> None:
        self._check(Stage.COLLECT, "no hands are being collected; collect first")
