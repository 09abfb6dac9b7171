"""The playing part of a mock exam: each bar is played once, and no word is said about it before the end."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.records import Exam, RecordsError
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.exam.result import open_result
from game.screens.notices.dialog import Dialog
from game.screens.notices.unkept import Unkept
from game.screens.playing.ears import READERS
from game.screens.playing.playing import PlayBar
from game.sessions.exam.exam import ExamSession
from game.sessions.exam.playing_part import SIGHT, WAYS, draw_playing, kept_row
from game.sessions.exam.result import result_of
from game.sessions.inputs import KEYS
from game.sessions.playing.playing import Playing, Run
from game.sessions.playing.report import HARDLY_READ
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Push, Replace

EMPTY = "Nothing came in. Try what you play on (D); the bar may be begun once more."

EMPTY_TAKES = 2
"""So many takes of one bar without a stroke, and the bar counts as not played."""


class ExamPlaying(PlayBar):
    """Bars to be played, after those that were heard; the exam is finished with the last."""

    # Seen under the notes they would say what was right.
    shows_strokes = False

    def __init__(self, context: Context, session: ExamSession, exam: Exam) -> None:
        level = context.level
        playing = Playing(level, level.figures, READERS[KEYS], context.seed(), context.settings.hand)
        playing.kind = "exam"
        super().__init__(context, playing)
        self._session, self._exam = session, exam
        self._tasks = draw_playing(level, session.seed)
        self._detail = list(session.detail)
        self.number = self._empty = 0
        self._to_save = False
        self._put()

    def heading(self) -> Heading:
        level = self.context.level
        if self._over:
            return Heading("Mock exam", level.title, "All bars played")
        task = self._tasks[self.number]
        left = f"{level.title}\n{self.context.tempo_words(task.tempo)}"
        return Heading("Mock exam", left, f"Played bar {self.number + 1} of {len(self._tasks)}, {task.how}")

    def keys(self) -> Sequence[Key]:
        if self._over:
            return (Key("return", "the result", self._end), Key("escape", "the result", self._end, shown=False))
        if self.run:
            return (Key("escape", "break off", self._leave),)
        return (
            Key("space", self._begin_words(), self._begin_usual),
            Key("d", "what you play on", self._devices),
            Key("escape", "break off", self._leave),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self._over:
            words, button, _ = rows(box, [look.line("lead"), look.u(TARGET + 10), None], look.u(26))
            return [
                Label("over", words, "That was the last bar.", "lead", bold=True, middle=True),
                Button("result", columns(button, [look.u(380), None])[0], "To the result", self._end, main=True),
            ]
        return self._running(look, box) if self.run else self._ready(look, box)

    def tick(self, now: float) -> list[Rect]:
        if self._to_save:
            self.context.records.save_exam(self.context.player, self._exam)
            self._to_save = False
        return super().tick(now)

    def _put(self) -> None:
        """Lay out the next bar."""
        task = self._tasks[self.number]
        self.way, self._empty = WAYS[task.how], 0
        self.playing.put(task.bar, task.tempo)
        self._said = "At sight." if task.how == SIGHT else "To be played back; you hear it once."
        self.focus = "play"

    def finished(self, run: Run) -> None:
        super().finished(run)
        # Taken from the session, whose page would else show what became of the bar.
        played, self.playing.played = self.playing.played, None
        assert played is not None
        if played.take is None and self._empty + 1 < EMPTY_TAKES:
            self._empty += 1
            self.tell(EMPTY)
            return
        if played.reading.hardly_read:
            self.tell(HARDLY_READ)
        self._detail.append(kept_row(self._tasks[self.number], played))
        # Kept with the next frame, again and again where that fails: an exam must not be lost.
        self._exam, self._to_save = replace(self._exam, detail=list(self._detail)), True
        self.number += 1
        if not self._over:
            self._put()

    @property
    def _over(self) -> bool:
        return self.number == len(self._tasks)

    def _end(self) -> Next:
        # Of what was heard alone: played bars stand in the detail, and do not enter the grade.
        mark = result_of(self._session.rules, self._detail).mark
        done = replace(self._exam, finished=self.context.now(), state="finished", mark=mark, detail=self._detail)
        try:
            self.context.records.save_exam(self.context.player, done)
        except RecordsError as error:
            return Replace(Unkept(self.context, error, self._end))
        return Replace(open_result(self.context, done))

    def _stop(self) -> Next:
        return self._leave()

    def _leave(self) -> Next:
        # A bar that was begun ends as it is: it must not be heard a second time by this way.
        if self.run:
            self.end_take(self.run)
        question = "Break this exam off? It is kept as interrupted, and cannot be gone on with."
        return Push(Dialog(self.context, question, "Go on", "Break off", self._break_off))

    def _break_off(self) -> Next:
        broken = self.context.records.interrupt_exam(self.context.player, self._exam, self.context.now())
        return Replace(open_result(self.context, broken), self)
