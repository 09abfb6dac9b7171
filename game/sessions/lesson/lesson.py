"""A listening game for a room: meet what is new, play, collect a show of hands, reveal, next.

What is right stays hidden until ``reveal``, which has a stage of its own before it, so that neither a
key pressed twice nor a remote that bounces can give the answer away.  A lesson can ask one beat of each bar, so that
the two keys of a presenter's remote are enough to run and to record it.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import Enum

from game.learning import Answer, Mark
from game.learning.coach import Coach
from game.learning.marking import Pick
from game.learning.question import Question, Reason, question_id
from game.sessions import SessionError
from game.sessions.lesson.ballots import OF_TWENTY, Had, Hands, Poll, Saying, merged, sayings
from game.sessions.lesson.known import Known
from shared.bars import Bar
from shared.difference import difference
from shared.figures import Figure
from shared.likeness import distance
from shared.orchestration import Setting

GUARD_SECONDS = 1.0
"""How long after the hands are down a reveal is refused: longer than a double press."""

MOST_TEAMS = 6


class Stage(Enum):
    """Where a question stands."""

    MEET = "meet"
    LISTEN = "listen"
    COLLECT = "collect"
    READY = "ready"
    SHOWN = "shown"
    HAD = "had"
    OVER = "over"


class Step(Enum):
    """The next act of the space bar, or of a remote's forward key."""

    MEET = "hear it"
    BESIDE = "beside one like it"
    ASK = "ask"
    PLAY = "play"
    COLLECT = "collect"
    NEXT_BEAT = "next beat"
    CLOSE = "hands down"
    REVEAL = "reveal"
    HAD = "who had it"
    NEXT = "next bar"
    NOTHING = "nothing"


class ClassSession:
    """One lesson's listening with a class.

    ``coach`` is the class's own; ``keep`` is handed the question's name and the rows for the log before the
    answer can be seen, or, where one beat is asked, once it is told how many had it.  ``teams`` are two to six names,
    or none for the whole room.  ``one_beat`` asks a single beat of each bar.  Each beat is asked of one team, in turn,
    or of ``all_teams``.  ``known`` says which figures the class has met; the others are met one by one before they
    are asked.  Without it all are asked from the first bar.
    Every act that is out of turn raises ``SessionError`` and changes nothing.  Times are epoch seconds.
    """

    def __init__(
        self,
        coach: Coach,
        keep: Callable[[str, tuple[Answer, ...]], None],
        now: float,
        teams: Sequence[str] = (),
        *,
        one_beat: bool = False,
        all_teams: bool = False,
        known: Known | None = None,
    ) -> None:
        if len(teams) == 1 or len(teams) > MOST_TEAMS or len(set(teams)) != len(teams):
            raise SessionError(f"teams: found {', '.join(teams)}; give 2 to {MOST_TEAMS} different names, or none")
        self.coach = coach
        self.keep = keep
        self.teams = tuple(teams)
        self.one_beat = one_beat
        self.all_teams = all_teams
        self.known = known
        self.number = 0
        self.right = [0.0] * len(self.teams)
        """How many beats most of each team named right; where one beat is asked, the parts of it that had theirs."""
        self.asked_of = [0] * len(self.teams)
        """How many beats each team showed hands for."""
        self.answers: list[Answer] = []
        self.mark: Mark | None = None
        self._ask(now)

    def _ask(self, now: float) -> None:
        new = self.known.next(self._last_share) if self.known else ()
        if new and self.known:
            self.coach = self.known.coach(now)
        question = self.coach.ask(now)
        self.number += 1
        self.question: Question = self._for_the_room(question, new)
        self.meets = new
        self.met = 0
        self.stage = Stage.MEET if new else Stage.LISTEN
        self.mark = None
        self.had = Had.MOST
        self.open_hands()
        self._ready_since = 0.0

    def open_hands(self) -> None:
        """Collect from the beginning for the question at hand."""
        count = max(1, len(self.teams))
        # The teams take turns in being asked first: over as many bars as there are teams each is asked as often.
        turns = [(self.number - 1 + turn) % count for turn in range(count)]
        asked = self.question.asked
        if self.all_teams:
            # Within a beat team by team, so that all answer while it is in their ears.
            self.hands = Hands([Poll(beat, team) for beat in asked for team in turns])
        else:
            # A bar takes as many polls as without teams, however many there are, and no team hears another's answer.
            self.hands = Hands([Poll(beat, turns[place % count]) for place, beat in enumerate(asked)])

    def _for_the_room(self, question: Question, new: Sequence[Figure]) -> Question:
        """The coach's question with what was just met in it; of all its beats one, if one is asked."""
        asked = question.asked
        if new and not set(new) & set(question.asked_figures):
            place = asked[self.number % len(asked)]
            # The chances were of the figures as the coach drew them: with another one in the bar none is known, or
            # kept.
            question = replace(question, bar=question.bar.with_figures({place: new[0]}), probabilities=())
        if not self.one_beat:
            return question
        # The place goes round with the bars' numbers, so that each beat is asked as often as any other.
        wanted = [place for place in asked if question.bar.figures[place] in new]
        return question.only([(wanted or asked)[self.number % len(wanted or asked)]])

    @property
    def _last_share(self) -> float | None:
        """The part of the room that was right in the last bar; None before the first, or where nothing was told."""
        return self.mark.score if self.mark else None

    # Meeting a figure

    @property
    def rival(self) -> Figure | None:
        """The known figure that the new one is most like."""
        new = self.meets[0] if self.meets else None
        others = [figure for figure in self.question.choices if figure != new]
        return min(others, key=lambda other: distance(new, other)) if new and others else None

    def sentence(self, name: str) -> str:
        """The sentence that tells the new figure, called by its ``name``, from the one it is most like."""
        if not self.meets or self.rival is None:
            return ""
        return difference(self.meets[0], self.rival, name, self.coach.level.shown).sentence

    # Playing

    def put(self, bar: Bar, tempo: float, now: float) -> None:
        """Ask for a bar that the teacher has just played to the room, in place of the one at hand."""
        self._check(Stage.LISTEN, "a bar of your own comes before the hands")
        places = tuple(range(bar.meter.beats))
        level = self.coach.level
        name = question_id("teacher", level.name, bar.count, self.number, now)
        setting = Setting("snare", tempo)
        question = Question(bar, places, level.figures, setting, Reason("Played by the teacher."), name)
        self.question = self._for_the_room(question, ())
        self.open_hands()
        # The room has heard the teacher play it.
        self.hands.hearings = 1

    def play(self) -> Question:
        """Play the bar, for the first time or again, at any stage; returns what is to be played."""
        if self.stage is Stage.OVER:
            raise SessionError("the lesson is over; begin another")
        # What is heard once the answer is known helped nobody to find it.
        if self.stage not in (Stage.SHOWN, Stage.HAD):
            self.hands.hearings += 1
        return self.question

    # Collecting

    def collect(self) -> None:
        """Ask for hands."""
        self._check(Stage.LISTEN, "hands are collected before the reveal")
        if not self.hands.hearings:
            raise SessionError("the bar was not heard yet; play it first")
        self.stage = Stage.COLLECT

    def choose(self, figure: Figure, now: float) -> None:
        """The letter of a figure was pressed: most chose it, or hands for it are going to be counted.

        The next poll comes by itself, after the last one the hands are down; a number typed next still belongs to
        this letter.  Where hands are being counted the cursor stays, for further letters.
        """
        self._check_collecting()
        if figure not in self.question.choices:
            raise SessionError(f"{figure} is not asked here; press one of the letters shown")
        self.hands.choose(figure)
        if self.hands.done:
            self.close(now)

    def type_digit(self, digit: int) -> None:
        """A digit of the number of hands for the letter pressed last."""
        if self.stage is not Stage.READY:
            self._check_collecting()
        if not self.hands.counts_for:
            raise SessionError("press the letter first, then the number of hands")
        self.stage = Stage.COLLECT
        self.hands.type_digit(digit)

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
        self._keep()
        self.stage = Stage.SHOWN
        self._count_teams()

    def _keep(self) -> None:
        if self.mark is not None:
            self.keep(self.question.id, self.mark.answers)
            self.answers.extend(self.mark.answers)

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
        self._check_shown("nothing is said about right or wrong before the reveal")
        return self.hands.picks[poll].leader == self.question.bar.figures[poll.beat]

    def said(self, beat: int) -> list[Saying]:
        """All that was said to a beat, the most frequent first; only after the reveal."""
        self._check_shown("nothing is said of the hands before the reveal")
        return sayings(self.hands.of_beat(beat))

    def largest_first(self) -> tuple[int, ...]:
        """The asked beats, those first that most of the room took for something else."""
        return tuple(sorted(self.question.asked, key=lambda beat: (-self._wrong(beat), beat)))

    def _wrong(self, beat: int) -> float:
        found = self.said(beat)
        total = sum(one.weight for one in found)
        right = sum(one.weight for one in found if one.figure == self.question.bar.figures[beat])
        return 1 - right / total if total else 0.0

    def likely(self, beat: int) -> Figure | None:
        """The figure that the class is most likely to take the one on a beat for."""
        heard, figures = self.question.bar.figures[beat], self.coach.level.figures
        if heard not in figures:
            return None
        row = self.coach.confusion()[figures.index(heard)]
        others = [place for place, figure in enumerate(figures) if figure != heard]
        return figures[max(others, key=lambda place: row[place])] if others else None

    # One beat asked of the whole room: how many had it

    def tell_had(self, had: Had) -> None:
        """Choose how many had it, to be confirmed."""
        self._check_shown("how many had it is asked after the reveal")
        if not self.one_beat:
            raise SessionError("the hands of this lesson are collected before the reveal")
        self.had, self.stage = had, Stage.HAD

    def confirm(self, now: float) -> None:
        """Keep how many had it, and put the next question.

        What the others took it for is not told, so that it is nobody's mix-up.
        """
        self._check(Stage.HAD, "choose first how many had it")
        if self.mark is None:
            heard = self.question.asked_figures[0]
            hands: Pick = {heard: self.had.right, None: self.had.others}
            self.mark = self.coach.mark(
                self.question, [hands], now, hearings=max(1, self.hands.hearings), kind="class", unsure=[True]
            )
        self._keep()
        self._count_had()
        self._ask(now)

    def next(self, now: float) -> None:
        """Put the next question."""
        self._check_shown("the next bar comes after the reveal")
        self._ask(now)

    @property
    def empty(self) -> bool:
        """Whether nothing was answered: no hands were kept, and none are typed for the bar at hand."""
        return not self.answers and not any(map(self.hands.said, self.hands.asked))

    def end(self) -> None:
        """End the lesson; a question that was not revealed is dropped."""
        self.stage = Stage.OVER

    # The space bar, and the two keys of a remote

    @property
    def next_step(self) -> Step:
        """The act that ``forward`` would do."""
        match self.stage:
            case Stage.MEET:
                steps = (Step.MEET, *([Step.BESIDE] if self.rival else []))
                return steps[self.met] if self.met < len(steps) else Step.ASK
            case Stage.LISTEN:
                return Step.COLLECT if self.hands.hearings else Step.PLAY
            case Stage.COLLECT:
                return Step.CLOSE if self.hands.last else Step.NEXT_BEAT
            case Stage.READY:
                return Step.REVEAL
            case Stage.SHOWN:
                return Step.HAD if self.one_beat else Step.NEXT
            case Stage.HAD:
                return Step.HAD
        return Step.NOTHING

    def forward(self, now: float) -> Step:
        """Take the next step and say which it was; a reveal that comes too soon does nothing."""
        step = self.next_step
        if step is Step.NOTHING or (step is Step.REVEAL and not self.may_reveal(now)):
            return Step.NOTHING
        acts: dict[Step, Callable[[], object]] = {
            Step.MEET: self._meet_on,
            Step.BESIDE: self._meet_on,
            Step.ASK: self._met,
            Step.PLAY: self.play,
            Step.COLLECT: self.collect,
            Step.NEXT_BEAT: lambda: self.step(1),
            Step.CLOSE: lambda: self.close(now),
            Step.REVEAL: lambda: self.reveal(now),
            Step.HAD: lambda: self.tell_had(self.had.following if self.stage is Stage.HAD else Had.MOST),
            Step.NEXT: lambda: self.next(now),
        }
        acts[step]()
        return step

    def _meet_on(self) -> None:
        self.met += 1

    def _met(self) -> None:
        self.stage = Stage.LISTEN

    @property
    def team(self) -> str:
        """The team that alone is asked at the cursor; empty where the room is, or all teams are."""
        return self.teams[self.hands.place.team] if self.teams and not self.all_teams else ""

    def _count_had(self) -> None:
        """Count for the team whose beat it was the part of it that had it."""
        if self.teams:
            team = self.hands.place.team
            self.asked_of[team] += 1
            self.right[team] += self.had.right / OF_TWENTY

    def _count_teams(self) -> None:
        """Count for each team the beats that most of it named right; a tie is no answer."""
        for poll in self.hands.asked:
            if self.teams and self.hands.said(poll):
                self.asked_of[poll.team] += 1
                self.right[poll.team] += self.team_right(poll)

    def _check(self, stage: Stage, otherwise: str) -> None:
        if self.stage is not stage:
            raise SessionError(otherwise)

    def _check_shown(self, otherwise: str) -> None:
        if self.stage not in (Stage.SHOWN, Stage.HAD):
            raise SessionError(otherwise)

    def _check_collecting(self) -> None:
        self._check(Stage.COLLECT, "no hands are being collected; collect first")
