"""Play it back: hear a bar, play it along a click with two keys, and see what was played under what is written."""

from collections.abc import Sequence

from pygame import Rect, Surface

from audio.reading import read
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.listening_screen import beat_name
from game.screens.hearing.loudspeaker import Loudspeaker
from game.sessions.hearing.hearing import Hearing
from game.sessions.inputs import Input
from game.sessions.playing.playing import AS_WRITTEN, AS_YOU_PLAYED, HANDS, Played, Playing, Run
from game.sessions.playing.report import WORTH_A_WORD
from game.widgets.base import Act, Label, Picture, Widget, letter, write
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.stave import LARGEST_SPACE
from game.widgets.take import LABELS, Stalk, TakeView
from game.wording import counted
from shared.levels import spelled
from shared.notation.page import Hands

KEYS_WORDS = "F is your left hand, J your right: both keys carry a raised mark."
TASK = "You will hear a bar and a count-in of clicks. Then play the bar along the clicks."
ALONG = "Strike along with the last two clicks of the count-in, and go straight on: so your sound's delay is found."
CARE = "Play lightly, and rest if a hand hurts."

HAND_WORDS = {"L": "Left hand", "R": "Right hand"}

LIT = {AS_WRITTEN: LABELS[0], AS_YOU_PLAYED: LABELS[1]}
"""The label of what sounds, by the word for it."""


def open_playing(context: Context) -> "PlayItBack":
    """Bars to be played back, of the figures that were met, or of those that the level begins with."""
    coach = context.coach()
    level = context.level
    figures = [level.figures[place] for place in coach.steps.first]
    if not any(figure.onsets for figure in figures):
        figures = list(level.figures)
    return PlayItBack(context, Playing(level, figures, read, context.seed(), context.settings.hand))


class PlayItBack(Screen):
    """A bar to be heard and played, or what came of it.

    Nothing but one word changes while a take runs: eyes would play to it, and drawing would delay the strokes.
    """

    def __init__(self, context: Context, playing: Playing) -> None:
        super().__init__(context)
        self.playing = playing
        self.loudspeaker = Loudspeaker(context.sound)
        self._run: Run | None = None
        self._to_keep: Played | None = None
        self._struck: list[Input] = []
        self._word = ""
        self._area: Rect | None = None
        self.focus = "play"

    # What is said of the page

    def heading(self) -> Heading:
        level = self.context.level
        tempo = self._shown.tempo if self._shown else self.playing.tempo
        beat = beat_name(level.meter, self.context.settings.terms)
        return Heading("Play it back", f"{level.title}\n{beat} = {tempo:.0f}", self._takes())

    def _takes(self) -> str:
        takes = self.playing.takes
        return counted(takes, "take") if takes else self.context.player.name

    def keys(self) -> Sequence[Key]:
        if self._run:
            return (Key("escape", "stop", self._stop),)
        if not self._shown:
            return (Key("space", "hear it, then play", self._hear_and_play), Key("escape", "home", Pop))
        return (
            Key("space", "again", self._hear_and_play),
            Key("return", "next bar", self._next),
            Key("escape", "home", Pop),
        )

    @property
    def _shown(self) -> Played | None:
        """The take whose result is on the page."""
        return self.playing.played if self._run is None else None

    # A take

    @property
    def taking(self) -> bool:
        return self._run is not None

    def strike(self, stroke: Input) -> bool:
        """A stroke of either hand, at its own time; every other key is left to what it does otherwise."""
        if stroke.name not in HANDS:
            return False
        self._struck.append(stroke)
        return True

    def left(self) -> None:
        self._run = None
        self.loudspeaker.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - the sound has its own clock
        if self._to_keep:
            self._keep(self._to_keep)
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

    def _hear_and_play(self) -> Next:
        return self._begin(heard_first=True)

    def _play_at_once(self) -> Next:
        return self._begin(heard_first=False)

    def _begin(self, heard_first: bool) -> Next:
        self._struck, self._run = [], self.playing.run(heard_first)
        self.loudspeaker.play(self._run.hearing)
        self.focus, self.stale = "stop", True
        return None

    def _stop(self) -> Next:
        """Break the take off: nothing of it is kept."""
        self._run, self.focus, self.stale = None, "again" if self.playing.played else "play", True
        self.loudspeaker.stop()
        return None

    def _finish(self, run: Run) -> None:
        self.loudspeaker.stop()
        played = self.playing.take(self._struck, run, self.context.now())
        self._run, self.stale = None, True
        self._to_keep = played
        self.focus = "next" if played.as_written else "again"
        self._keep(played)

    def _keep(self, played: Played) -> None:
        """Keep a take and what it tells; where that fails it is tried again when the page is on top again."""
        if played.take:
            self.context.records.keep_take(self.context.player, played.take)
            self.context.keep(played.question, played.answers)
        self._to_keep = None

    def _next(self) -> Next:
        self.loudspeaker.stop()
        self.playing.go_on()
        self.focus = "play"
        return None

    def _hears(self, hearing: Hearing) -> Next:
        self.loudspeaker.play(hearing)
        return None

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._area = None
        if self._run:
            return self._running(look, box)
        return self._result(look, box, self._shown) if self._shown else self._ready(look, box)

    def _ready(self, look: Look, box: Rect) -> list[Widget]:
        words = " ".join((TASK, *((ALONG,) if self.playing.settling else ())))
        column = Rect(box.x + box.w // 8, box.y + look.u(20), box.w * 3 // 4, box.h - look.u(20))
        task, keys, button, care, _ = rows(
            column,
            [look.height(words, column.w, "lead"), look.height(KEYS_WORDS, column.w, "lead", True), look.u(TARGET + 20),
             look.line(), None],
            look.u(26),
        )  # fmt: skip
        play, _ = columns(button, [look.u(420), None])
        return [
            Label("task", task, words, "lead"),
            Label("keys", keys, KEYS_WORDS, "lead", bold=True),
            Button("play", play, "Hear it, then play", self._hear_and_play, main=True, key="space"),
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
                for (key, hand), place in zip(HANDS.items(), (left, right), strict=True)
            ),
            Button("stop", columns(stop, [look.u(220), None])[0], "Stop", self._stop, key="escape"),
        ]

    def _strikes(self, key: str) -> Act:
        """A stroke by mouse or touch; those of the keys come through ``strike``, each with its own time."""

        def act() -> Next:
            where = self.context.sound.position()
            if where is not None:
                self._struck.append(Input("key", key, where))
            return None

        return act

    def _draw_word(self, canvas: Surface, look: Look, box: Rect) -> None:
        canvas.fill(look.theme.paper, box)
        write(canvas, letter(look, self._sounding(), box, "huge", True), look.theme.ink, "centre")

    def _result(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        sentence, remark = played.report.sentence, self._remark(played)
        tall = look.height(sentence, box.w, "lead", True)
        said, told, view, buttons = rows(
            box, [max(tall, look.line("lead")), look.line(), None, 2 * look.u(TARGET) + look.u(10)], look.u(10)
        )
        self._area = view
        colour = "ink" if played.as_written else "warn"
        return [
            Label("sentence", said, sentence, "lead", bold=True, colour=colour, middle=True),
            Label("remark", told, remark, colour="quiet", middle=True),
            *self._view(look, view, played),
            *self._buttons(look, buttons, played),
        ]

    def _remark(self, played: Played) -> str:
        if played.take is None:
            return f"{KEYS_WORDS} Strike them while the clicks sound."
        found = []
        if played.report.wrong_hands:
            found.append(f"{counted(len(played.report.wrong_hands), 'stroke')} with another hand than under the bar.")
        if unsure := len(played.report.unsure):
            found.append(f"{counted(unsure, 'beat')} not sure.")
        return " ".join(found) or "Within the band round the line hardly anyone hears early or late."

    def _view(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        if played.take is None:
            return []
        view = TakeView(
            "take", box, played.bar.meter, spelled(self.context.level), played.bar.figures, played.reading.figures,
            played.sticking, _hands(played), _stalks(played), WORTH_A_WORD, self._lit,
            look.u(LARGEST_SPACE),
        )  # fmt: skip
        return [view]

    def _lit(self) -> str:
        return LIT.get(self._sounding(), "")

    def _buttons(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        tempo = f"{self.playing.tempo:.0f}"
        hears: list[tuple[str, str, Act, str]] = []
        if played.take:
            hears = [
                ("written", "As written", lambda: self._hears(self.playing.as_written()), "w"),
                ("played", "As you played", lambda: self._hears(self.playing.as_played()), "a"),
                ("both", "Both in turn", lambda: self._hears(self.playing.in_turn()), "c"),
            ]
        acts: list[tuple[str, str, Act, str]] = [
            ("again", f"Again, at {tempo}", self._hear_and_play, "space"),
            ("at once", "Again, not heard first", self._play_at_once, "p"),
            ("next", f"Next bar, at {tempo}", self._next, "return"),
        ]
        cells = grid(box, 6, 3, look.u(10), tallest=look.u(TARGET))
        hear_cells = cells[: len(hears)]
        wanted = "next" if played.as_written else "again"
        return [
            *(
                Button(name, cell, text, act, key=key)
                for (name, text, act, key), cell in zip(hears, hear_cells, strict=True)
            ),
            *(
                Button(name, cell, text, act, key=key, main=name == wanted)
                for (name, text, act, key), cell in zip(acts, cells[3:], strict=True)
            ),
        ]


def _hands(played: Played) -> Hands:
    """The hand of each stroke of each beat that is told, for the notation of what was played."""
    found = []
    for beat in played.reading.beats:
        hands = {placed.at: placed.stroke.hand or "" for placed in beat.strokes if placed.at is not None}
        found.append(tuple(hands.get(at, "") for at in beat.figure.onsets) if beat.figure else ())
    return tuple(found)


def _stalks(played: Played) -> tuple[Stalk, ...]:
    """Every stroke of the bar: at its place where it has one, else where it came."""
    return tuple(
        Stalk(played.place_of(placed), None) if placed.at is None else Stalk(number + float(placed.at), placed.late)
        for number, beat in enumerate(played.reading.beats)
        for placed in beat.strokes
    )
