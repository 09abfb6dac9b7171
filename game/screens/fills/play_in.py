"""Playing a fill in: a count-in, then the fill along a click; what was played stands on the desk as notation."""

from collections.abc import Callable, Sequence
from functools import partial

from pygame import Rect, Surface

from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.playing.devices import PLAYED_ON, on_words
from game.screens.playing.ears import READERS
from game.screens.playing.taking import TakeScreen
from game.sessions.fills.draft import Draft
from game.sessions.fills.playing_in import taken_in, taking_in
from game.sessions.playing.playing import CUED, WIDELY_READ, Run, made_out
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.wording import PLAY_LIGHTLY
from shared.figures import Figure
from shared.fills import Fill
from shared.levels import vocabulary
from shared.orchestration import Setting
from shared.reading import NOTHING

TASK = (
    "After a bar of clicks play your fill along the clicks. Strike along with the last two clicks, and go straight on."
)
DRUMS_WORDS = (
    "Beats without a stroke go on with the groove. Each stroke keeps its drum, where pads tell it: move it on the "
    "stave afterwards."
)


class PlayIn(TakeScreen):
    """Takes a fill from strokes; ``done`` is handed the draft it became and a sentence about it."""

    def __init__(
        self, context: Context, draft: Draft, setting: Setting, figures: Sequence[Figure],
        done: Callable[[Draft, str], None],
    ) -> None:  # fmt: skip
        super().__init__(context)
        self.draft, self.setting, self._done = draft, setting, done
        self._figures = _readable(draft.fill.meter.compound, figures)
        self._told, self._read = "", False
        self.focus = "play"

    def heading(self) -> Heading:
        fill = self.draft.fill
        tempo = self.context.tempo_words(self.setting.tempo, fill.meter)
        return Heading("Play it in", f"{fill.meter}, {tempo}", self.context.player.name)

    def keys(self) -> Sequence[Key]:
        if self.run:
            return (Key("escape", "stop", self._stop),)
        return (
            Key("space", "again" if self._told else "play", self._begin),
            Key("d", "what you play on", self._devices),
            Key("escape", "back", Pop),
        )

    def _begin(self) -> Next:
        fill = self.draft.fill
        self.begin_take(taking_in(fill.meter, fill.length, self.setting.tempo))
        return None

    def finished(self, run: Run) -> None:
        source, device = self._instrument.source, self._memory.of(self._instrument, self.exact)
        strokes = run.strokes(self.struck, self._instrument)
        found = READERS[source](strokes, self._figures, self.setting.tempo, run.beats, device, cued=CUED)
        reading = made_out(found, source)
        self.draft, words = taken_in(self.draft, reading)
        self._told = f"{words} {self.nothing_came()}" if reading.verdict == NOTHING else f"{words} {self._loudness}"
        self._read = not reading.verdict
        self.focus = "desk" if self._read else "play"
        # Handed on at once, so that it is on the desk by whichever way this page is left.
        self._done(self.draft, words)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self.run:
            return self._running(look, box)
        # Where nothing came in the advice says it already.
        words, on = self._told or TASK, "" if self._told else on_words(self.context.instrument)
        column = Rect(box.x + box.w // 8, box.y + look.u(20), box.w * 3 // 4, box.h - look.u(20))
        heights = [look.height(text, column.w, "lead", text == on) if text else 1 for text in (words, on, DRUMS_WORDS)]
        gap, below = look.u(18), [look.u(TARGET + 10), look.u(TARGET), look.line()]
        left = column.h - sum((*heights, *below)) - 7 * gap
        # What was read is seen before it is heard, as far as the page has room for notes that can be read.
        high = min(left, look.u(190)) if self._read and left >= look.u(80) else 1
        task, keys, notes, drums, button, played_on, care, _ = rows(
            column, [*heights[:2], high, heights[2], *below, None], gap
        )
        play, desk = columns(button, [None, None], look.u(24))
        text = "Again" if self._told else "Play"
        return [
            Label("task", task, words, "lead"),
            *([Label("keys", keys, on, "lead", bold=True)] if on else []),
            *([Picture("notes", notes, partial(self._draw, self.draft.fill))] if high > 1 else []),
            Label("drums", drums, DRUMS_WORDS, "lead"),
            Button("play", play, text, self._begin, main=not self._read, key="space"),
            Button("desk", desk, "To the desk", Pop, main=self._read, key="return"),
            Button("devices", columns(played_on, [None, None], look.u(24))[0],
                   PLAYED_ON[self.context.settings.play_on], self._devices, key="d"),
            Label("care", care, PLAY_LIGHTLY, colour="quiet"),
        ]  # fmt: skip

    def _draw(self, fill: Fill, canvas: Surface, look: Look, box: Rect) -> None:
        fill_picture(canvas, look, box, fill, self.setting, self.context.level.shown)

    def _running(self, look: Look, box: Rect) -> list[Widget]:
        word, line, hands = rows(box, [look.line("huge"), None, look.u(TARGET + 20)], look.u(20))
        return [self.word(word), self.take_line(line), *self.hand_buttons(look, hands), self.stop_button(look, hands)]


def _readable(compound: bool, figures: Sequence[Figure]) -> tuple[Figure, ...]:
    """The figures that a beat may be: those of the usual grids that some figures have, and silence."""
    known = [one for one in vocabulary().figures if one.compound == compound and one.grid.name in WIDELY_READ]
    # Triplets lie close to semiquavers: they are looked for only where the player's figures have some.
    grids = {one.grid for one in figures if one.compound == compound} or {known[0].grid}
    usual = [one for one in known if one.grid in grids] or known
    return tuple(dict.fromkeys((*usual, Figure((), compound))))
