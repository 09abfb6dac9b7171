"""A mock exam: bar after bar, without help and without a word about right or wrong."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.learning import Answer
from game.records import Exam, RecordsError
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.exam.result import ExamEnd
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.unkept import Unkept
from game.sessions.exam.exam import ExamSession, Stage
from game.sessions.exam.result import result_of
from game.sessions.hearing.listening import EXACT
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, FigureTile
from game.widgets.stave import Stave, stave_in
from game.wording import counted
from shared.figures import Figure
from shared.notation.engraved import INK, Layout


def open_exam_room(context: Context) -> "ExamRoom":
    """Begin an exam on the level at hand."""
    now = context.now()
    session = ExamSession(context.level, context.seed(), now)
    exam = context.records.start_exam(context.player, context.level.name, session.rules, now)
    return ExamRoom(context, session, exam)


class ExamRoom(RulerScreen):
    """An exam that is being sat.  It is in the records from its first bar on, whatever happens."""

    def __init__(self, context: Context, session: ExamSession, exam: Exam) -> None:
        super().__init__(context)
        self.session = session
        self._exam = exam
        self._unkept: list[tuple[str, tuple[Answer, ...]]] = []
        self._told = ""
        self._sure = False
        self._open()

    def _open(self) -> None:
        self._place = 0
        self._sure = False
        self.focus = "hear"

    @property
    def _asked(self) -> tuple[int, ...]:
        return self.session.question.asked

    def heading(self) -> Heading:
        session = self.session
        left = session.hearings_left
        hearings = f"{counted(left, 'hearing')} left" if left else "no hearing left"
        where = f"Bar {session.number} of {len(session.paper)}, {hearings}"
        return Heading("Mock exam", self.context.level.title, where)

    def keys(self) -> Sequence[Key]:
        return (
            Key(self.context.bindings.key("hear"), "hear the bar", self._hear),
            Key("left", "other beat", lambda: self._step(-1), cap="Left Right"),
            Key("right", "next beat", lambda: self._step(1), shown=False),
            Key(self.context.bindings.key("take back"), "take back", self._take_back),
            Key("return", "hand in", self._enter),
            Key("escape", "break off", self._leave),
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        ruler, bar, status, tiles = rows(box, [look.u(40), look.u(176), look.u(TARGET), None], look.u(14))
        stave = stave_in(look, self.context.level, bar)
        layout = self._layout(stave)
        places = stave.places(look, layout, self._asked, self._state, self._go_to, self._hand_in)
        return [
            *self.on_staff(look, stave, layout, ruler, places),
            *self._status(look, status),
            *self._tiles(look, tiles),
        ]

    def _layout(self, stave: Stave) -> Layout:
        question = self.session.question
        picks = dict(zip(self._asked, self.session.picks, strict=True))
        figures = [picks.get(k, figure) for k, figure in enumerate(question.bar.figures)]
        return stave.layout(figures, [INK if k in picks else GIVEN for k in range(len(figures))])

    def _state(self, beat: int) -> str:
        place = self._asked.index(beat)
        if place == self._place:
            return "current"
        return "filled" if self.session.picks[place] else "empty"

    def _status(self, look: Look, box: Rect) -> list[Widget]:
        words, hear, done = columns(box, [None, look.u(250), look.u(250)], look.u(20))
        told = self._told or f"Beat {self._asked[self._place] + 1}: which figure?"
        full = None not in self.session.picks
        key = self.context.bindings.key("hear")
        return [
            Label("status", words, told, "lead", bold=True, colour="warn" if self._told else "ink", middle=True),
            Button("hear", hear, "Hear the bar", self._hear, key=key, main=not self.session.hearings),
            Button("done", done, "Hand in", self._hand_in, key="return", main=full and bool(self.session.hearings)),
        ]

    def _tiles(self, look: Look, box: Rect) -> list[FigureTile]:
        return self.figure_tiles(look, box, self._pick, self.session.picks[self._place], look.u(12))

    # Acts

    def _hear(self) -> Next:
        """A bar that sounds is not begun again: that would waste a hearing."""
        if self.sounds:
            return None
        if not self.session.hearings_left:
            self._told = "No hearing is left for this bar."
            return None
        question = self.session.play()
        self._told = ""
        self.play_bar(question.bar, question.setting, "The bar", EXACT)
        return None

    def _pick(self, figure: Figure) -> Next:
        self._told, self._sure = "", False
        self.session.pick(self._place, figure)
        empty = [place for place, pick in enumerate(self.session.picks) if pick is None]
        if empty:
            self._place = next((place for place in empty if place > self._place), empty[0])
        else:
            self.set_focus("done")
        return None

    def _take_back(self) -> Next:
        """Empty this beat, or where it is empty the one before."""
        self._told, self._sure = "", False
        if self.session.picks[self._place] is None and self._place:
            self._place -= 1
        self.session.pick(self._place, None)
        return None

    def _go_to(self, beat: int) -> None:
        self._place = self._asked.index(beat)

    def _step(self, step: int) -> Next:
        self._place = (self._place + step) % len(self._asked)
        return None

    def _enter(self) -> Next:
        focused = self.focused()
        return focused.press() if focused and focused.name != "hear" else self._hand_in()

    def _hand_in(self) -> Next:
        if not self.session.may_hand_in:
            self._told = "Hear the bar first."
            return None
        if None in self.session.picks and not self._sure:
            self._told, self._sure = "Beats are empty. Enter again hands in all the same.", True
            return None
        self._told = ""
        self.loudspeaker.stop()
        self._unkept.append((self.session.question.id, self.session.hand_in(self.context.now())))
        if self.session.stage is Stage.FINISHED:
            return self._finish()
        self._open()
        self._keep()
        return None

    def _keep(self) -> None:
        """Keep what was handed in; what can't be kept now is tried again with the next bar."""
        records, player = self.context.records, self.context.player
        while self._unkept:
            records.append(player, *self._unkept[0])
            self._unkept.pop(0)
        self._exam = replace(self._exam, detail=self.session.detail)
        records.save_exam(player, self._exam)

    def _finish(self) -> Next:
        mark = result_of(self.session.rules, self.session.detail).mark
        done = replace(self._exam, finished=self.context.now(), state="finished", mark=mark, detail=self.session.detail)
        try:
            self._keep()
            self.context.records.save_exam(self.context.player, done)
        except RecordsError as error:
            return Replace(Unkept(self.context, error, self._finish))
        return Replace(ExamEnd(self.context, done))

    def _leave(self) -> Next:
        question = "Break this exam off? It is kept as interrupted, and cannot be gone on with."
        return Push(Dialog(self.context, question, "Go on", "Break off", self._break_off))

    def _break_off(self) -> Next:
        self.session.interrupt()
        self.context.records.interrupt_exam(self.context.player, self._exam, self.context.now())
        return Pop(self)
