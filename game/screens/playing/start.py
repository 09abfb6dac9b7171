"""The ways of playing: which one, whole bars or step by step, and what is played on."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Wanted
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.playing.call_start import open_calls
from game.screens.playing.call_view import TITLE
from game.screens.playing.devices import PLAYED_ON, open_devices
from game.screens.playing.playing import PlayBar, new_playing
from game.screens.playing.recording import open_recording
from game.screens.playing.saying import SayIt
from game.sessions.playing.playing import PlayingWay
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push

ABOUT = {
    PlayingWay.BACK: "Hear a bar, then play it",
    PlayingWay.WRITTEN: "See a bar, then play it after a count-in",
    PlayingWay.SAID: "Hear a bar, say its figures, then play them",
}

HOW = ((True, "Step by step"), (False, "Whole bars"))

NOTE = (
    "Step by step, a bar begins with its first beat, round and round until it sits, and grows. "
    "What you play is kept, and leaves your practice score as it is."
)


CALLS = "Answer calls over a groove that never stops: by playing, or by picking"

RECORDING = "Drop a file or record yourself; it is read into figures"


LAST_BEATS = 8
"""So many of the beats played last tell whether whole bars are offered first."""


def open_playing(context: Context) -> "PlayingStart":
    """The choice; step by step until half of the last beats that were played on this level were as written."""
    wanted = Wanted(level=context.level.name, last=LAST_BEATS, ability="playing")
    played = context.records.answers(context.player, wanted)
    right = sum(one.said == one.heard for one in played)
    # One take that went wrong must not end what is there to help with it.
    return PlayingStart(context, in_steps=2 * right < LAST_BEATS)


class PlayingStart(Screen):
    """Chooses a way of playing."""

    def __init__(self, context: Context, in_steps: bool) -> None:
        super().__init__(context)
        self._in_steps = in_steps
        self.focus = PlayingWay.BACK.name

    def heading(self) -> Heading:
        return Heading("Playing", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (Key("d", "what you play on", self._devices), Key("escape", "home", Pop))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        gap, many = look.u(10), len(PlayingWay) + 2
        lead, low = look.line("lead"), [look.u(TARGET), look.height(NOTE, box.w)]
        # With large type the ways are lower, so that the choices and the note below them stay whole.
        high = min(look.u(80), (box.h - lead - sum(low) - (many + 3) * gap) // many)
        words, *ways, calls, recording, how, note, _ = rows(box, [lead, *[high] * many, *low, None], gap)
        steps, devices = columns(how, [None, look.u(420)], look.u(20))
        played_on = PLAYED_ON[self.context.settings.play_on]
        return [
            Label("words", words, "Play along a click; Drumlin hears what you played.", "lead", middle=True),
            *(
                Button(way.name, place, way.value, self._begins(way), number == 1, ABOUT[way], key=str(number))
                for number, (way, place) in enumerate(zip(PlayingWay, ways, strict=True), 1)
            ),
            Button("calls", calls, TITLE, self._calls, about=CALLS, key="4"),
            Button("recording", recording, "A recording", self._recording, about=RECORDING, key="5"),
            Choice("how", steps, HOW, self._in_steps, self._choose),
            Button("devices", devices, played_on, self._devices, key="d"),
            Label("note", note, NOTE),
        ]

    def _choose(self, in_steps: bool) -> None:
        self._in_steps = in_steps

    def _begins(self, way: PlayingWay) -> Act:
        def act() -> Next:
            # Only now, as it replays the log: the choice itself must open at once.
            playing = new_playing(self.context, self._in_steps)
            if way is PlayingWay.SAID:
                return Push(SayIt(self.context, playing))
            return Push(PlayBar(self.context, playing, way))

        return act

    def _calls(self) -> Next:
        return Push(open_calls(self.context))

    def _recording(self) -> Next:
        return Push(open_recording(self.context))

    def _devices(self) -> Next:
        return Push(open_devices(self.context))
