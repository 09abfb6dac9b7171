"""The result of a mock exam: mark and band, what it means for the real day, beat by beat; to print."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Exam
from game.reports.exam_report import exam_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.saving import save
from game.sessions.exam.outlook import answers_to, forecast_of, forecast_words, percent, surprise, verdict
from game.sessions.exam.result import BELOW, BeatResult, ExamResult, result_of
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.paragraphs import paragraphs
from game.wording import counted
from shared.figures import Figure

TODAY = "As things stand today; what was said on the day of this exam was not kept."

JUST_NOW = 3600.0
"""Seconds after an exam within which a forecast counts as that of its day."""

SHOWN = 3
"""How many mix-ups the page shows; the printed sheet has more."""


class ExamEnd(HearingScreen):
    """A finished or interrupted exam, just sat or from the records."""

    def __init__(self, context: Context, exam: Exam) -> None:
        super().__init__(context)
        self._exam = exam
        self.result: ExamResult = result_of(exam.rules, exam.detail or [])
        self._outlook: tuple[str, ...] | None = None
        self._drawn = False
        self._chosen = 0
        self._told = ""
        self.focus = "print"

    def heading(self) -> Heading:
        return Heading("Mock exam", self.result.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            Key("p", "save to print", self._print),
            Key("h", "stop" if self.sounds(self._pair()) else "hear the two in turn", self._hear),
            Key("escape", "home", Pop),
        )

    def tick(self, now: float) -> list[Rect]:
        """Make the forecast once the first picture is there."""
        if not self._drawn:
            self._drawn = True
        elif self._outlook is None:
            self._tell_outlook()
            self.stale = True
        return super().tick(now)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        mark, means, body, saved, buttons = rows(
            box, [look.line("huge"), look.line("lead"), None, look.line("small"), look.u(TARGET)], look.u(8)
        )
        left, right = columns(body, [None, box.w * 0.4], look.u(48))
        pair = self._pair()
        sheet, home, _, hear = columns(buttons, [look.u(300), look.u(200), None, look.u(300)], look.u(20))
        return [
            *self._mark(look, mark),
            Label("means", means, self._means(), "lead", middle=True),
            *self._forecasts(look, left),
            *self._beats(look, right),
            Label("saved", saved, self._told, "small", bold=True, middle=True),
            Button("print", sheet, "Save to print (PDF)", self._print, main=True),
            Button("home", home, "Home", Pop),
            *([self.hear_button("hear", hear, "Hear them in turn", pair, self._hear, key="h")] if pair else ()),
        ]

    def _mark(self, look: Look, box: Rect) -> list[Widget]:
        number = percent(self.result.mark)
        first, second = columns(box, [look.width(number, "huge", True) + look.u(16), None], look.u(10))
        right, beats = self.result.right, len(self.result.beats)
        words = f"{right} of {beats} beats right: {self.result.band}."
        if self._exam.state == "interrupted":
            words = f"{right} of the {beats} beats that were handed in; interrupted, so there is no grade."
        return [
            Label("mark", first, number, "huge", bold=True, middle=True),
            Label("band", second, words, "lead", bold=True, middle=True),
        ]

    def _means(self) -> str:
        result = self.result
        if self._exam.state == "interrupted":
            return ""
        if result.short_of is None:
            return "There is no higher band."
        band, missing = result.short_of
        beats = counted(missing, "more beat")
        return f"{beats} would have made a {band}." if result.band != BELOW else f"{beats} would have made a pass."

    def _forecasts(self, look: Look, box: Rect) -> list[Widget]:
        title, words = rows(box, [look.line("lead"), None], look.u(8))
        return [
            Label("outlook title", title, "What it means for the real day", "lead", bold=True, middle=True),
            *paragraphs(look, words, "outlook", self._outlook or ("One moment.",)),
        ]

    def _beats(self, look: Look, box: Rect) -> list[Widget]:
        row = look.u(TARGET - 4)
        mixed = self._mixed_words()
        high = look.height(mixed, round(box.w)) if mixed else 1
        words, title, beats = rows(box, [high, look.line("lead"), None], look.u(8))
        found: list[Widget] = [
            Label("mixed", words, mixed),
            Label("beats title", title, "Beat by beat", "lead", bold=True, middle=True),
        ]
        if self.result.beats:
            lines = [Row(beat_words(beat), "right" if beat.right else "not right") for beat in self.result.beats]
            found.append(ListBox("beats", beats, lines, self._chosen, self._choose, self._hear, row))
        return found

    def _mixed_words(self) -> str:
        """What was taken for what most often, in a line or two."""
        found = [f"{taken.heard} for {taken.said} ({taken.times})" for taken in self.result.mix_ups[:SHOWN]]
        return f"Most often taken: {', '.join(found)}." if found else ""

    # Acts

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _hear(self) -> Next:
        pair = self._pair()
        return self.hear_pair(*pair) if pair else None

    def _pair(self) -> tuple[Figure, Figure] | None:
        """The figure of the chosen beat and what was said to it; None where the level at hand cannot play it."""
        if not self.result.beats:
            return None
        beat = self.result.beats[self._chosen]
        playable = beat.heard.compound == self.context.level.meter.compound
        return (beat.heard, beat.said or beat.heard) if playable else None

    def _tell_outlook(self) -> tuple[str, ...]:
        """The forecast of the exam's own day: worked out once, when the page is first seen, and kept with the exam."""
        if self._outlook is None:
            context, key = self.context, f"exam {self._exam.uuid}"
            kept = context.records.derived(context.player, key)
            if isinstance(kept, list):
                self._outlook = tuple(map(str, kept))
            elif self._is_new():
                self._outlook = self._forecast()
                context.records.keep_derived(context.player, key, self._outlook)
            else:
                self._outlook = (TODAY, *self._forecast())
        return self._outlook

    def _is_new(self) -> bool:
        """Whether the exam was sat just now, so that what is forecast now is the forecast of its day."""
        finished = self._exam.finished or self._exam.started
        return self.context.now() - finished < JUST_NOW

    def _forecast(self) -> tuple[str, ...]:
        context = self.context
        answers = context.records.answers(context.player)
        # An answer may be later than now, where the machine's clock was set back since.
        now = max(context.now(), answers[-1].at if answers else 0.0)
        forecast = forecast_of(context.coach(), now)
        known = answers_to(context.level, answers)
        words = forecast_words(forecast, context.level.exam.pass_mark, known)
        if self._exam.state == "interrupted":
            return (verdict(forecast, known), *words)
        told = verdict(forecast, known, self.result.band != BELOW)
        return (told, *surprise(forecast, self.result.mark, known), *words)

    def _print(self) -> Next:
        name = self.context.player.name
        data = exam_report(self.result, name, self.context.level, self._exam.started, self._tell_outlook())
        self._told = save(self.context, f"mock exam {name}", ".pdf", data)
        return None


def beat_words(beat: BeatResult) -> str:
    """A beat in a line: where it was, what was heard and what was said."""
    where = f"{beat.question}.{beat.beat}"
    if beat.right:
        return f"{where}  {beat.heard}"
    said = f"you said {beat.said}" if beat.said else "no answer"
    return f"{where}  {beat.heard}: {said}"
