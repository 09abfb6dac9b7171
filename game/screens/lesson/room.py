"""A lesson on the projector: play, collect hands, reveal, next.  The space bar or a remote leads through it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from pygame import Rect

from game.learning import Answer
from game.learning.coach import Coach
from game.records import Player
from game.screens.answering.answering import PlacesScreen
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.lesson.end import open_class_end
from game.screens.notices.dialog import Dialog
from game.sessions import SessionError
from game.sessions.clock import SteadyClock
from game.sessions.lesson.ballots import Ballot, Hands, Poll
from game.sessions.lesson.lesson import ClassSession, Stage, Step
from game.widgets import lettering
from game.widgets.base import Act, Widget
from game.widgets.boxes import columns, rows
from game.widgets.classroom import (
    BeatBox,
    BigLabel,
    Halves,
    Outcome,
    Said,
    VoteTile,
    count_size,
    least_space,
    letter_size,
    vote_tiling,
)
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, Tiling, tile_layout
from game.widgets.stave import stave_in
from shared.figures import Figure
from shared.levels import spelled
from shared.notation.engraved import INK, Layout

LETTERS = "abcdefghijklmnopqrstuvwx"
"""The letters of the figures, which are their keys: as many as a level can have."""

DIGITS = "0123456789"

SAYS = {
    Step.PLAY: "play",
    Step.COLLECT: "collect",
    Step.NEXT_BEAT: "next",
    Step.CLOSE: "hands down",
    Step.REVEAL: "reveal",
    Step.NEXT: "next bar",
    Step.NOTHING: "",
}


def open_class_room(context: Context, room: Player, teams: Sequence[str] = ()) -> "ClassRoom":
    """Begin a lesson with a class, whose own coach knows all its answers.

    Where this machine's clock was set back, the lesson's time runs on from the class's last answer.
    """
    answers = context.records.answers(room)
    now = SteadyClock(context.now, answers[-1].at) if answers else context.now
    coach = Coach.replay(context.level, answers, context.seed())

    def keep(question: str, answers: tuple[Answer, ...]) -> None:
        context.records.append(room, question, answers)

    return ClassRoom(context, room, ClassSession(coach, keep, now(), teams), now)


class ClassRoom(PlacesScreen):
    """The lesson of a class (``room``).  ``now`` is the lesson's own time, in epoch seconds."""

    def __init__(self, context: Context, room: Player, session: ClassSession, now: Callable[[], float]) -> None:
        super().__init__(context)
        self.room = room
        self.session = session
        self._now = now
        self.focus = "step"

    @property
    def places(self) -> Hands:
        return self.session.hands

    @property
    def tile_keys(self) -> Sequence[str]:
        return LETTERS

    def heading(self) -> Heading:
        session = self.session
        scores = "   ".join(f"{team} {points}" for team, points in zip(session.teams, session.points, strict=True))
        return Heading(f"Bar {session.number}", self.room.name, scores or self.context.level.title)

    def keys(self) -> Sequence[Key]:
        session = self.session
        collecting = session.stage is Stage.COLLECT
        hidden = (
            # What the two keys of a remote for slides send is Page down and Page up.
            Key("page down", "", self._forward, shown=False),
            Key("return", "", self._forward, shown=False),
            *(Key(digit, "", self._types(int(digit)), shown=False) for digit in DIGITS if collecting),
            *(replace(key, shown=False) for key in self.stepping_keys()),
        )
        again = Key("page up", "play again", self._play)
        back = Key("backspace", "take back", self.take_back, shown=session.stage in (Stage.COLLECT, Stage.READY))
        return (Key("space", SAYS[session.next_step], self._forward), again, back, *hidden,
                Key("escape", "end the lesson", self._leave))  # fmt: skip

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        return self._shown(look, box) if self.session.stage is Stage.SHOWN else self._asking(look, box)

    def _asking(self, look: Look, box: Rect) -> list[Widget]:
        high = lettering.line_height(letter_size(look))
        ruler, bar, prompt, tiles = rows(box, [look.u(30), high, high, None], look.u(10))
        boxes = columns(bar, [None] * self.context.level.meter.beats, look.u(12))
        return [
            self.even_ruler(look, ruler, [cell.x for cell in boxes], boxes[-1].right, lambda: ("", self.where()[1])),
            *(BeatBox(f"box {k}", cell, *self._collected(k)) for k, cell in enumerate(boxes)),
            *self._prompt(look, prompt),
            *self.tiles(look, tiles, look.u(10)),
        ]

    def _collected(self, beat: int) -> tuple[str, str, str]:
        """A beat before the reveal: its number, the letter collected for it, its state."""
        session = self.session
        if beat not in session.question.asked:
            return str(beat + 1), "", "groove"
        ballots = session.hands.of_beat(beat)
        state = self.place_state(tuple(ballots), session.stage is Stage.COLLECT)
        return str(beat + 1), self._gathered(tuple(ballots.values())), state

    def _gathered(self, ballots: Sequence[Ballot]) -> str:
        """The letter that the room chose; of teams, how many have shown their hands."""
        if len(ballots) == 1:
            return self._sign(ballots[0].leader) if ballots[0].leader else ""
        shown = sum(bool(ballot.hands) for ballot in ballots)
        return f"{shown}/{len(ballots)}" if shown else ""

    def _prompt(self, look: Look, box: Rect) -> list[Widget]:
        words, step = columns(box, [None, look.u(230)], look.u(20))
        button = Rect(step.x, step.centery - look.u(TARGET) // 2, step.w, look.u(TARGET))
        says = SAYS[self.session.next_step].capitalize()
        return [
            BigLabel("prompt", words, self.told or self._says(), letter_size(look), "warn" if self.told else "ink"),
            Button("step", button, says, self._forward, main=True, key="space"),
        ]

    def _says(self) -> str:
        session = self.session
        match session.stage:
            case Stage.LISTEN:
                return "Listen." if not session.hands.hearings else "Which figures?"
            case Stage.COLLECT:
                team = f"{session.teams[session.hands.place.team]}, beat" if session.teams else "Beat"
                return f"{team} {session.hands.place.beat + 1}: {self._typed() or 'hands up'}"
            case _:
                return "Hands down."

    def _typed(self) -> str:
        ballot = self.session.hands.ballot
        if ballot.counted:
            parts = (f"{self._sign(figure)} {hands}" for figure, hands in ballot.hands.items())
            return ", ".join(parts)
        return f"most say {self._sign(ballot.chosen)}" if ballot.hands and ballot.chosen else ""

    def tiling(self, look: Look, box: Rect, gap: int) -> tuple[Tiling, Sequence[Layout]]:
        spellings = spelled(self.context.level).items()
        counted = [tile_layout(figure, spelling) for figure, spelling in spellings]
        bare = [tile_layout(figure, spelling, count=False) for figure, spelling in spellings]
        return vote_tiling(look, box, counted, bare, gap)

    def tile(self, figure: Figure, cell: Rect, layout: Layout, plan: Tiling, key: str) -> VoteTile:
        ballot = self.session.hands.ballot if self.session.stage is Stage.COLLECT else Ballot()
        return VoteTile(
            f"tile {key}", cell, layout, plan.space, plan.line, partial(self.pick, figure), figure == ballot.chosen,
            sign=key.upper(), hands=str(ballot.counts.get(figure, "")), key=key,
        )  # fmt: skip

    def _shown(self, look: Look, box: Rect) -> list[Widget]:
        session, question = self.session, self.session.question
        lines = max(1, len(session.teams))
        below = lettering.line_height(letter_size(look)) + lines * lettering.line_height(count_size(look))
        ruler, bar, outcomes, buttons = rows(box, [look.u(34), None, below, look.u(TARGET)], look.u(10))
        # As large as this bar allows, not the widest of the level: it is read from the back row.
        stave = stave_in(look, replace(self.context.level, figures=question.bar.figures), bar)
        tones = [INK if k in question.asked else GIVEN for k in range(question.bar.meter.beats)]
        layout = stave.layout(question.bar.figures, tones)
        again, following, _ = columns(buttons, [look.u(250), look.u(230), None], look.u(20))
        dense = stave.space < least_space(look, counted=True)
        spans = columns(bar, [None] * len(tones), 0) if dense else [stave.span(layout, k) for k in range(len(tones))]
        return [
            *([Halves("halves", bar, layout)] if dense else self.on_staff(look, stave, layout, ruler)),
            *(self._outcome(spans[beat], outcomes, beat, look, numbered=dense) for beat in question.asked),
            Button("again", again, "Play again", self._play, key="page up"),
            Button("step", following, "Next bar", self._forward, main=True, key="space"),
        ]

    def _outcome(self, span: Rect, box: Rect, beat: int, look: Look, numbered: bool) -> Outcome:
        cell = Rect(span.x + look.u(4), box.y, span.w - look.u(8), box.h)
        session = self.session
        polls = [poll for poll, ballot in session.hands.of_beat(beat).items() if ballot.hands]
        lines = [Said(self._tally(poll), session.team_right(poll)) for poll in polls]
        sign = self._sign(session.question.bar.figures[beat])
        sign = f"{beat + 1}: {sign}" if numbered else sign
        return Outcome(f"outcome {beat}", cell, sign, lines or [Said("not counted", None)])

    def _tally(self, poll: Poll) -> str:
        """What a team, or the room, said to a beat."""
        session = self.session
        ballot = session.hands.picks[poll]
        heard = session.question.bar.figures[poll.beat]
        verdict = "right" if session.team_right(poll) else f"said {self._said(ballot)}"
        if ballot.counted:
            verdict = f"{ballot.hands.get(heard, 0)} of {sum(ballot.hands.values())}"
        return f"{session.teams[poll.team]} {verdict}" if session.teams else verdict

    def _said(self, ballot: Ballot) -> str:
        return self._sign(ballot.leader) if ballot.leader else "a tie"

    def _sign(self, figure: Figure) -> str:
        return LETTERS[self.context.level.figures.index(figure)].upper()

    # Acts

    def _forward(self) -> Next:
        self.told = ""
        step = self.session.forward(self._now())
        if step is Step.PLAY:
            self._sound()
        elif step in (Step.REVEAL, Step.NEXT):
            self.loudspeaker.stop()
        return None

    def _play(self) -> Next:
        self.session.play()
        self._sound()
        return None

    def _sound(self) -> None:
        self.play_bar(self.session.question.bar, self.session.question.setting, "The bar")

    def pick(self, figure: Figure) -> Next:
        return self._tried(lambda: self.session.choose(figure))

    def _types(self, digit: int) -> Act:
        return lambda: self._tried(lambda: self.session.type_digit(digit))

    def _step(self, step: int) -> Next:
        self.session.step(step)
        return None

    def take_back(self) -> Next:
        return self._tried(self.session.take_back)

    def _tried(self, act: Act) -> Next:
        """Do what the rules allow; say why where they don't."""
        self.told = ""
        try:
            act()
        except SessionError as error:
            self.told = f"{str(error)[0].upper()}{str(error)[1:]}."
        return None

    def _leave(self) -> Next:
        if self.session.empty:
            return Pop()
        question = "End the lesson? What was revealed is kept; a bar that was not revealed is dropped."
        return Push(Dialog(self.context, question, "Go on", "End the lesson", self._end))

    def _end(self) -> Next:
        self.session.end()
        return Replace(open_class_end(self.context, self.room, self.session), self)
