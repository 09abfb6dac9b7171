"""Charts: pieces of eight to sixteen bars made for this player, to be read along, and to find one's way in by ear."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from pygame import Rect

from game.reports.chart_report import chart_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.fills.files import ChartFiles
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.reading.play_chart import PlayChart
from game.screens.saving import save_and_tell
from game.sessions.fills.known import known_figures
from game.sessions.reading.along import ChartPlaying
from game.sessions.reading.charts import ChartQuestion, ChartStep, by_ear, otherwise, which_bar
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.chart_view import chart_view
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import FigureTile, tile_layout, tiling
from shared.charts import Chart
from shared.figures import Figure
from shared.files import write_beside
from shared.forms import FORMS, drawn
from shared.levels import spelling_in
from shared.notation.page import Dress
from shared.orchestration import Setting

SLOWER = 0.75
"""The share of the tempo at which a chart is heard slower."""

TASKS = (
    ("which", "Which bar is this?", "The sound stops somewhere", "1"),
    ("otherwise", "One bar otherwise", "Which, and what was played?", "2"),
    ("by ear", "Find it by ear", "Where does a figure come?", "3"),
)
"""The questions about a chart: name, title, a few words, key."""


@dataclass
class Asking:
    """A question on its way: the step at hand, what was said to those before, and how often it was heard."""

    question: ChartQuestion
    task: str
    said: tuple[int, ...] = ()
    hearings: int = 0

    @property
    def step(self) -> ChartStep | None:
        """The step that is asked now; None once all are answered, or one was wrong."""
        place = len(self.said)
        return self.question.steps[place] if place < len(self.question.steps) and self.right_so_far else None

    @property
    def right_so_far(self) -> bool:
        """Whether all that was said is right."""
        # As far as it was answered: the steps after that are still to come.
        return all(said == step.answer for said, step in zip(self.said, self.question.steps, strict=False))


def open_charts(context: Context) -> "ChartPage":
    """A chart of the figures that this player holds, and one in work."""
    figures = known_figures(context.level, context.standing(context.level), context.now())
    return ChartPage(context, figures, context.seed())


class ChartPage(HearingScreen):
    """A chart to be heard with the page in sight, or one question about it; of these nothing counts or is kept."""

    def __init__(self, context: Context, figures: Sequence[Figure], seed: int) -> None:
        super().__init__(context)
        self.figures, self._seed = tuple(figures), seed
        self._form = next(iter(FORMS))
        self._mark = True
        self.asking: Asking | None = None
        self._right = self._answered = 0
        self._sounding: tuple[int, int] | None = None
        self._take_chart()
        self.focus = "hear"

    def _take_chart(self) -> None:
        """Draw the chart of this form and seed, which nobody has heard yet."""
        level = self.context.level
        form, lead = FORMS[self._form], self.context.settings.hand
        self.chart: Chart = drawn(form, level.meter, self.figures, level.tempo.low, self._seed, lead)
        self._heard = False

    @property
    def setting(self) -> Setting:
        """How the chart is played to this player."""
        return self.context.heard(Setting(tempo=float(round(self.context.level.tempo.low)), seed=self._seed))

    def heading(self) -> Heading:
        right = f"{self._right} of {self._answered} right" if self._answered else FORMS[self._form].name.capitalize()
        title = next((words for name, words, _, _ in TASKS if self.asking and self.asking.task == name), "A chart")
        return Heading(title, f"{self.context.level.title}\n{self.context.tempo_words(self.setting.tempo)}", right)

    def keys(self) -> Sequence[Key]:
        hear, words = self.context.bindings.key("hear"), "stop" if self.sounds("whole") else "hear it"
        slower = "stop" if self.sounds("slower") else "slower"
        if self.asking:
            done = self.asking.step is None
            return (
                Key(hear, words, self._hear),
                Key("s", slower, self._hear_slower),
                *((Key("return", "another", self._again),) if done else ()),
                Key("escape", "back to the chart", self._leave),
            )
        return (
            Key(hear, words, self._hear),
            Key("s", slower, self._hear_slower),
            Key("m", "mark on or off", self._turn_mark),
            Key("n", "another chart", self._another),
            Key("l", "longer", self._longer),
            # Its button shows it; the foot has no room for another one.
            Key("y", "play it along", self._play_along, shown=False),
            Key("p", "print", self._print),
            Key("w", "files", self._files),
            Key("escape", "back", Pop),
        )

    def tick(self, now: float) -> list[Rect]:
        place = self._place() if self._shows_mark else None
        if place != self._sounding:
            self._sounding, self.stale = place, True
        return super().tick(now)

    @property
    def _shows_mark(self) -> bool:
        """Whether the page shows what sounds: not while a question is open, whose answer it would be."""
        return self._mark and (self.asking is None or self.asking.step is None)

    def _place(self) -> tuple[int, int] | None:
        """The written bar that sounds, and the beat in it, both from 0."""
        where = self.context.sound.position()
        if where is None or not self._begun:
            return None
        return self.chart.place_at(where, self._slowed if self._begun == "slower" else self.setting)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        return self._asked(look, box, self.asking) if self.asking else self._whole(look, box)

    def _whole(self, look: Look, box: Rect) -> list[Widget]:
        told, chart, main, tasks = rows(box, [look.line("lead"), None, look.u(TARGET), look.u(TARGET + 34)], look.u(12))
        hear, play = columns(main, [None] * 2, look.u(14))
        cells = columns(tasks, [None] * len(TASKS), look.u(14))
        words = "Hear it, follow it, play it along. A fill closes every fourth bar."
        return [
            Label("told", told, words, "lead", middle=True),
            *chart_view(look, chart, self.chart, self.setting, self._sounding, words=self.context.level.shown),
            self._hear_button(hear, "Hear it", main=True),
            Button("play", play, "Play it along", self._play_along, key="y"),
            *(
                Button(name, cell, title, self._asks(name), about=about, key=key)
                for cell, (name, title, about, key) in zip(cells, TASKS, strict=True)
            ),
        ]

    def _asked(self, look: Look, box: Rect, asking: Asking) -> list[Widget]:
        step = asking.step
        high = look.u(TARGET) if step is None or not step.figures else look.u(150)
        told, page, answers, buttons = rows(box, [look.line("lead"), None, high, look.u(TARGET)], look.u(14))
        words, colour = self._words(asking)
        hear, slower, another = columns(buttons, [None] * 3, look.u(16))
        return [
            Label("told", told, words, "lead", bold=True, colour=colour, middle=True),
            *self._page(look, page, asking),
            *(self._options(look, answers, step) if step else ()),
            self._hear_button(hear, "Hear it", main=step is not None),
            self.hear_button("slower", slower, "Slower", "slower", self._hear_slower, key="s"),
            *((Button("again", another, "Another", self._again, main=True, key="return"),) if step is None else ()),
        ]

    def _words(self, asking: Asking) -> tuple[str, str]:
        if asking.step is None:
            right = asking.right_so_far
            told = asking.question.told
            return (f"Right. {told}", "ink") if right else (f"Not so. {told}", "warn")
        if not asking.hearings:
            return "Hear it first.", "ink"
        return asking.step.words, "ink"

    def _page(self, look: Look, box: Rect, asking: Asking) -> list[Widget]:
        question, done = asking.question, asking.step is None
        if not question.page and not done:
            assert question.figure is not None
            layout = tile_layout(question.figure, spelling_in(self.context.level, question.figure))
            plan = tiling(look, box, [layout], 0)
            cell = Rect(box.centerx - look.u(150), box.y, look.u(300), plan.high)
            words = Rect(box.x, cell.bottom + look.u(10), box.w, look.line("lead"))
            listen = "Listen for this figure in the fills. Bars are counted as they are heard."
            return [
                FigureTile("figure", cell, layout, plan.space, plan.line, _nothing, focusable=False),
                Label("listen", words, listen, "lead", align="centre", middle=True),
            ]
        tones = self._tones(asking) if done else {}
        picks = asking.step is not None and asking.hearings > 0 and not asking.step.figures and question.page
        # Called with a bar, it makes the act of that bar: ``partial(self._say, bar)``.
        act = partial(partial, self._say) if picks else None
        return [*chart_view(look, box, self.chart, self.setting, self._sounding, act, tones, self.context.level.shown)]

    def _tones(self, asking: Asking) -> dict[int, str]:
        """The bar that was right, and the one that was said in its place."""
        question = asking.question
        # By ear the second step asks for the bar, after how often; with the page in sight the first does.
        place = 1 if not question.page else 0
        answer = question.steps[place].answer
        right = self.chart.heard[answer] if not question.page else answer
        tones = {right: "right"}
        if question.page and asking.said and asking.said[0] != answer:
            tones[asking.said[0]] = "wrong"
        return tones

    def _options(self, look: Look, box: Rect, step: ChartStep) -> list[Widget]:
        keys = self.context.bindings.tiles
        if step.figures:
            layouts = [tile_layout(one, spelling_in(self.context.level, one)) for one in step.figures]
            plan = tiling(look, box, layouts, look.u(8))
            cells = grid(box, len(layouts), plan.across, look.u(8), tallest=plan.high)
            return [
                FigureTile(f"pick {k}", cell, layout, plan.space, plan.line, partial(self._say, k), key=keys[k])
                for k, (cell, layout) in enumerate(zip(cells, layouts, strict=True))
            ]
        cells = columns(box, [None] * len(step.options), look.u(8))
        return [
            # The number is the key's own: on the button it need not stand twice.
            Button(f"pick {k}", cell, words, partial(self._say, k), key=keys[k], cap=" ")
            for k, (cell, words) in enumerate(zip(cells, step.options, strict=True))
        ]

    def _hear_button(self, box: Rect, text: str, main: bool) -> Button:
        button = self.hear_button("hear", box, text, "whole", self._hear, key=self.context.bindings.key("hear"))
        button.main = main
        return button

    @property
    def _slowed(self) -> Setting:
        return self.setting.slower(SLOWER)

    def _hear(self) -> Next:
        return self._play("whole", self.setting)

    def _hear_slower(self) -> Next:
        return self._play("slower", self._slowed)

    def _play(self, what: str, setting: Setting) -> Next:
        self._heard = True
        if self.asking is None:
            return self.hear(what, self.chart.arranged(setting))
        # While it sounds the key only stops it: that is no hearing.
        if not self.sounds(what):
            self.asking.hearings += 1
        done = self.asking.step is None
        question = self.asking.question
        # Answered, it is heard to its end, as it was played.
        return self.hear(what, question.heard.arranged(setting) if done else question.passage(setting))

    def _play_along(self) -> Next:
        playing = ChartPlaying(self.context.level, self.chart, self.setting, self._seed, self._heard)
        # Played once, it is no longer played at sight.
        self._heard = True
        return Push(PlayChart(self.context, playing, self._mark))

    def _turn_mark(self) -> Next:
        self._mark = not self._mark
        return None

    def _another(self) -> Next:
        self._fall_silent()
        self._seed += 1
        self._take_chart()
        return None

    def _longer(self) -> Next:
        names = list(FORMS)
        self._form = names[(names.index(self._form) + 1) % len(names)]
        self._fall_silent()
        self._take_chart()
        return None

    def _asks(self, task: str) -> Act:
        return lambda: self._ask(task)

    def _ask(self, task: str) -> Next:
        self._fall_silent()
        if task == "by ear":
            # A chart that was looked at is known: what is to be found by ear is a new one, without repeats to count.
            self._form = next(iter(FORMS))
            self._seed += 1
            self._take_chart()
            question = by_ear(self.chart, self._seed)
        elif task == "otherwise":
            # With each answer another question about the same chart.
            question = otherwise(self.chart, self.figures, self._seed + self._answered, self.context.level.shown)
        else:
            question = which_bar(self.chart, self._seed + self._answered)
        self.asking = Asking(question, task)
        self.set_focus("hear")
        return None

    def _say(self, option: int) -> Next:
        asking = self.asking
        if asking is None or asking.step is None:
            return None
        if not asking.hearings:
            self.tell("Hear it first.")
            return None
        asking.said = (*asking.said, option)
        if asking.step is None:
            self._fall_silent()
            self._answered += 1
            self._right += asking.right_so_far
            self.set_focus("again")
        return None

    def _again(self) -> Next:
        return self._ask(self.asking.task) if self.asking else None

    def _leave(self) -> Next:
        self._fall_silent()
        self.asking = None
        self.set_focus("hear")
        return None

    def _print(self) -> Next:
        page = chart_report(
            self.chart,
            self.setting,
            f"A chart of {self._form}",
            self.context.player.name,
            Dress(words=self.context.level.shown),
        )
        save_and_tell(self, f"chart of {self.context.player.name}", ".pdf", lambda path: write_beside(path, page))
        return None

    def _files(self) -> Next:
        return Push(ChartFiles(self.context, f"Chart of {self._form}", self.chart, self.setting))


def _nothing() -> Next:
    return None
