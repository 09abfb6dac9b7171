"""Before a mock exam: its rules, what to expect, the day of the real one, and the exams that were sat before."""

from collections.abc import Iterator, Sequence

from pygame import Rect

from game.records import Exam
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.exam.result import open_result
from game.screens.exam.room import open_exam_room
from game.screens.notices.name_prompt import NamePrompt
from game.service import goes_on
from game.sessions import SessionError
from game.sessions.exam.day import day_from, days_until, until_words
from game.sessions.exam.outlook import percent, too_early
from game.sessions.exam.paper import exam_seconds
from game.sessions.exam.result import BELOW, NOT_THE_BOARD, result_of
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.texts import paragraphs
from game.wording import counted, date_words, time_words, weekday_words


class ExamStart(Screen):
    """Tells the rules and begins."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._exams: list[Exam] = []
        self._chosen = 0
        self.readiness = ""
        self._drawn = False
        self._work: Iterator[None] = iter(())
        self.focus = "begin"

    def heading(self) -> Heading:
        return Heading("Mock exam", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        opens = (Key("return", "open this exam", self._open),) if self.focus == "exams" else ()
        return (*opens, Key("d", "the exam's day", self._ask_day), Key("escape", "home", Pop))

    def entered(self) -> None:
        found = self.context.records.exams(self.context.player, self.context.level.name)
        # One that still runs was cut off by a crash or a power failure: it has no result to be opened.
        self._exams = [exam for exam in reversed(found) if exam.state != "running"]
        self._drawn = False
        self.stale = True

    def tick(self, now: float) -> list[Rect]:
        # The forecast replays the log: the page is shown first, and then stays quick.
        if not self._drawn:
            self._drawn = True
            self._work = self.context.working_out(self.context.level)
        elif not self.readiness and not goes_on(self._work):
            self.readiness = self.context.readiness(self.context.level) or too_early(0)
            self.stale = True
        return super().tick(now)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [None, box.w * 0.4], look.u(56))
        begin, title, rules = rows(left, [look.u(TARGET + 10), look.line("lead"), None], look.u(14))
        return [
            Button("begin", begin, "Begin the exam", self._begin, main=True),
            Label("rules title", title, "The rules", "lead", bold=True, middle=True),
            *paragraphs(look, rules, "rule", self._rules()),
            *self._earlier(look, right),
        ]

    def _rules(self) -> Sequence[str]:
        rules = self.context.level.exam
        minutes = max(1, round(exam_seconds(self.context.level) / 60))
        times = {1: "once", 2: "twice at most"}.get(rules.hearings, f"{rules.hearings} times at most")
        return (
            f"{rules.questions} bars, drawn at random; every figure comes as often as any other. "
            f"At most about {counted(minutes, 'minute')}.",
            f"Each bar is heard {times}. A hearing counts from its first sound; there is no pause.",
            *((played_words(rules.playing),) if rules.playing else ()),
            "No help, and no word about right or wrong before the end.",
            "A bar that is handed in is not opened again.",
            "If you leave, the exam is broken off: no mark, no going on; what you handed in is kept.",
            f"Pass from {percent(rules.pass_mark)}, merit from {percent(rules.merit_mark)}, "
            f"distinction from {percent(rules.distinction_mark)} of the beats.",
            *filter(None, (self.readiness,)),
            NOT_THE_BOARD,
        )

    def _earlier(self, look: Look, box: Rect) -> list[Widget]:
        day, told, give, title, exams = rows(
            box, [look.line("lead"), look.height(self._day_words(), box.w), look.u(TARGET), look.line("lead"), None],
            look.u(14),
        )  # fmt: skip
        row = row_height(look)
        button = columns(give, [look.u(300), None])[0]
        known = self.context.exam_day(self.context.level)
        words = "Earlier exams" if self._exams else "No exam on this level yet"
        found: list[Widget] = [
            Label("day title", day, "The day of your exam", "lead", bold=True, middle=True),
            Label("day", told, self._day_words()),
            Button("give day", button, "Change the day" if known else "Give the day", self._ask_day),
            Label("earlier", title, words, "lead", bold=True, middle=True),
        ]
        if self._exams:
            lines = [Row(time_words(exam.started), exam_words(exam)) for exam in self._exams]
            found.append(ListBox("exams", exams, lines, self._chosen, self._choose, self._open, row))
        return found

    def _day_words(self) -> str:
        day = self.context.exam_day(self.context.level)
        if day is None:
            return "Your teacher or the board tells it; each level has its own. Forecast and plan then reach to it."
        left = days_until(day, self.context.now())
        if left < 0:
            return f"It was {weekday_words(day)}. Give the next one once you know it."
        return f"{weekday_words(day)}: {until_words(left)}. Forecast and plan reach to it."

    def _ask_day(self) -> Next:
        known = self.context.exam_day(self.context.level)
        question = "On which day is your exam?" + (" Left empty, it is forgotten." if known else "")
        written = date_words(known) if known else ""
        return Push(NamePrompt(self.context, question, written, self._take_day, "9 December or 9/12"))

    def _take_day(self, text: str) -> str:
        """Keep the day that was written; returns why it can't be."""
        context = self.context
        try:
            context.choose_exam_day(context.level, day_from(text, context.now()) if text.strip() else None)
        except SessionError as error:
            return str(error)
        # To be worked out anew, for the new day.
        self.readiness, self._drawn = "", False
        return ""

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _open(self) -> Next:
        try:
            return Push(open_result(self.context, self._exams[self._chosen], "back"))
        except SessionError as error:
            self.tell(str(error))
            return None

    def _begin(self) -> Next:
        # In place of the rules: what is left by then is the exam, and from its result the way leads home.
        return Replace(open_exam_room(self.context))


def played_words(bars: int) -> str:
    """The rule of the playing part."""
    return (
        f"Then {counted(bars, 'bar')} to be played, at sight and played back in turn, once each. Figures count; timing "
        "is told, not marked, and does not enter the grade."
    )


def exam_words(exam: Exam) -> str:
    """The outcome of an exam, in a few words."""
    if exam.state == "interrupted" or exam.mark is None:
        return "interrupted"
    try:
        result = result_of(exam.rules, exam.detail)
        if not result.graded:
            return f"{percent(exam.mark)} by ear, no grade"
        band = result.band
        return f"{percent(exam.mark)}, {'not passed' if band == BELOW else band}"
    except SessionError:
        return percent(exam.mark)
