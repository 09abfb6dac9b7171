"""Playing a chart along, with the page in sight; what was played is read bar by bar and stands on the chart."""

from collections.abc import Callable, Sequence
from functools import partial
from math import floor

from pygame import Rect, Surface

from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.playing.devices import SOURCE_WORDS, on_words
from game.screens.playing.ears import READERS
from game.screens.playing.taking import TakeScreen
from game.sessions.hearing.hearing import Hearing, in_turn
from game.sessions.hearing.listening import PACES
from game.sessions.inputs import MICROPHONE
from game.sessions.playing.playing import Run
from game.sessions.playing.report import HARDLY_READ
from game.sessions.reading.along import ChartPlaying, PlayedAs, PlayedBar, PlayedChart
from game.widgets.base import Act, Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.chart_view import ChartBar, ChartMark, chart_view
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.wording import PLAY_LIGHTLY, counted
from shared.reading import NOTHING

TASK = (
    "The groove sounds, and falls silent for the fills: they are yours. In the groove play time, or rest. Strike along "
    "with the last two beats of the count-in, and go straight on."
)
ALONE = (
    "Only the click sounds, so that you alone are heard. The fills are yours; in the groove play time, or rest. "
    "Strike along with the last two beats of the count-in, and go straight on."
)
"""The task before a microphone."""

TONES = {PlayedAs.WRITTEN: "right", PlayedAs.OTHERWISE: "wrong", PlayedAs.UNSURE: "unsure", PlayedAs.RESTED: ""}


class PlayChart(TakeScreen):
    """A chart to be played along, before, during and after a take.  ``mark`` follows the sound on the page."""

    def __init__(self, context: Context, playing: ChartPlaying, mark: bool) -> None:
        super().__init__(context)
        self.playing, self._mark = playing, mark
        self._takes = 0
        self._chosen = 0
        self._bars: list[ChartBar] = []
        self.marked: tuple[int, int] | None = None
        self.focus = "play"

    def heading(self) -> Heading:
        level = self.context.level
        tempo = self.context.tempo_words(self.playing.setting.tempo)
        right = counted(self._takes, "take") if self._takes else self.context.player.name
        return Heading("Play it along", f"{level.title}\n{tempo}", right)

    def keys(self) -> Sequence[Key]:
        if self.run:
            return (Key("escape", "stop", self._stop),)
        bars = (
            Key("left", "other bar", partial(self._step, -1), cap="Left Right"),
            Key("right", "other bar", partial(self._step, 1), shown=False),
        )
        return (
            Key("space", "again" if self._shown else "play", self._begin),
            Key("s", "slower", self._slower),
            Key("m", "mark on or off", self._turn_mark),
            Key("d", "what you play on", self._devices),
            *(bars if self._shown and self._shown.bars else ()),
            Key("escape", "back to the chart", Pop),
        )

    @property
    def _shown(self) -> PlayedChart | None:
        """The take whose result is on the page."""
        return self.playing.played if self.run is None else None

    # A take

    def _begin(self) -> Next:
        self.begin_take(self.playing.run(self.context.instrument.source))
        return None

    def finished(self, run: Run) -> None:
        source = self._instrument.source
        device = self._memory.of(self._instrument, self.exact)
        played = self.playing.take(self.struck, run, self.context.now(), self._instrument, READERS[source], device)
        # One of which nothing can be told does not count.
        self._takes += bool(played.bars)
        self._chosen, self.focus = played.first, "play"
        self.keep(played.to_keep, played.habits)

    def tick(self, now: float) -> list[Rect]:
        parts = super().tick(now)
        place = self._place() if self.run and self._mark else None
        if place == self.marked:
            return parts
        # Under the bars alone: to draw the page anew would delay the strokes.
        strips = [bar.strip for there in (self.marked, place) if there for bar in self._bars[there[0] :][:1]]
        self.marked = place
        return [*parts, *strips]

    def _place(self) -> tuple[int, int] | None:
        """The written bar that sounds, and the beat in it, both from 0."""
        where = self.context.sound.position()
        if where is None or self.run is None:
            return None
        beats = (where - self.run.begins) / self.run.hearing.passage.beat_seconds
        bar, beat = divmod(floor(beats), self.playing.chart.meter.beats)
        heard = self.playing.chart.heard
        return (heard[bar], beat) if 0 <= bar < len(heard) else None

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self.run:
            return self._running(look, box)
        shown = self._shown
        return self._result(look, box, shown) if shown and shown.bars else self._ready(look, box, shown)

    def _ready(self, look: Look, box: Rect, shown: PlayedChart | None) -> list[Widget]:
        instrument = self.context.instrument
        words = ALONE if instrument.source == MICROPHONE else TASK
        if shown:
            advice = self.nothing_came() if shown.reading.verdict == NOTHING else self._loudness
            words = f"{shown.sentence} {advice}".strip()
        # Where nothing came in the advice says it already.
        on = "" if shown else on_words(instrument)
        told, keys, chart, care, buttons = rows(
            box,
            [
                look.height(words, box.w),
                look.height(on, box.w, bold=True) if on else 1,
                None,
                look.line("small"),
                look.u(TARGET),
            ],
            look.u(8),
        )
        return [
            Label("told", told, words, bold=bool(shown), colour="warn" if shown else "ink"),
            *([Label("on", keys, on, bold=True)] if on else []),
            *self._chart(look, chart),
            Label("care", care, PLAY_LIGHTLY, "small", colour="quiet", middle=True),
            *self._choices(look, buttons, "Again" if shown else "Play"),
        ]

    def _choices(self, look: Look, box: Rect, play: str) -> list[Widget]:
        first, slower, mark, devices = columns(box, [None] * 4, look.u(14))
        return [
            Button("play", first, play, self._begin, main=True, key="space"),
            Button("slower", slower, PACES[self.playing.pace].capitalize(), self._slower, key="s"),
            Button("mark", mark, "Mark on" if self._mark else "Mark off", self._turn_mark, key="m"),
            Button("devices", devices, SOURCE_WORDS[self.context.settings.play_on], self._devices, key="d"),
        ]

    def _running(self, look: Look, box: Rect) -> list[Widget]:
        word, chart, buttons = rows(box, [look.line("huge"), None, look.u(TARGET)], look.u(10))
        hands, stop = columns(buttons, [None, look.u(220)], look.u(20))
        found = self._chart(look, chart)
        return [
            self.word(word), *found, ChartMark("mark", chart, self._bars, lambda: self.marked),
            *self.hand_buttons(look, hands), self.stop_button(look, stop),
        ]  # fmt: skip

    def _result(self, look: Look, box: Rect, shown: PlayedChart) -> list[Widget]:
        advice = HARDLY_READ if shown.reading.hardly_read else ""
        told_words = " ".join(filter(None, (shown.sentence, self._loudness, advice)))
        words = self._bar_words(shown)
        tall = look.height(told_words, box.w, "lead", True)
        told, chart, said, played, hears, buttons = rows(
            box,
            [tall, None, look.height(words, box.w), look.u(110), look.u(TARGET), look.u(TARGET)],
            look.u(6),
        )
        otherwise = self._otherwise(shown)
        return [
            Label("told", told, told_words, "lead", bold=True, middle=True),
            *self._chart(look, chart, lambda bar: partial(self._choose, bar), {
                bar: TONES[shown.result(bar)] for bar in range(len(self.playing.chart.bars))
            }),
            Label("said", said, words, colour="warn" if otherwise else "ink", middle=True),
            *self._as_played(look, played, otherwise),
            *self._hears(look, hears, otherwise),
            *self._choices(look, buttons, "Again"),
        ]  # fmt: skip

    def _chart(
        self, look: Look, box: Rect, act: Callable[[int], Act] | None = None, tones: dict[int, str] | None = None
    ) -> list[Widget]:
        self._bars = chart_view(
            look, box, self.playing.chart, self.playing.setting, None, act, tones, self.context.level.shown
        )
        for bar in self._bars:
            bar.chosen = act is not None and bar.name == f"bar {self._chosen + 1}"
        return [*self._bars]

    def _otherwise(self, shown: PlayedChart) -> PlayedBar | None:
        """The first time that the chosen bar was played otherwise."""
        return next((bar for bar in shown.at(self._chosen) if bar.result is PlayedAs.OTHERWISE), None)

    def _bar_words(self, shown: PlayedChart) -> str:
        """The outcome of the chosen bar, each time that it came."""
        name, words = f"Bar {self._chosen + 1}", self.context.level.shown
        first, *others = (bar.words(words) for bar in shown.at(self._chosen))
        if not others:
            return f"{name}: {first}"
        # No form lets a bar come more than twice.
        (second,) = others
        return f"{name}, the first time: {first} The second time: {second}"

    def _as_played(self, look: Look, box: Rect, otherwise: PlayedBar | None) -> list[Widget]:
        if otherwise is None:
            return []
        words, notes = columns(box, [look.width("You played", "body", True) + look.u(20), None], look.u(10))
        return [
            Label("you played", words, "You played", bold=True, middle=True),
            Picture("notes", notes, partial(self._draw, otherwise)),
        ]

    def _draw(self, bar: PlayedBar, canvas: Surface, look: Look, box: Rect) -> None:
        fill_picture(canvas, look, box, bar.as_played(), self.playing.setting, self.context.level.shown)

    def _hears(self, look: Look, box: Rect, otherwise: PlayedBar | None) -> list[Widget]:
        written, played, both = columns(box, [None] * 3, look.u(14))
        found = [Button("written", written, "As written", self._hear_written, key="w")]
        if otherwise:
            found += [
                Button("played", played, "As you played", self._hear_played, key="a"),
                Button("both", both, "Both in turn", self._hear_both, key="c"),
            ]
        return [*found]

    # Acts

    def _slower(self) -> Next:
        self.loudspeaker.stop()
        paces = list(PACES)
        self.playing.pace = paces[(paces.index(self.playing.pace) + 1) % len(paces)]
        return None

    def _turn_mark(self) -> Next:
        self._mark = not self._mark
        return None

    def _choose(self, bar: int) -> Next:
        self._chosen = bar
        self.loudspeaker.stop()
        return None

    def _step(self, by: int) -> Next:
        return self._choose((self._chosen + by) % len(self.playing.chart.bars))

    def _hear_written(self) -> Next:
        return self._play(self.playing.as_written(self._chosen))

    def _hear_played(self) -> Next:
        otherwise = self._otherwise(self._shown) if self._shown else None
        return self._play(self.playing.as_played(otherwise)) if otherwise else None

    def _hear_both(self) -> Next:
        otherwise = self._otherwise(self._shown) if self._shown else None
        if otherwise is None:
            return None
        return self._play(in_turn(self.playing.as_written(self._chosen), self.playing.as_played(otherwise)))

    def _play(self, hearing: Hearing) -> Next:
        self.loudspeaker.play(hearing)
        return None
