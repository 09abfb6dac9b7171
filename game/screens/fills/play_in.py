"""Playing a fill in: a count-in, then the fill along a click; what was played stands on the desk as notation."""

from collections.abc import Callable, Mapping, Sequence

from pygame import Rect, Surface

from audio.reading import read
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.loudspeaker import Loudspeaker
from game.screens.playing.devices import PADS_GONE, on_words
from game.sessions.fills.draft import Draft
from game.sessions.fills.playing_in import CUED, TakingIn, taken_in, taking_in
from game.sessions.inputs import KEYS, PADS, Input
from game.sessions.playing.playing import WIDELY_READ
from game.sessions.playing.trial import HAND_WORDS
from game.widgets.base import Act, Label, Picture, Widget, letter, write
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from shared.figures import Figure
from shared.levels import vocabulary
from shared.orchestration import Setting
from shared.strokes import TakeStroke

TASK = (
    "After a bar of clicks play your fill along the clicks. Strike along with the last two clicks, and go straight on."
)
DRUMS_WORDS = (
    "Beats that you leave empty go on with the groove. Each stroke keeps its drum: move it on the stave afterwards."
)
CARE = "Play lightly, and rest if a hand hurts."


class PlayIn(Screen):
    """Takes a fill from strokes; ``done`` is handed the draft it became and a sentence about it."""

    def __init__(
        self, context: Context, draft: Draft, setting: Setting, figures: Sequence[Figure],
        done: Callable[[Draft, str], None],
    ) -> None:  # fmt: skip
        super().__init__(context)
        self._draft, self._setting, self._done = draft, setting, done
        self._figures = _readable(draft.fill.meter.compound, figures)
        self.loudspeaker = Loudspeaker(context.sound)
        self._run: TakingIn | None = None
        self._struck: list[TakeStroke] = []
        self._word = ""
        self._area: Rect | None = None
        self._told = ""
        self.focus = "play"

    def heading(self) -> Heading:
        fill = self._draft.fill
        return Heading(
            "Play it in", f"{fill.meter}, {self._setting.tempo:.0f} beats a minute", self.context.player.name
        )

    def keys(self) -> Sequence[Key]:
        if self._run:
            return (Key("escape", "stop", self._stop),)
        return (Key("space", "play", self._begin), Key("escape", "back", Pop))

    # The taking

    @property
    def taking(self) -> bool:
        return self._run is not None

    def strike(self, stroke: Input) -> bool:
        if self._run is None or not self.context.struck.plays(stroke):
            return False
        self._struck.append(self.context.struck.stroke(stroke, self._run.begins))
        return True

    def left(self) -> None:
        # A take that is broken off leaves the draft as it was.
        self._run = None
        self.context.pads.close()
        self.loudspeaker.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - the sound has its own clock
        if self._run:
            where = self.context.sound.position()
            if where is None or where >= self._run.ends:
                self._finish(self._run)
                return []
        word = self._sounding()
        if word == self._word or self._area is None:
            return []
        self._word = word
        return [self._area]

    def _sounding(self) -> str:
        moment = self.loudspeaker.moment()
        return moment.caption if moment else ""

    def _begin(self) -> Next:
        fill, struck = self._draft.fill, self.context.struck
        if struck.source == PADS and not self.context.pads.use(struck.name):
            self.tell(PADS_GONE)
            return None
        self._struck, self._run = [], taking_in(fill.meter, fill.length, self._setting.tempo)
        self.loudspeaker.play(self._run.hearing)
        self.focus, self.stale = "stop", True
        return None

    def _stop(self) -> Next:
        self._run, self.focus, self.stale = None, "play", True
        self.loudspeaker.stop()
        return None

    def _finish(self, run: TakingIn) -> None:
        self.loudspeaker.stop()
        # From the clicks on, as the last two are struck along; what came before them is no part of the fill.
        earliest, latest = run.counted_from - run.begins, run.ends - run.begins
        strokes = tuple(stroke for stroke in self._struck if earliest < stroke.seconds < latest)
        reading = read(strokes, self._figures, self._setting.tempo, run.beats, cued=CUED)
        self._draft, words = taken_in(self._draft, reading)
        self._run, self._told, self.stale, self.focus = None, words, True, "desk"
        # Handed on at once, so that it is on the desk by whichever way this page is left.
        self._done(self._draft, words)

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self._run:
            return self._running(look, box)
        words, on = self._told or TASK, on_words(self.context.struck)
        column = Rect(box.x + box.w // 8, box.y + look.u(20), box.w * 3 // 4, box.h - look.u(20))
        heights = [look.height(text, column.w, "lead") for text in (words, on, DRUMS_WORDS)]
        task, keys, drums, button, care, _ = rows(
            column, [*heights, look.u(TARGET + 20), look.line(), None], look.u(24)
        )
        play, desk = columns(button, [None, None], look.u(24))
        text = "Again" if self._told else "Play"
        return [
            Label("task", task, words, "lead"),
            Label("keys", keys, on, "lead", bold=True),
            Label("drums", drums, DRUMS_WORDS, "lead"),
            Button("play", play, text, self._begin, main=not self._told, key="space"),
            Button("desk", desk, "To the desk", Pop, main=bool(self._told), key="return"),
            Label("care", care, CARE, colour="quiet"),
        ]

    def _running(self, look: Look, box: Rect) -> list[Widget]:
        word, hands, _, stop = rows(
            box, [look.line("huge") + look.u(90), look.u(TARGET + 20), None, look.u(TARGET)], look.u(20)
        )
        self._area = word
        _, left, right, _ = columns(hands, [None, look.u(300), look.u(300), None], look.u(30))
        return [
            Picture("word", word, self._draw_word),
            *(
                Button(f"hand {key}", place, HAND_WORDS[hand], self._strikes(key), key=key)
                for (key, hand), place in zip(self._keys.items(), (left, right), strict=False)
            ),
            Button("stop", columns(stop, [look.u(220), None])[0], "Stop", self._stop, key="escape"),
        ]

    @property
    def _keys(self) -> Mapping[str, str]:
        """The hand of each key, where keys are played."""
        return self.context.struck.hands if self.context.struck.source == KEYS else {}

    def _strikes(self, key: str) -> Act:
        """A stroke by mouse or touch; those of the keys come through ``strike``, each with its own time."""

        def act() -> Next:
            where = self.context.sound.position()
            if where is not None:
                self.strike(Input(KEYS, key, where))
            return None

        return act

    def _draw_word(self, canvas: Surface, look: Look, box: Rect) -> None:
        canvas.fill(look.theme.paper, box)
        write(canvas, letter(look, self._sounding(), box, "huge", True), look.theme.ink, "centre")


def _readable(compound: bool, figures: Sequence[Figure]) -> tuple[Figure, ...]:
    """The figures that a beat may be: those of the usual grids that some figures have, and silence."""
    known = [one for one in vocabulary().figures if one.compound == compound and one.grid.name in WIDELY_READ]
    # Triplets lie close to semiquavers: they are looked for only where the player's figures have some.
    grids = {one.grid for one in figures if one.compound == compound} or {known[0].grid}
    usual = [one for one in known if one.grid in grids] or known
    return tuple(dict.fromkeys((*usual, Figure((), compound))))
