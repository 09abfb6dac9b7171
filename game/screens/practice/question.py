"""Practice: hear a bar, say which figure sits on each asked beat."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pygame import Rect

from game.learning.staircase import FREELY
from game.records import RecordsError, Round
from game.screens.answering.answering import AnsweringScreen
from game.screens.base import Key, Screen
from game.screens.context import Context
from game.screens.practice.bar_screen import BarScreen
from game.screens.practice.beginning import Beginning
from game.screens.practice.meeting import MeetingPage
from game.screens.practice.reasons import reason_beside
from game.screens.practice.reveal import Reveal
from game.screens.practice.round_end import RoundEnd
from game.sessions.answering.sheet import Sheet
from game.sessions.hearing.hearing import Hearing, one_beat, two_bars, whole_bar
from game.sessions.practice.asker import Asker
from game.sessions.practice.closing import Closing
from game.sessions.practice.drill import BARS as DRILL_BARS
from game.sessions.practice.drill import PairDrill
from game.sessions.practice.meeting import beginning
from game.sessions.practice.round import BARS, PracticeRound, State
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.keycaps import title
from game.widgets.look import Look
from game.widgets.moves import Next, Replace
from game.widgets.stave import stave_height, stave_in
from shared.figures import Figure


def open_practice(context: Context, asker: Asker | None = None, bars: int = BARS) -> Screen:
    """A new round for whoever plays, on their level; the player's coach asks unless there is another asker.

    Every answer is kept before it is revealed.  Where the level is new to the player, its coach lets figures be met
    first; on the first visit the player says whether it is.
    """
    # What was slowed down for one round is not for all.
    context.listening = replace(context.listening, pace=1.0)
    if asker:
        return _opened(context, asker, bars)
    coach = context.coach()

    def begun(begin: str) -> Screen:
        coach.begin = begin
        return _opened(context, coach, bars)

    begin = beginning(context.settings.beginnings.get(context.level.name), coach.steps)
    return begun(begin) if begin else Beginning(context, begun)


def _opened(context: Context, asker: Asker, bars: int) -> Screen:
    practice = PracticeRound(asker, context.keep, context.now(), bars, context.settings.second_try)
    return page_of(context, practice)


def open_drill(context: Context, first: Figure, second: Figure) -> Screen:
    """A short round in which every bar holds just these two figures."""
    return open_practice(context, PairDrill(context.coach(), first, second, context.seed()), DRILL_BARS)


def open_closing(context: Context) -> Screen:
    """The closing round of the level at hand."""
    asker = Closing(context.coach(), context.seed(), context.now())
    practice = PracticeRound(asker, context.keep, context.now(), len(asker.paper), closing=True)
    return page_of(context, practice)


def page_of(context: Context, practice: PracticeRound) -> Screen:
    """The page of the bar at hand: what is new in it is met first, what stays mixed up heard once more."""
    if practice.question.meets or practice.question.again:
        return MeetingPage(context, practice, lambda: Practice(context, practice))
    return Practice(context, practice)


def keep_round(context: Context, finished: PracticeRound) -> Round | None:
    """Keep a finished round; returns the best like it before.  What can't be kept is told on the home page."""
    try:
        if finished.passed:
            context.keep_closed(context.level, context.now())
        return None if finished.closing else context.keep_round(finished)
    except RecordsError as error:
        # No page of its own: every answer is kept already, and a score is worth no interruption.
        context.notice = f"The round was not kept: {error}"
        return None


HEARD = ("", "the bar, once", "the bar, once, not counted in", "both bars, once")
"""The words for what the key plays, by the step of memory."""

NOT_YET = "It has not sounded yet."
"""The message while the count-in of a bar that is handed in still sounds."""


class Practice(BarScreen, AnsweringScreen):
    """A bar to be answered."""

    def __init__(self, context: Context, practice: PracticeRound) -> None:
        super().__init__(context, practice)
        self._best_before: int | None = None
        # The first sound of a round waits for a key, unless a meeting has sounded before it; so does what is heard once
        # and from memory. The second of two bars has sounded with the first.
        first = practice.number == 1 and not (practice.question.meets or practice.question.again)
        self.waits = (first or practice.question.memory > FREELY) and not practice.second
        self._begun = practice.second
        self._rounds = 0
        self._beat_alone: int | None = None
        self._slowly = False
        self.focus = f"beat {self.sheet.place}"

    @property
    def sheet(self) -> Sheet[Figure]:
        return self.round.sheet

    @property
    def given(self) -> Sequence[Figure | None]:
        return self.round.question.bar.figures

    @property
    def inked(self) -> Mapping[int, Figure | None]:
        return self.round.shown

    def keys(self) -> Sequence[Key]:
        bindings = self.context.bindings
        hear = Key(bindings.key("hear"), self.hear_words().lower(), self.hear)
        more = Key(bindings.key("beat"), "this beat", self._hear_beat), *self.listening_keys()
        # Left to the focus, the key would hand in.
        again = Key(bindings.key("hear"), "", self._refuse_again, shown=False)
        return (
            hear if self._may_hear else again,
            *(() if self.round.once else more),
            *self.answering_keys(),
            Key("escape", "leave", self.leave_round),
        )

    def tick(self, now: float) -> list[Rect]:
        if not self._begun and not self.waits and not self.stale:
            self.hear()
        if self.told == NOT_YET and self._was_heard:
            self.told, self.stale = "", True
        if self.loudspeaker.rounds() > self._rounds:
            self._count_hearing()
        return super().tick(now)

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(176))
        first = self.round.number == 1
        ruler, bar, reason, status, tiles = rows(
            box, [look.u(40), high, look.u(62) if first else 0, look.u(TARGET), None], look.u(14 if first else 12)
        )
        stave = stave_in(look, self.context.level, bar)
        return [
            *self.answer_staff(look, ruler, stave),
            *(reason_beside(look, reason, self.context.level, self.round.question.reason) if first else ()),
            *self._status(look, status),
            *self.tiles(look, tiles, look.u(10)),
        ]

    def _status(self, look: Look, box: Rect) -> list[Widget]:
        words, hear, done = columns(box, [None, look.u(240), look.u(240)], look.u(20))
        told = self.told or self.prompt()
        colour, role = ("warn", "body") if self.told else ("ink", "lead")
        hears = Button("hear", hear, self.hear_words(), self.hear, self.waits, key=self._hear_key)
        return [
            Label("status", words, told, role, bold=True, colour=colour, middle=True),
            *((hears,) if self._may_hear else ()),
            Button("done", done, "Hand in", self.try_to_hand_in, main=self.sheet.full, key="return"),
        ]

    @property
    def _may_hear(self) -> bool:
        """Whether the bar can be heard now: one that is heard once only while it waits."""
        return self.waits or not self.round.once

    @property
    def _hear_key(self) -> str:
        return self.context.bindings.key("hear")

    def hear_words(self) -> str:
        if self.waits:
            return "Hear both" if self.round.question.then else "Hear the bar"
        return super().hear_words()

    def prompt(self) -> str:
        unheard = self.waits and self.sheet.full and not self._was_heard
        if unheard or (self.waits and not any(self.sheet.said(place) for place in self.sheet.asked)):
            heard = HEARD[self.round.question.memory] or ("the bar, once" if self.round.closing else "the bar")
            return f"{title(self._hear_key)}: hear {heard}"
        if self.round.second and not self.sheet.full:
            return f"The second bar, beat {self.sheet.place + 1}: which figure?"
        again = self.round.state is State.AGAIN and not self.sheet.full
        return f"Not yet. Beat {self.sheet.place + 1} again: which figure?" if again else super().prompt()

    # Acts

    def hand_in(self) -> Next:
        self.round.answer(self.context.now())
        if self.round.second:
            return Replace(Practice(self.context, self.round))
        if self.round.answering:
            return self._begin_again()
        if self.round.complete and not self.round.end:
            # Before the last reveal: whoever leaves from there has played the round to its end.
            best = keep_round(self.context, self.round)
            self._best_before = best.score if best else None
        return Replace(Reveal(self.context, self.round, self._after_reveal))

    def _begin_again(self) -> Next:
        """The wrong beats are open once more: the bar sounds again."""
        self._begun = False
        self.loudspeaker.stop()
        self.set_focus(f"beat {self.sheet.place}")
        return None

    def _after_reveal(self) -> Screen:
        self.round.go_on()
        if self.round.state is State.REVEALED:
            return Reveal(self.context, self.round, self._after_reveal)
        if self.round.state is State.FINISHED and self.round.end:
            ended: Screen = self.round.end(self.round)
            return ended
        if self.round.state is State.FINISHED:
            return RoundEnd(
                self.context, self.round, self._best_before, lambda: open_practice(self.context),
                lambda: open_closing(self.context),
            )  # fmt: skip
        return page_of(self.context, self.round)

    def try_to_hand_in(self) -> Next:
        """Hand in what was heard; a bar of which no figure has sounded yet waits for its hearing."""
        if not self._was_heard:
            self.told = f"Hear it first: {title(self._hear_key)}." if self.waits else NOT_YET
            return None
        return super().try_to_hand_in()

    @property
    def _was_heard(self) -> bool:
        # A hearing that is still being counted in has let nothing be heard.
        hearings = self.sheet.hearings - self.loudspeaker.leads_in
        # Of a second try, or of the second of two bars, it was heard before.
        return hearings > 0 or self.round.state is State.AGAIN or self.round.second

    def enter(self) -> Next:
        """Press what has the focus; on a beat, hear the bar that waits, or hand in."""
        waits = self.waits and not self.sheet.full and self.focus.startswith("beat ")
        return self.hear() if waits else super().enter()

    # Sound

    def hear(self) -> Next:
        if self.stops:
            self.fall_silent()
            return None
        question = self.round.question
        if question.then:
            return self._play(two_bars(question.bar, question.then.bar, self.setting, self.played_as(question.then)))
        return self._play(whole_bar(question.bar, self.setting, "The bar"))

    def _refuse_again(self) -> Next:
        self.told = "This one sounds once. Say what you heard, or that you are not sure."
        return None

    def _hear_beat(self) -> Next:
        bar, beat = self.round.question.bar, self.sheet.place
        return self._play(one_beat(bar, self.setting, beat, f"Beat {beat + 1}"))

    def _play(self, what: Hearing) -> Next:
        self.fall_silent()
        self._begun = self.stale = True
        self.waits = False
        # Two bars in a row are one hearing.
        bars = what.passage.bars - what.passage.figure_bar
        self._rounds = bars - 1
        self._beat_alone = what.beat
        # The response time runs from the end of the last bar that sounds.
        self._count_hearing(what.passage.time_of_beat(what.passage.bars, 1))
        self.loudspeaker.play(what if self.round.once else self.repeated(what))
        return None

    def fall_silent(self) -> None:
        """Fall silent; what was broken off before a figure came is no hearing."""
        if self.loudspeaker.leads_in:
            self.sheet.unhear(self._beat_alone, self._slowly)
        self.loudspeaker.stop()
        self.stale = True

    def _count_hearing(self, until_end: float = 0.0) -> None:
        """Each time the bar sounds is a hearing, in a loop too."""
        self._rounds += 1
        self._slowly = self.context.listening.pace < 1
        self.sheet.hear(self.context.now(), until_end, self._beat_alone, self._slowly)
        self.stale = True
