"""A mock exam: bar after bar, without help and without a word about right or wrong."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.learning import Answer
from game.records import Exam, RecordsError
from game.screens.answering.answering import AnsweringScreen
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.exam.playing import ExamPlaying
from game.screens.exam.result import open_result
from game.screens.notices.dialog import Dialog
from game.screens.notices.unkept import Unkept
from game.sessions.answering.sheet import Sheet
from game.sessions.exam.exam import ExamSession, ExamStage
from game.sessions.exam.result import result_of
from game.sessions.hearing.hearing import whole_bar
from game.sessions.hearing.listening import EXACT
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Push, Replace
from game.widgets.stave import stave_height, stave_in
from game.wording import counted
from shared.figures import Figure


def open_exam_room(context: Context) -> "ExamRoom":
    """Begin an exam on the level at hand."""
    now = context.now()
    session = ExamSession(context.level, context.seed(), now)
    exam = context.records.start_exam(context.player, context.level.name, session.rules, now)
    return ExamRoom(context, session, exam)


class ExamRoom(AnsweringScreen):
    """An exam that is being sat.  It is in the records from its first bar on, whatever happens."""

    def __init__(self, context: Context, session: ExamSession, exam: Exam) -> None:
        super().__init__(context)
        self.session = session
        self._exam = exam
        self._unkept: list[tuple[str, tuple[Answer, ...]]] = []
        self.focus = "hear"

    @property
    def sheet(self) -> Sheet[Figure]:
        return self.session.sheet

    @property
    def given(self) -> Sequence[Figure | None]:
        return self.session.question.bar.figures

    def heading(self) -> Heading:
        session = self.session
        left = session.hearings_left
        hearings = f"{counted(left, 'hearing')} left" if left else "no hearing left"
        where = f"Bar {session.number} of {len(session.paper)}, {hearings}"
        return Heading("Mock exam", self.context.level.title, where)

    def keys(self) -> Sequence[Key]:
        return (
            Key(self.context.bindings.key("hear"), "hear the bar", self._hear),
            *self.stepping_keys(),
            *self.answering_keys(),
            Key("escape", "break off", self._leave),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(176))
        ruler, bar, status, tiles = rows(box, [look.u(40), high, look.u(TARGET), None], look.u(12))
        stave = stave_in(look, self.context.level, bar)
        return [
            *self.answer_staff(look, ruler, stave),
            *self._status(look, status),
            *self.tiles(look, tiles, look.u(10)),
        ]

    def _status(self, look: Look, box: Rect) -> list[Widget]:
        words, hear, done = columns(box, [None, look.u(240), look.u(240)], look.u(20))
        told = self.told or self.prompt()
        heard, full = bool(self.session.hearings), self.sheet.full
        key = self.context.bindings.key("hear")
        colour, role = ("warn", "body") if self.told else ("ink", "lead")
        return [
            Label("status", words, told, role, bold=True, colour=colour, middle=True),
            Button("hear", hear, "Hear the bar", self._hear, key=key, main=not heard),
            Button("done", done, "Hand in", self.try_to_hand_in, key="return", main=full and heard),
        ]

    def _hear(self) -> Next:
        """A bar that sounds is not begun again: that would waste a hearing."""
        if self.sounds:
            return None
        if not self.session.hearings_left:
            self.told = "No hearing is left for this bar."
            return None
        self.told = ""
        question = self.session.question
        heard = whole_bar(question.bar, self.context.heard(question.setting, EXACT), "The bar")
        # The response time begins where the bar of figures ends.
        self.session.play(self.context.now(), heard.passage.time_of_beat(heard.passage.figure_bar + 1, 1))
        self.loudspeaker.play(heard)
        return None

    def enter(self) -> Next:
        focused = self.focused()
        # Not the button that hears, which has the focus at first: Enter by habit would use up a hearing.
        return focused.press() if focused and focused.name != "hear" else self.try_to_hand_in()

    def try_to_hand_in(self) -> Next:
        if not self.session.may_hand_in:
            self.told = "Hear the bar first."
            return None
        return super().try_to_hand_in()

    def hand_in(self) -> Next:
        self.loudspeaker.stop()
        # The name is read first: after handing in, the next question is at hand.
        self._unkept.append((self.session.question.id, self.session.hand_in(self.context.now())))
        if self.session.stage is ExamStage.FINISHED:
            return self._play() if self.session.level.exam.playing else self._finish()
        self.focus = "hear"
        self._keep()
        return None

    def _keep(self) -> None:
        """Keep what was handed in; what can't be kept now is tried again with the next bar."""
        records, player = self.context.records, self.context.player
        while self._unkept:
            records.append(player, *self._unkept[0])
            # Only now, so that an error leaves it to be tried again.
            self._unkept.pop(0)
        self._exam = replace(self._exam, detail=self.session.detail)
        records.save_exam(player, self._exam)

    def _play(self) -> Next:
        """Go on with the bars to be played, once all that was heard is kept."""
        try:
            self._keep()
        except RecordsError as error:
            return Replace(Unkept(self.context, error, self._play))
        return Replace(ExamPlaying(self.context, self.session, self._exam))

    def _finish(self) -> Next:
        mark = result_of(self.session.rules, self.session.detail).mark
        done = replace(self._exam, finished=self.context.now(), state="finished", mark=mark, detail=self.session.detail)
        try:
            self._keep()
            self.context.records.save_exam(self.context.player, done)
        except RecordsError as error:
            # An exam must not be lost: the page tries again, until it is kept or the player goes on without.
            return Replace(Unkept(self.context, error, self._finish))
        return Replace(open_result(self.context, done))

    def _leave(self) -> Next:
        # A pause would let a candidate look things up, and the mark would say nothing any more.
        question = "Break this exam off? It is kept as interrupted, and cannot be gone on with."
        return Push(Dialog(self.context, question, "Go on", "Break off", self._break_off))

    def _break_off(self) -> Next:
        # Where the records refused before, the exam is broken off already and only has to be kept.
        if self.session.stage is not ExamStage.INTERRUPTED:
            self.session.interrupt()
        broken = self.context.records.interrupt_exam(self.context.player, self._exam, self.context.now())
        return Replace(open_result(self.context, broken), self)
