"""Call and answer by playing: the groove never stops, and each answer is read while it goes on."""

from collections.abc import Callable, Sequence

from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.playing.call_end import CallEnd
from game.screens.playing.call_view import along_words, call_heading, reply_view
from game.screens.playing.devices import PLAYED_ON
from game.screens.playing.ears import READERS, HabitMemory
from game.screens.playing.taking import TakeScreen
from game.sessions.inputs import KEYS, MICROPHONE, PADS
from game.sessions.playing.calls import COUNT_IN, GROOVE, CallCourse, CallPlan, played_course, swinging
from game.sessions.playing.playing import Playing, Run
from game.sessions.playing.replies import Reply, ReplyRule, reply_played
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.wording import PLAY_LIGHTLY

NOTHING_CAME = {
    KEYS: "Strike the two keys in the bar after the call.",
    PADS: "Are the pads switched on, and do they send notes?",
    MICROPHONE: "Strike nearer to the microphone.",
}
"""The advice where nothing of an answer came in, by what was played on."""


class CallsPlayed(TakeScreen):
    """Calls that are answered on keys, pads or before the microphone.

    The sound begins as the page is opened.  While the groove goes on before a call, the page shows what the last answer
    was; it shows nothing but one word while calls and answers sound.  ``again`` makes the page for other calls.
    """

    def __init__(
        self, context: Context, plan: CallPlan, playing: Playing, again: Callable[[], Screen],
        memory: HabitMemory | None = None,
    ) -> None:  # fmt: skip
        super().__init__(context, memory)
        self.playing, self.plan, self._again = playing, plan, again
        self.replies: list[Reply] = []
        self.course: CallCourse | None = None
        self._ended = self._shows = False
        self.focus = "stop"

    def heading(self) -> Heading:
        return call_heading(self.context, self.plan, len(self.replies))

    def keys(self) -> Sequence[Key]:
        if self.course:
            return (Key("escape", "stop", self._stop),)
        return (
            Key("space", "begin", self._begin),
            Key("d", "what you play on", self._devices),
            Key("escape", "back", Pop),
        )

    # The course

    def entered(self) -> None:
        if self.course is None and not self._ended:
            self._begin()

    def _begin(self) -> Next:
        instrument, playing = self.context.instrument, self.playing
        reader = swinging(READERS[instrument.source], self.plan.setting.swing)
        playing.play_on(instrument, reader, self._memory.of(instrument))
        playing.tempo = self.plan.setting.tempo
        course = played_course(self.plan.calls, self.plan.setting, bare=instrument.source == MICROPHONE)
        self.course = course if self.begin_take(course.reply_run(0)) else None
        self._ended = False
        if self.course is None:
            self.focus = "begin"
        return None

    def left(self) -> None:
        self._ended = self.course is not None
        super().left()

    def _stop(self) -> Next:
        """End it here: what was answered stays."""
        self.break_off()
        self.course, self._ended, self.focus = None, bool(self.replies), "begin"
        return self._onward()

    def _onward(self) -> Next:
        if not self.replies:
            # Where something went wrong the page stays, to say it.
            return None if self.news else Pop()
        end = CallEnd(self.context, self.plan, self.replies, self._again)
        if self.news:
            end.tell(self.news)
        return Replace(end)

    def moves_on(self, now: float) -> Next:  # noqa: ARG002 - the sound has its own clock
        over = self.course is not None and self.run is None and self.context.sound.position() is None
        return self._onward() if (over or self._ended) and not self._unkept else None

    def tick(self, now: float) -> list[Rect]:
        parts = super().tick(now)
        shows = self._at_rest()
        if shows != self._shows:
            self._shows, self.stale = shows, True
        return parts

    def _at_rest(self) -> bool:
        """Whether count-in or groove sound, in which the page may change."""
        where = self.context.sound.position()
        return self.course is not None and where is not None and self.course.part_at(where).word in (COUNT_IN, GROOVE)

    def end_take(self, run: Run) -> None:
        """Read one answer: the sound goes on, and so does what is played on until the last."""
        # It fell silent before its end, as where a device is unplugged: there is no answer to be read.
        if self.context.sound.position() is None:
            self._ended = True
            return
        number, course, instrument = len(self.replies), self.course, self.playing.instrument
        assert course is not None
        if self._ear:
            # From the groove before it on: what sounds there is known, and tells when the strokes came.
            since = run.begins - 2 * course.bar_seconds
            self.take_in(self._ear, self._ear.so_far(run, since))
            self.playing.device = self._memory.of(instrument, self.exact)
        elif number == 0:
            # On keys and pads: the strokes along with the count-in, which begins the sound, tell how late they come in.
            self.playing.settle(self.struck, Run(course.hearing, 0.0, cued=0))
        self.stale = True
        self.finished(run)

    def finished(self, run: Run) -> None:
        plan, playing, call = self.plan, self.playing, self.plan.calls[len(self.replies)]
        playing.put(call.bars[0], plan.setting.tempo)
        played = playing.take(self.struck, run, self.context.now(), self.exact)
        self.replies.append(reply_played(call, played.reading, plan.rule, plan.allowed))
        if self.course and len(self.replies) < len(plan.calls):
            self.run = self.course.reply_run(len(self.replies))
        else:
            self._let_go()
        # Last of all: what fails in being kept ends this function.
        self.keep(played.to_keep if plan.rule is ReplyRule.SAME else played.strokes_to_keep, playing.device)

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        return self._running(look, box) if self.course else self._ready(look, box)

    def _ready(self, look: Look, box: Rect) -> list[Widget]:
        words = along_words(self.context.instrument)
        keys, button, care, _ = rows(
            box, [look.height(words, box.w, "lead"), look.u(TARGET + 10), look.line(), None], look.u(20)
        )
        begin, devices, _ = columns(button, [look.u(380), look.u(380), None], look.u(20))
        played_on = PLAYED_ON[self.context.settings.play_on]
        return [
            Label("on", keys, words, "lead"),
            Button("begin", begin, "Begin", self._begin, main=True, key="space"),
            Button("devices", devices, played_on, self._devices, key="d"),
            Label("care", care, PLAY_LIGHTLY, colour="quiet"),
        ]

    def _running(self, look: Look, box: Rect) -> list[Widget]:
        word, told, buttons = rows(box, [look.line("huge"), None, look.u(TARGET + 10)], look.u(12))
        stop, hands = columns(buttons, [look.u(220), None], look.u(20))
        shown: list[Widget] = []
        if self._shows and self.replies:
            reply = self.replies[-1]
            advice = self._loudness or ("" if reply.came else NOTHING_CAME[self._instrument.source])
            shown = reply_view(look, told, self.context.level, reply, advice)
        elif self._shows:
            shown = self._along(told)
        return [self.word(word), *shown, self.stop_button(look, stop), *self.hand_buttons(look, hands)]

    def _along(self, box: Rect) -> list[Widget]:
        words = f"{along_words(self._instrument)} Then you hear the call, and answer in the bar after it."
        return [Label("along", box, words, "lead", middle=True, align="centre")]
