"""The result of a mock exam: mark and band, what it means for the real day, beat by beat, and what to do next."""

from collections.abc import Sequence

from pygame import Rect, Surface

from game.records import Exam
from game.reports.exam_report import exam_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.practice.question import open_drill
from game.screens.practice.reasons import figures_picture
from game.screens.progress.plan import PlanPage
from game.screens.saving import save
from game.sessions.exam.day import days_until
from game.sessions.exam.outlook import (
    ENOUGH_ANSWERS,
    answers_to,
    day_forecast_words,
    forecast_of,
    forecast_words,
    next_words,
    percent,
    surprise,
    verdict,
)
from game.sessions.exam.result import BELOW, BeatResult, ExamResult, result_of
from game.widgets.base import Draw, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import draw_row, tile_layout
from game.widgets.texts import paragraphs
from game.wording import counted, day_words, how_often
from shared.figures import Figure
from shared.levels import Level, spelling_in

TODAY = "As things stand today; what was said on the day of this exam was not kept."

JUST_NOW = 3600.0
"""Seconds after an exam within which a forecast counts as that of its day."""

SHOWN = 2
"""How many mix-ups the page shows; the printed sheet has more."""


def open_result(context: Context, exam: Exam, back: str = "home") -> "ExamEnd":
    """The page of an exam, beside the one before it on that level."""
    marks = [
        one.mark
        for one in context.records.exams(context.player, exam.level)
        if one.started < exam.started and one.state == "finished" and one.mark is not None
    ]
    return ExamEnd(context, exam, marks[-1] if marks else None, back)


class ExamEnd(HearingScreen):
    """A finished or interrupted exam, just sat or from the records.

    ``before`` is the mark of the exam before it on this level, to compare, None where there is none; ``back`` says
    where the way back leads: home, unless another page lies under this one.
    """

    def __init__(self, context: Context, exam: Exam, before: float | None = None, back: str = "home") -> None:
        super().__init__(context)
        self._exam, self._back = exam, back
        self._before = "" if before is None else f" The exam before: {percent(before)}."
        self.result: ExamResult = result_of(exam.rules, exam.detail or [])
        self._outlook: tuple[str, ...] | None = None
        self._outlook_title = "What it means for the real day"
        self._drawn = False
        self._chosen = self._first_of_largest()
        self._told = ""
        self.focus = "drill" if self._drillable() else "plan"

    def heading(self) -> Heading:
        where = f"{self.result.title}, {day_words(self._exam.started)}"
        return Heading("Mock exam", where, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        pair = self._pair()
        return (
            *((Key("d", "drill the two", self._drill),) if self._drillable() else ()),
            Key("l", "plan", self._plan),
            *((Key("h", "stop" if self.sounds(pair) else "hear the two in turn", self._hear),) if pair else ()),
            Key("p", "save to print", self._print),
            Key("escape", self._back, Pop),
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
        played = self.result.playing.words() if self.result.playing else ""
        mark, told, body, saved, buttons = rows(
            box,
            [look.line("huge"), look.height(played, box.w, "lead") if played else 1, None,
             look.line("small"), look.u(TARGET)],
            look.u(8),
        )  # fmt: skip
        # Without any beat nothing stands at the right, and the words may have the whole width.
        left, right = columns(body, [None, box.w * 0.37], look.u(32)) if self.result.beats else (body, body)
        return [
            *self._mark(look, mark),
            *([Label("played", told, played, "lead", middle=True)] if played else []),
            *self._forecasts(look, left),
            *self._beats(look, right),
            Label("saved", saved, self._told, "small", bold=True, middle=True),
            *self._buttons(look, buttons),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        """The buttons for what to do next: the pair first, then the plan."""
        pair, drillable = self._pair(), self._drillable()
        cells = iter(columns(box, [None] * (3 + drillable + bool(pair)), look.u(16)))
        drill = [Button("drill", next(cells), "Drill the two", self._drill, key="d", main=True)] if drillable else []
        plan = Button("plan", next(cells), "Practice plan", self._plan, key="l", main=not drillable)
        hear = [self.hear_button("hear", next(cells), "Hear in turn", pair, self._hear, key="h")] if pair else []
        sheet = Button("print", next(cells), "Save to print", self._print, key="p")
        return [*drill, plan, *hear, sheet, Button("home", next(cells), self._back.capitalize(), Pop)]

    def _mark(self, look: Look, box: Rect) -> list[Widget]:
        number = percent(self.result.mark)
        if not self.result.beats:
            return [
                Label("band", box, "Broken off before the first bar was handed in.", "lead", bold=True, middle=True)
            ]
        right, beats = self.result.right, len(self.result.beats)
        words = self.result.words()
        if self._exam.state == "interrupted":
            words = f"{right} of the {beats} beats that were handed in. Broken off, so there is no grade."
        first, second = columns(box, [look.width(number, "huge", True) + look.u(16), None], look.u(10))
        return [
            Label("mark", first, number, "huge", bold=True, middle=True),
            *self._came_to(second, words),
        ]

    def _came_to(self, box: Rect, words: str) -> list[Widget]:
        """The beats that were right, and what the mark lacked of a higher one."""
        means = self._means()
        band, below = rows(box, [None, None]) if means else (box, box)
        told = [Label("means", below, means, "lead", middle=True)] if means else []
        return [Label("band", band, words, "lead", bold=True, middle=True), *told]

    def _means(self) -> str:
        result = self.result
        if self._exam.state == "interrupted" or not result.graded:
            return ""
        if result.short_of is None:
            return f"There is no higher band.{self._before}"
        band, missing = result.short_of
        made = band if result.band != BELOW else "pass"
        return f"{counted(missing, 'more beat')} would have made a {made}.{self._before}"

    def _forecasts(self, look: Look, box: Rect) -> list[Widget]:
        title, words = rows(box, [look.line("lead"), None], look.u(8))
        return [
            Label("outlook title", title, self._outlook_title, "lead", bold=True, middle=True),
            *paragraphs(look, words, "outlook", self._outlook or ("One moment.",)),
        ]

    def _beats(self, look: Look, box: Rect) -> list[Widget]:
        """The most frequent mix-ups, and every beat, each drawn."""
        if not self.result.beats:
            return []
        row, mixed = look.u(TARGET - 4), self.result.mix_ups[:SHOWN]
        pairs, title, beats = rows(box, [look.u(84) * len(mixed) or 1, look.line("lead"), None], look.u(8))
        found: list[Widget] = []
        for k, (cell, taken) in enumerate(zip(rows(pairs, [None] * len(mixed)), mixed, strict=True)):
            drawn, words = columns(cell, [cell.w * 0.42, None], look.u(12))
            times = f"The first was taken for the second {how_often(taken.times)}."
            found += [
                figures_picture(f"mixed {k}", drawn, self.context.level, (taken.heard, taken.said)),
                Label(f"mixed words {k}", words, times, middle=True),
            ]
        told = "Bar.beat, heard and said"
        level = self.context.level
        lines = [
            Row(beat_words(beat, level), came_to(beat, level), drawn_beat(level, beat)) for beat in self.result.beats
        ]
        return [
            *found,
            Label("beats title", title, told, "lead", bold=True, middle=True),
            ListBox("beats", beats, lines, self._chosen, self._choose, self._hear, row),
        ]

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _hear(self) -> Next:
        pair = self._pair()
        return self.hear_pair(*pair) if pair else None

    def _drill(self) -> Next:
        pair = self._pair()
        return Push(open_drill(self.context, *pair)) if pair and self._drillable() else None

    def _drillable(self) -> bool:
        """Whether the two of the chosen beat differ, and the level at hand still holds both."""
        pair = self._pair()
        return bool(pair and pair[0] != pair[1] and set(pair) <= set(self.context.level.figures))

    def _plan(self) -> Next:
        return Push(PlanPage(self.context))

    def _first_of_largest(self) -> int:
        """The first beat of the most frequent mix-up: what is to be drilled first."""
        # A list of one at most, so that an exam without mix-ups is no case of its own.
        mixed = [(one.heard, one.said) for one in self.result.mix_ups[:1]]
        return next((k for k, beat in enumerate(self.result.beats) if (beat.heard, beat.said) in mixed), 0)

    def _pair(self) -> tuple[Figure, Figure] | None:
        """The figure of the chosen beat and what was said to it; None where the level at hand cannot play it."""
        if not self.result.beats:
            return None
        beat = self.result.beats[self._chosen]
        # An old exam may be of a level in the other kind of beat than the one at hand, whose staff can't hold it.
        playable = beat.heard.compound == self.context.level.meter.compound
        return (beat.heard, beat.said or beat.heard) if playable else None

    def _tell_outlook(self) -> tuple[str, ...]:
        """The forecast of the exam's own day: worked out once, when the page is first seen, and kept with the exam."""
        if self._outlook is None:
            context, key = self.context, f"exam {self._exam.uuid}"
            kept = context.records.derived(context.player, key)
            # What was said on the exam's day stays what was said, whatever the coach believes later.
            if isinstance(kept, list):
                self._outlook = tuple(map(str, kept))
                if not self._is_new():
                    # Its "today" and its days to go are those of the exam's day.
                    self._outlook_title = f"What it meant on {day_words(self._exam.started)}"
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
        coach, day = context.coach(), context.exam_day(context.level)
        now = context.now()
        forecast, known = forecast_of(coach, now), answers_to(context.level, answers)
        words = [*forecast_words(forecast, context.level.exam.pass_mark, known)]
        if day and days_until(day, now) > 0:
            words.insert(1, day_forecast_words(forecast_of(coach, now, day), day, now, forecast))
        if self._exam.state == "interrupted" or not self.result.graded:
            return (verdict(forecast, known), *words)
        failed, band = self.result.band == BELOW, self.result.band
        # Without the exam's own answers, which are in the log by now.
        practised = known - len(self.result.beats)
        told = verdict(forecast, known, not failed, practised)
        again = next_words(now, band, failed, day if day and days_until(day, now) >= 0 else None)
        beforehand = [self._said_before(), *surprise(forecast, self.result.mark, practised)]
        # In one paragraph: what was to be expected of the exam, and how far it came out otherwise.
        expected = " ".join(filter(None, beforehand))
        return tuple(filter(None, (f"{told} {again}", expected, *words)))

    def _said_before(self) -> str:
        """The mark that practice made likely before the exam, by which forecasts are judged; empty where not known."""
        ready = self.context.kept_readiness(self.context.level)
        if ready is None or ready.at > self._exam.started or ready.answers < ENOUGH_ANSWERS:
            return ""
        likely, came = percent(ready.right / ready.beats), percent(self.result.mark)
        return f"Before this exam, your practice made a mark of about {likely} likely; it came to {came}."

    def _print(self) -> Next:
        name = self.context.player.name
        # With the forecast even where the page has not worked it out yet: Print may be pressed at once.
        data = exam_report(self.result, name, self.context.level, self._exam.started, self._tell_outlook())
        self._told = save(self.context, f"mock exam {name}", ".pdf", data)
        return None


def beat_words(beat: BeatResult, level: Level) -> str:
    """Where a beat was, and what was heard."""
    return f"{beat.question}.{beat.beat}  {level.named(beat.heard)}"


def came_to(beat: BeatResult, level: Level) -> str:
    """The outcome of a beat in words, which stand alone where the row has no room for what is drawn."""
    if beat.right:
        return "right"
    return f"said {level.named(beat.said)}" if beat.said else "no answer"


def drawn_beat(level: Level, beat: BeatResult) -> Draw:
    """The function that draws the figure heard and, after a cross, another that was said."""
    figures = [beat.heard] if beat.right or not beat.said else [beat.heard, beat.said]
    layouts = [tile_layout(figure, spelling_in(level, figure), count=False) for figure in figures]

    def draw(canvas: Surface, look: Look, box: Rect) -> None:
        wide, side = min(look.u(104), (box.w - look.u(28)) // 2), look.u(16)
        for k, layout in enumerate(layouts):
            draw_row(canvas, look, Rect(box.x + k * (wide + look.u(28)), box.y, wide, box.h), [layout])
        if len(layouts) > 1:
            cross = Rect(box.x + wide + (look.u(28) - side) // 2, box.centery - side // 2, side, side)
            look.shape(canvas, "cross", cross, look.theme.warn)

    return draw
