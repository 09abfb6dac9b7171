"""Progress: what is mixed up, each figure from week to week, the days, what changed this month."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from pygame import Rect, Surface

from game.learning import Answer
from game.records import Player, RecordsError
from game.records.exchange import Imported
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.practice.question import open_drill
from game.screens.progress.hands import HandsView
from game.screens.saving import page_as_png, save
from game.sessions.exam.outlook import percent
from game.sessions.progress.hands import Weeks, by_week
from game.sessions.progress.mixups import largest_mix_up, tally
from game.sessions.progress.plan import LOOKED_BACK
from game.sessions.progress.progress import (
    FEW,
    MONTH,
    Change,
    ConfusionTable,
    change_rows,
    changes,
    confusion_table,
    csv_text,
    day_rows,
    practice_days,
    recall_by_week,
    week_rows,
)
from game.sessions.progress.progress import (
    Row as TableRow,
)
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.charts import DayBars, WeekLine
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.heat_map import HeatMap, Legend, least_sizes
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import COUNTED
from game.widgets.pairs import draw_figures, figure_in_row
from game.wording import DAY_SECONDS, counted, date_words, local_day
from shared.figures import Figure
from shared.levels import Level

VIEWS = (
    ("mix-ups", "Mix-ups"),
    ("figures", "Week by week"),
    ("days", "Days"),
    ("month", "This month"),
    ("hands", "Playing"),
)
PERIODS = (("plan", "60 days"), ("month", "30 days"), ("before", "30 before"), ("all", "All"))
"""The times that are counted; the plan is made from the first."""


TOLD_BACK = 365 * DAY_SECONDS
"""The timing of so many seconds back is told."""


def open_progress(context: Context) -> "Progress":
    """The progress of whoever plays, from all that the records know of them."""
    records, player = context.records, context.player
    timings = records.timings(player, context.now() - TOLD_BACK)
    return Progress(context, records.answers(player), by_week(timings))


def open_progress_of(context: Context, player: Player, level: Level) -> "Progress":
    """The progress of somebody else, or of a class, on a level, to be looked at by whoever plays, as these like it."""
    timings = context.records.timings(player, context.now() - TOLD_BACK)
    answers = context.records.answers(player)
    return Progress(replace(context, player=player, level=level), answers, by_week(timings), own=False)


class Progress(HearingScreen):
    """The progress of whoever plays on their level: views of one set of answers.

    Where it is not their ``own`` it is looked at alone: nothing is drilled, which would be kept as the other's answers.
    """

    def __init__(
        self, context: Context, answers: Sequence[Answer], timing: Weeks | None = None, own: bool = True
    ) -> None:
        super().__init__(context)
        self._own = own
        self._view, self._period = "mix-ups", "plan"
        self._told = ""
        self.focus = "view"
        self._show_answers(answers, timing or {})

    def _show_answers(self, answers: Sequence[Answer], timing: Weeks) -> None:
        """Count everything anew."""
        context = self.context
        # One "now" for all views: midnight between two of them would make their days disagree.
        self._now = context.now()
        self._answers = answers
        self.table = self._counted()
        self.hands = HandsView(context, answers, timing, drills=self._own)
        self.cell = self._worst()
        self._figure = self._row = 0
        self._weeks = recall_by_week(context.level, self._answers)
        self._days = practice_days(self._answers)
        self._changes = changes(context.level, self._answers, self._now)

    def _since(self) -> tuple[float, float]:
        """From when, and up to when, answers are counted."""
        now = self._now
        return {
            "plan": (now - LOOKED_BACK, np.inf), "month": (now - MONTH, np.inf),
            "before": (now - 2 * MONTH, now - MONTH), "all": (-np.inf, np.inf),
        }[self._period]  # fmt: skip

    def _counted(self) -> ConfusionTable:
        return confusion_table(self.context.level, self._answers, *self._since())

    def _worst(self) -> tuple[int, int]:
        """The cell of the largest mix-up; where nothing was mixed up more than once, of the most frequent."""
        figures, table = self.context.level.figures, self.table
        since, until = self._since()
        largest = largest_mix_up(figures, [row for row in self._answers if since <= row.at < until])
        if largest:
            return figures.index(largest.heard), figures.index(largest.said)
        # Without the diagonal, which holds what was named rightly.
        mixed = table.counts.copy()
        np.fill_diagonal(mixed, 0)
        row, column = np.unravel_index(int(mixed.argmax()), mixed.shape)
        return int(row), int(column)

    def heading(self) -> Heading:
        return Heading("Progress", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        hear = "stop" if self.sounds(self._pair()) else "hear the two in turn"
        drill = (Key("d", "drill them", self._drill),) if self._own else ()
        pair = (Key("h", hear, self._hear), *drill)
        return (
            *(pair if self._view == "mix-ups" else ()),
            *(self._hand_keys() if self._view == "hands" else ()),
            Key("t", "save the table", self._save_table),
            Key("i", "save the picture", self._save_picture),
            Key("escape", "home" if self._own else "back", Pop),
        )

    def _hand_keys(self) -> tuple[Key, ...]:
        if not self.hands.mixed or not self._own:
            return ()
        return (Key("e", "by ear", self.hands.by_ear), Key("y", "by hand", self.hands.by_hand))

    def dropped(self, path: Path) -> Next:
        if not self._own:
            return super().dropped(path)
        self._told = bring_in(self.context, path)
        records, player = self.context.records, self.context.player
        timings = records.timings(player, self.context.now() - TOLD_BACK)
        self._show_answers(records.answers(player), by_week(timings))
        return None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        choice, view, told = rows(box, [look.u(TARGET), None, look.line("small")], look.u(12))
        views: dict[str, Callable[[Look, Rect], list[Widget]]] = {
            "mix-ups": self._mix_ups, "figures": self._by_week, "days": self._by_day, "month": self._this_month,
            "hands": self.hands.body,
        }  # fmt: skip
        return [
            Choice("view", choice, self._views, self._view, self._show),
            *views[self._view](look, view),
            Label("told", told, self._told or self._hint(), "small", middle=True),
        ]

    @property
    def _views(self) -> tuple[tuple[str, str], ...]:
        """The views that there are: a class plays nothing."""
        return VIEWS[:-1] if self._is_class else VIEWS

    @property
    def _is_class(self) -> bool:
        return self.context.player.kind == "class"

    def _hint(self) -> str:
        if self._view == "mix-ups":
            return "Rows: what was heard. Columns: what was said; on the diagonal, right. Numbers: per cent of the row."
        if self._is_class:
            return "Of a class each beat counts once, in the parts of the room that said so."
        if not self._own:
            return ""
        return "A pupil's history file can be dropped on this window, or brought in with: drumlin history import"

    def _mix_ups(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [None, box.w * 0.32], look.u(32))
        level, act = self.context.level, self._drill if self._own else self._hear
        return [
            HeatMap("map", left, self.table, level, least_sizes(look, level), self.cell, self._choose_cell, act),
            *self._beside(look, right),
        ]

    def _beside(self, look: Look, box: Rect) -> list[Widget]:
        low = look.line("small")
        period, heads, drawn, words, hear, drill, legend = rows(
            box,
            [look.u(TARGET), low, None, 2 * low, look.u(TARGET), look.u(TARGET), Legend.height(look)],
            look.u(8),
        )
        cells = columns(heads, [None, None], look.u(10))
        told = ("Heard", "Said") if self.cell[0] != self.cell[1] else ("Heard and said",)
        return [
            Choice("period", period, PERIODS, self._period, self._choose_period),
            *(Label(f"head {k}", cell, word, "small") for k, (cell, word) in enumerate(zip(cells, told, strict=False))),
            Picture("pair", drawn, self._draw_pair, least=COUNTED),
            Label("words", words, self._cell_words(), "small", bold=True),
            self.hear_button("hear", hear, "Hear them in turn", self._pair(), self._hear, key="h"),
            *([Button("drill", drill, "Drill this pair", self._drill, key="d")] if self._own else []),
            Legend("legend", legend),
        ]

    def _draw_pair(self, canvas: Surface, look: Look, box: Rect) -> None:
        figures, (row, column) = self.context.level.figures, self.cell
        shown = (figures[row], figures[column]) if row != column else (figures[row],)
        draw_figures(canvas, look, box, self.context.level, shown)

    def _cell_words(self) -> str:
        row, column = self.cell
        total = self.table.heard[row]
        if not total:
            return "Not heard in this time."
        times, share = self.table.counts[row, column], percent(self.table.shares[row, column])
        counts = f"{tally(times)} of {tally(total)} answers, {share}"
        return f"Named right in {counts}." if row == column else f"Taken for the other in {counts}."

    def _by_week(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.4, None], look.u(40))
        figures = self.context.level.figures
        chosen = [week for week in self._weeks if week.figure == figures[self._figure]]
        shown = self.context.level.as_shown
        level = self.context.level
        lines = [
            Row(shown(figure.count), self._latest(figure.count), figure_in_row(level, figure)) for figure in figures
        ]
        return [
            ListBox("figures", left, lines, self._figure, self._choose_figure, lambda: None, row_height(look)),
            WeekLine("weeks", right, chosen),
        ]

    def _latest(self, count: str) -> str:
        weeks = [week for week in self._weeks if week.figure.count == count]
        if not weeks:
            return "not heard yet"
        last = weeks[-1]
        return f"latest week: {tally(last.share * last.answers)} of {tally(last.answers)} right"

    def _by_day(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.4, None], look.u(40))
        if not self._days:
            return [Label("none", left, "No answers yet.", "lead")]
        lines = [
            Row(date_words(one.day), f"{one.bars} bars, {percent(one.right / one.beats)} right")
            # The latest on top, where the list begins.
            for one in reversed(self._days)
        ]
        return [
            ListBox("days", left, lines, self._row, self._choose_row, lambda: None, row_height(look)),
            DayBars("bars", right, self._days, local_day(self._now)),
        ]

    def _this_month(self, look: Look, box: Rect) -> list[Widget]:
        title, body = rows(box, [look.line("lead"), None], look.u(8))
        shown = self.context.level.as_shown
        lines = [
            Row(shown(change.figure.count), change_words(change), figure_in_row(self.context.level, change.figure))
            for change in self._changes
        ]
        words = "The last 30 days against the 30 before; changes that chance could make are not called changes."
        return [
            Label("title", title, words, middle=True),
            ListBox("changes", body, lines, self._row, self._choose_row, lambda: None, row_height(look)),
        ]

    def _show(self, view: str) -> None:
        self._view, self._row, self._told = view, 0, ""

    def _choose_period(self, period: str) -> None:
        # The chosen cell stays: so one pair can be followed from one time to another.
        self._period = period
        self.table = self._counted()

    def _choose_cell(self, cell: tuple[int, int]) -> None:
        self.cell = cell

    def _choose_figure(self, place: int) -> None:
        self._figure = place

    def _choose_row(self, place: int) -> None:
        self._row = place

    def _hear(self) -> Next:
        return self.hear_pair(*self._pair())

    def _pair(self) -> tuple[Figure, Figure]:
        """The figure heard and the figure said, of the chosen cell."""
        row, column = self.cell
        return self.context.level.figures[row], self.context.level.figures[column]

    def _drill(self) -> Next:
        first, second = self._pair()
        if first == second:
            self._told = "One figure alone is no pair: choose a cell beside the diagonal."
            return None
        return Push(open_drill(self.context, first, second))

    def _save_table(self) -> Next:
        tables: dict[str, list[TableRow]] = {
            "mix-ups": self.table.rows(), "figures": week_rows(self._weeks), "days": day_rows(self._days),
            "month": change_rows(self._changes), "hands": self.hands.rows(),
        }  # fmt: skip
        text = csv_text(tables[self._view])
        self._told = save(self.context, f"{self._view} {self.context.player.name}", ".csv", text.encode())
        return None

    def _save_picture(self) -> Next:
        # Of this very page, so that the picture has the view that is looked at.
        data = page_as_png(self)
        self._told = save(self.context, f"{self._view} {self.context.player.name}", ".png", data)
        return None


def change_words(change: Change) -> str:
    """A figure this month against the month before, in words that claim no more than the answers tell."""
    before, after = change.before[1], change.after[1]
    earlier, now = (f"{tally(right)} of {tally(total)}" for right, total in (change.before, change.after))
    if not after:
        return f"not heard in these 30 days; {earlier} right before" if before else "not heard yet in 60 days"
    if not before:
        return f"{now} right; not heard in the 30 days before"
    if change.verdict == FEW:
        if before < after:
            return f"{earlier} right before, now {now}: too few before to compare"
        return f"{earlier} right before, now {now}: too few now to compare"
    return f"{earlier} right before, now {now}: {change.verdict}"


def bring_in(context: Context, path: Path) -> str:
    """Import a history file and let its player play; returns the line for the screen."""
    try:
        imported = context.records.import_history(path, context.now())
    except RecordsError as error:
        return str(error)
    # A class does not play by itself: its file is taken in, and who played before goes on.
    if imported.player.kind == "player":
        context.choose_player(imported.player)
    return imported_words(imported)


def imported_words(imported: Imported) -> str:
    """The line on a history file that came in: its answers, and fills and riddles where there are new ones."""
    made = ((imported.fills, "fill"), (imported.riddles, "riddle"))
    came = ", ".join([counted(imported.answers, "answer"), *(counted(many, noun) for many, noun in made if many)])
    return f"{imported.player.name}: {came} came in, {counted(imported.known, 'answer')} here already."
