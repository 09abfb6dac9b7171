"""The teacher plays the bar: on a pad, a drum or two keys, along a click; the room is asked what it was."""

from collections.abc import Callable, Sequence

from pygame import Rect

from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.playing.devices import on_words
from game.screens.playing.ears import READERS
from game.screens.playing.playing import PlayBar
from game.sessions.inputs import KEYS
from game.sessions.playing.playing import Playing, PlayingWay, Run, TakeRecord
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.wording import counted
from shared.bars import Bar
from shared.figures import Figure
from shared.reading import Habits

TASK = "Play a bar of this level's figures along the clicks, after the count-in. Nothing of it is shown to the room."
READ = "Your bar was read. The room heard it from your pad or drum; Page up plays it again on the kit."
SILENT = "Your bar was read. Two keys are silent: play it to the room with Page up."


class OwnBar(PlayBar):
    """Takes one bar of the teacher's; not a stroke of it is kept.

    ``figures`` are those the class has; ``ask`` is handed the bar and its tempo.
    """

    shows_strokes = False

    def __init__(
        self, context: Context, room: str, figures: Sequence[Figure], ask: Callable[[Bar, float], None]
    ) -> None:
        playing = Playing(context.level, figures, READERS[KEYS], context.seed(), context.settings.hand)
        super().__init__(context, playing, PlayingWay.BACK)
        self._room, self._figures, self._ask = room, figures, ask
        self._told = TASK
        self.bar: Bar | None = None

    def heading(self) -> Heading:
        return Heading("Your own bar", self.context.level.title, self._room)

    def keys(self) -> Sequence[Key]:
        if self.run:
            return (Key("escape", "stop", self._stop),)
        return (
            Key("space", "play", self._begin_usual),
            *((Key("return", "ask the room", self._put),) if self.bar else ()),
            Key("d", "what you play on", self._devices),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self.run:
            return self._running(look, box)
        on = on_words(self.context.instrument)
        words, keys, buttons, _ = rows(
            box,
            [look.height(self._told, box.w, "lead"), look.height(on, box.w, "lead", True), look.u(TARGET + 10), None],
            look.u(26),
        )
        play, ask, _ = columns(buttons, [look.u(320), look.u(320), None], look.u(20))
        read = self.bar is not None
        return [
            Label("told", words, self._told, "lead"),
            Label("on", keys, on, "lead", bold=True),
            Button("play", play, "Again" if read else "Play", self._begin_usual, main=not read, key="space"),
            *([Button("ask", ask, "Ask the room", self._put, main=True, key="return")] if read else []),
        ]

    def _begin_usual(self) -> Next:
        self.bar = None
        return self._begin(heard_first=False)

    def finished(self, run: Run) -> None:
        # To read the take; nothing of it is kept, as ``keep`` says below.
        super().finished(run)
        played, self.playing.played = self.playing.played, None
        assert played is not None
        self.focus = "play"
        # Only those that the class has: for another one there is no letter to be held up.
        figures = [figure for figure in played.reading.figures if figure and figure in self._figures]
        if not played.take:
            self._told = f"{played.report.sentence} Once more."
        elif len(figures) < len(played.beats):
            many = counted(len(played.beats) - len(figures), "beat")
            self._told = f"{many} could not be read as a figure that this class has. Once more, steadily."
        else:
            self.bar = Bar(self.context.level.meter, tuple(figures))
            self._told = SILENT if self.playing.instrument.source == KEYS else READ
            self.focus = "ask"

    def keep(self, record: TakeRecord | None, habits: Habits) -> None:
        """A teacher's bar is a question, not a pupil's take."""

    def _put(self) -> Next:
        if self.bar is None:
            return None
        self._ask(self.bar, self.playing.setting.tempo)
        return Pop()
