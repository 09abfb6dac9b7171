"""Call and answer by picking, for whoever does not play: the groove goes round until the figures are picked."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from pygame import Rect

from game.learning.marking import marked
from game.learning.question import Question
from game.screens.answering.answering import AnsweringScreen
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.playing.call_end import CallEnd
from game.screens.playing.call_view import call_heading, reply_view
from game.sessions.answering.sheet import HowAnswered, Sheet
from game.sessions.playing.calls import (
    AHEAD,
    CALL,
    LONGEST,
    CallPlan,
    CoursePart,
    call_parts,
    groove_parts,
    picked_course,
)
from game.sessions.playing.playing import Playing
from game.sessions.playing.replies import Reply, ReplyRule, reply_picked
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.widgets.stave import stave_in
from shared.figures import Figure

LATER = 0.4
"""Seconds before a bar line that what follows it must be mixed and handed over; the sound's own delay besides."""

LOOKED_AT = 2.0
"""Seconds for which an answer is shown at least before the next call."""

TWICE = 1.0
"""Seconds within which a second press of Enter belongs to the first."""

THEN = {
    ReplyRule.SAME: "pick its figures",
    ReplyRule.OTHER: "pick another bar",
    ReplyRule.CHANGED: "pick it with one beat changed",
}
"""What to do after the call, by the rule."""

SILENT = "The groove has ended: hear the call again, or hand in, and it goes on."


class CallsPicked(AnsweringScreen):
    """Calls that are answered by picking figures.  The sound begins as the page is opened; there is no hurry.

    ``playing`` makes the question of which answers are kept; ``again`` makes the page for other calls.
    """

    def __init__(self, context: Context, plan: CallPlan, playing: Playing, again: Callable[[], Screen]) -> None:
        super().__init__(context)
        self.plan, self._playing, self._again = plan, playing, again
        self.replies: list[Reply] = []
        self.course = picked_course(plan.calls, plan.setting, 0)
        self._sheet = self._new_sheet()
        self._to_keep: list[tuple[Question, Sheet[Figure], float, HowAnswered]] = []
        self._begun = self._ended = self._open = False
        self._bar, self._waited = -1, 0
        # As if something was just handed in: the Enter that opened this page may come twice.
        self._said_at = context.now()
        self.focus = "beat 0"

    @property
    def sheet(self) -> Sheet[Figure]:
        return self._sheet

    @property
    def given(self) -> Sequence[Figure | None]:
        return (None,) * self.course.meter.beats

    def _new_sheet(self) -> Sheet[Figure]:
        return Sheet(range(self.course.meter.beats), self.plan.allowed)

    @property
    def _number(self) -> int:
        """The call at hand, from 0."""
        return len(self.replies)

    @property
    def _all_answered(self) -> bool:
        return self._number == len(self.plan.calls)

    def heading(self) -> Heading:
        return call_heading(self.context, self.plan, self._number)

    def keys(self) -> Sequence[Key]:
        stop = Key("escape", "stop", self._stop)
        if not self._open:
            # Whoever asks for the call too soon, or presses Enter once too often, must not stop it all.
            too_soon = Key(self.context.bindings.key("hear"), "", _nothing, shown=False)
            return (too_soon, Key("return", "", self._press, shown=False), stop)
        hear = Key(self.context.bindings.key("hear"), "hear the call again", self._hear_again)
        return (hear, *self.answering_keys(), stop)

    def _press(self) -> Next:
        """Press what has the focus; but what was just handed in is not handed in once more."""
        return None if self.context.now() - self._said_at < TWICE else self.enter()

    # The course

    def entered(self) -> None:
        if not self._begun:
            self._begin()

    def _begin(self) -> None:
        """Let the course sound from its count-in."""
        self._begun, self._waited = True, 0
        self.course = picked_course(self.plan.calls, self.plan.setting, self._number)
        self.loudspeaker.play(self.course.hearing)
        self._hears(0.0)

    def _hears(self, where: float) -> None:
        """Note that the call at hand will be heard."""
        self._sheet.hear(self.context.now(), self.course.call_over - where)

    def _go_on(self, parts: Sequence[CoursePart], later: float) -> float | None:
        """Let other parts follow on the first bar line that is so much later; returns where the sound then is."""
        where = self.context.sound.position()
        if where is None:
            return None
        # What is heard now was mixed so much earlier: the line must be met in the mix.
        later += self.context.settings.calibration / 1000
        here, line = self.course.bar_at(where), self.course.line_after(where, later)
        self.course, first = self.course.going_on(here, line, parts)
        self.loudspeaker.go_on(self.course.hearing, first)
        return where - first

    def _call(self, later: float) -> None:
        """Let the call at hand come on a bar line; where nothing sounds any more, all begins anew."""
        where = self._go_on(call_parts(self._number), later)
        if where is None:
            self._begin()
        else:
            self._waited = 0
            self._hears(where)

    def _hear_again(self) -> Next:
        where = self.context.sound.position()
        # While it sounds, or is on its way, it need not be asked for once more.
        if where is None or not self.course.calls_after(where):
            self._call(LATER)
        return None

    def tick(self, now: float) -> list[Rect]:
        self._keep()
        where = self.context.sound.position()
        if where is not None:
            self._follow(where)
        elif self._bar >= 0:
            # It fell silent: the page says so, and where the call was still to come it is asked for by hand.
            self._bar, self._open, self.stale = -1, not self._all_answered, True
        return super().tick(now)

    def _follow(self, where: float) -> None:
        """Open the answering as the call begins, and let the groove go round while nothing else follows."""
        course = self.course
        bar = course.bar_at(where)
        if course.parts[bar] == CoursePart(CALL, self._number) and not self._open:
            self._open, self.stale = True, True
            self.set_focus("beat 0")
        if bar != self._bar:
            self._bar = bar
            # With two bars still to come, so that what follows is mixed and handed over in time.
            ends = len(course.parts) - bar < 3 and self._waited < LONGEST
            if ends and not self._all_answered and not course.calls_after(where):
                self._waited += AHEAD
                self._go_on(groove_parts(self._number), course.begins(len(course.parts)) - where - LATER)

    def moves_on(self, now: float) -> Next:  # noqa: ARG002 - the sound has its own clock
        over = self._all_answered and self.context.sound.position() is None
        return self._onward() if (over or self._ended) and not self._to_keep else None

    def left(self) -> None:
        self._ended = self._begun
        super().left()

    def _stop(self) -> Next:
        """End it here: what was answered stays."""
        return self._onward()

    def _onward(self) -> Next:
        if not self.replies:
            return Pop()
        return Replace(CallEnd(self.context, self.plan, self.replies, self._again))

    # Answering

    def hand_in(self) -> Next:
        now, sheet, plan = self.context.now(), self._sheet, self.plan
        call = plan.calls[self._number]
        if plan.rule is ReplyRule.SAME:
            self._playing.put(call.bars[0], plan.setting.tempo)
            question = replace(self._playing.said_question(now), choices=plan.allowed)
            self._to_keep.append((question, sheet, now, sheet.how(now)))
        self.replies.append(reply_picked(call, sheet.answers, plan.rule, plan.allowed))
        self._open, self._sheet, self._said_at = False, self._new_sheet(), now
        if self._all_answered:
            self._go_on(groove_parts(self._number, 1), LATER)
        else:
            self._call(LOOKED_AT)
        self.set_focus("stop")
        self._keep()
        return None

    def _keep(self) -> None:
        """Keep what was picked; where that fails it is tried again when the page is on top again."""
        while self._to_keep:
            question, sheet, at, how = self._to_keep[0]
            self.context.keep(question.id, marked(question, sheet.answers, at, self.context.level.name, **how).answers)
            del self._to_keep[0]

    # The page

    def prompt(self) -> str:
        if self.sheet.full or self.plan.rule is ReplyRule.SAME:
            return super().prompt()
        # The rule with each beat: asked for a figure alone, everybody would say the one that was heard.
        return f"{self.plan.rule.value}, beat {self.sheet.place + 1}: which?"

    def body(self, look: Look, box: Rect) -> list[Widget]:
        return self._answering(look, box) if self._open else self._waiting(look, box)

    def _waiting(self, look: Look, box: Rect) -> list[Widget]:
        told, stop = rows(box, [None, look.u(TARGET)], look.u(12))
        words = f"The groove begins. Listen to the call; then {THEN[self.plan.rule]}, with no hurry."
        if self.replies:
            shown = reply_view(look, told, self.context.level, self.replies[-1])
        else:
            shown = [Label("along", told, words, "lead", middle=True, align="centre")]
        # No ruler here for a mark to follow.
        self._area = None
        return [*shown, Button("stop", columns(stop, [look.u(220), None])[0], "Stop", self._stop, key="escape")]

    def _answering(self, look: Look, box: Rect) -> list[Widget]:
        ruler, bar, status, tiles = rows(box, [look.u(40), look.u(176), look.u(TARGET), None], look.u(14))
        words, hear, done = columns(status, [None, look.u(270), look.u(230)], look.u(20))
        stave = stave_in(look, self.context.level, bar)
        told = self.told or (self.prompt() if self.sounds else SILENT)
        key, full = self.context.bindings.key("hear"), self.sheet.full
        return [
            *self.answer_staff(look, ruler, stave),
            Label("status", words, told, "lead", bold=True, colour="warn" if self.told else "ink", middle=True),
            Button("hear", hear, "Call again", self._hear_again, key=key),
            Button("done", done, "Hand in", self.try_to_hand_in, key="return", main=full),
            *self.tiles(look, tiles, look.u(12)),
        ]


def _nothing() -> Next:
    return None
