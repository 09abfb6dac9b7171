"""The page on which keys, pads or a microphone are chosen and tried."""

from collections.abc import Sequence
from math import log10

from pygame import Rect, Surface

from audio.microphone import FAINT, MicrophoneError, loudness_words
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.settings.tap_delay import TapDelay
from game.sessions.inputs import KEYS, MICROPHONE, PADS, SOURCES, Input, InputDevice
from game.sessions.playing.trial import HAND_WORDS, Trial
from game.widgets.base import Act, Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push

SOURCE_WORDS = dict(zip(SOURCES, ("Two keys", "MIDI pads", "Microphone"), strict=True))
PLAYED_ON = dict(zip(SOURCES, ("Played on: two keys", "Played on: MIDI pads", "Played on: microphone"), strict=True))
"""The words on the button that leads to the choice of what is played on."""

HAND_KEYS = (("fj", "F and J"), ("dk", "D and K"), ("df", "D and F"), ("jk", "J and K"))
"""The pairs of keys on offer: far apart, farther apart, and two beside each other for one hand."""

ABOUT = {
    KEYS: "The first key is the left hand, the second the right. F and J carry a raised mark. Two keys side by side "
    "suit who plays with one hand.",
    PADS: "Pads and electronic kits by MIDI. They sound by themselves: Drumlin does not echo them, for that would come "
    "too late. Every drum counts as a stroke.",
    MICROPHONE: "A practice pad, a drum or a table top. Headphones are best; over loudspeakers keep the click soft. "
    "Nothing is kept but the times of strokes.",
}

PADS_GONE = "The pads are not there. Plug them in and switch them on, or choose what you play on."

WIRELESS = "Wireless headphones come late, often by 150 ms and more: find the delay first (T), or use a cable."

NO_PADS = "No pads are found. Plug them in and switch them on: Drumlin looks every two seconds."
HELD = "{name} can't be opened: another program may hold it. Close that program, then press R."

AGAIN_AFTER = 2.0
"""Seconds after which missing pads are looked for again."""

HEARD_FOR = 0.25
"""Seconds that a stroke stays shown."""


def on_words(instrument: InputDevice) -> str:
    """The words for what to strike."""
    if instrument.source == KEYS:
        left, right = (key.upper() for key in instrument.hands)
        marked = ": both keys carry a raised mark" if instrument.name == "fj" else ""
        return f"{left} is your left hand, {right} your right{marked}."
    if instrument.source == PADS:
        return f"Play on {instrument.name or 'your pads'}."
    return "Play near the microphone. With headphones strike along with the last two clicks each time."


def open_devices(context: Context) -> "Devices":
    """The page of devices, with what is chosen now."""
    return Devices(context)


class Devices(Screen):
    """Chooses what is played on and tries it at once: a stroke of each hand, or how loud the microphone is."""

    # Without a take, too: to try them is what this page is for.
    hears_pads = True

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._names: tuple[str, ...] = ()
        self._trial = Trial()
        self._told = ""
        self._peak, self._level, self._strokes = 0.0, 0.0, 0
        self._heard_at = self._looked_at = float("-inf")
        self._now = 0.0
        self._meter: Rect | None = None
        self.focus = "source"

    @property
    def _source(self) -> str:
        return self.context.settings.play_on

    def heading(self) -> Heading:
        return Heading("What you play on", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        found = [
            Key("r", "try again", self._begin), Key("t", "find the sound's delay", self._find_delay),
            Key("escape", "back", Pop),
        ]  # fmt: skip
        if self._source == KEYS:
            found += [Key(key, "", self._strikes(key), shown=False) for key in self.context.settings.hand_keys]
        return found

    def entered(self) -> None:
        self._begin()

    def left(self) -> None:
        self.context.microphone.stop()
        self.context.pads.close()

    # Trying

    def _begin(self) -> Next:
        """Look for what is plugged in, open it, and try it from the beginning."""
        self._trial, self._told, self._strokes, self._level, self._peak = Trial(), "", 0, 0.0, 0.0
        self._looked_at, self.stale = self._now, True
        self.context.microphone.stop()
        self.context.pads.close()
        if self._source == PADS:
            self._open_pads()
        elif self._source == MICROPHONE:
            self._open_microphone()
        return None

    def _open_pads(self) -> None:
        pads, chosen = self.context.pads, self.context.settings.pads
        self._names = pads.names()
        name = chosen if chosen in self._names else next(iter(self._names), "")
        if not name:
            self._told = NO_PADS
        elif not pads.use(name):
            self._told = HELD.format(name=name)
        elif name != chosen:
            self.context.change_settings(pads=name, pad_hands={})

    def _open_microphone(self) -> None:
        # The mixer ends a capture that was opened before it.
        self.context.sound.open()
        microphone = self.context.microphone
        self._names = microphone.names()
        chosen = self.context.settings.microphone
        try:
            microphone.start(chosen if chosen in self._names else "")
        except MicrophoneError as error:
            self._told = str(error)

    def strike(self, stroke: Input) -> bool:
        if stroke.source != self._source:
            return False
        self._trial = self._trial.struck(stroke.name)
        # With the second stroke both hands are known; what is struck later is only tried.
        if self._source == PADS and self._trial.last == self._trial.right:
            self.context.change_settings(pad_hands=dict(self._trial.hands))
        self.stale = True
        return True

    def _strikes(self, key: str) -> Act:
        def act() -> Next:
            self.strike(Input(KEYS, key, 0.0))
            return None

        return act

    def tick(self, now: float) -> list[Rect]:
        self._now = now
        lacking = self._source == PADS and not self.context.pads.ready
        if lacking and now - self._looked_at > AGAIN_AFTER:
            self._begin()
        if self._source != MICROPHONE or not self.context.microphone.running:
            return []
        loudness = self.context.microphone.loudness()
        if not loudness.alive:
            self.context.microphone.stop()
            self._told, self.stale = "The microphone sends nothing any more. Plug it in again, then press R.", True
            return []
        # A stroke rises at once and dies away: a new one is a rise well above what is left of the one before.
        if loudness.peak > max(FAINT, 2 * self._level) and now - self._heard_at > HEARD_FOR:
            self._strokes, self._heard_at, self._peak, self.stale = self._strokes + 1, now, loudness.peak, True
        # Up at once, down slowly: a meter that jumps as sound does can't be read.
        self._level = max(loudness.peak, 0.85 * self._level)
        return [self._meter] if self._meter else []

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        about = f"{ABOUT[self._source]} {WIRELESS}"
        column = Rect(box.x + box.w // 12, box.y, box.w * 5 // 6, box.h)
        source, words, chosen, told, trial = rows(
            column,
            [look.u(TARGET), look.height(about, column.w), self._list_height(look),
             look.height(self._words(), column.w, "lead", True), None],
            look.u(18),
        )  # fmt: skip
        colour = "warn" if self._told else "ink"
        return [
            Choice("source", source, tuple(SOURCE_WORDS.items()), self._source, self._choose_source),
            Label("about", words, about, colour="quiet"),
            *self._chosen(look, chosen),
            Label("told", told, self._words(), "lead", bold=True, colour=colour),
            *self._tried(look, trial),
        ]

    def _chosen(self, look: Look, box: Rect) -> list[Widget]:
        if self._source == KEYS:
            line = Rect(box.x, box.y, box.w, look.u(TARGET))
            return [Choice("hand keys", line, HAND_KEYS, self.context.settings.hand_keys, self._choose_keys)]
        if not self._names:
            return []
        listed = [Row(name) for name in self._names]
        return [
            ListBox("devices", box, listed, self._place(), self._choose_device, self._begin, look.u(TARGET - 6)),
        ]

    def _list_height(self, look: Look) -> int:
        if self._source == KEYS:
            return look.u(TARGET)
        # Four at a time; a studio with more scrolls to the others.
        return min(4, len(self._names)) * look.u(TARGET - 6) or 1

    def _place(self) -> int:
        settings = self.context.settings
        chosen = settings.pads if self._source == PADS else settings.microphone
        return self._names.index(chosen) if chosen in self._names else 0

    def _words(self) -> str:
        if self._told:
            return self._told
        if self._source != MICROPHONE:
            return self._trial.words()
        if not self._strokes:
            return "Strike a few times, as you will play."
        times = "once" if self._strokes == 1 else f"{self._strokes} times"
        return f"Heard {times}. {loudness_words(self._peak)}"

    def _tried(self, look: Look, box: Rect) -> list[Widget]:
        self._meter = None
        line = Rect(box.x, box.y, box.w, min(box.h, look.u(TARGET)))
        if self._source == MICROPHONE:
            self._meter = line
            return [Picture("meter", line, self._draw_meter)]
        if self._source == PADS:
            return []
        left, right, _ = columns(line, [look.u(300), look.u(300), None], look.u(20))
        return [
            Button(f"hand {hand}", cell, HAND_WORDS[hand], self._strikes(key), key=key)
            for key, hand, cell in zip(self.context.settings.hand_keys, "LR", (left, right), strict=True)
        ]

    def _draw_meter(self, canvas: Surface, look: Look, box: Rect) -> None:
        """A bar as long as the sound is loud, on a scale of 60 dB, and a line from which strokes are clear."""
        theme = look.theme
        canvas.fill(theme.paper, box)
        canvas.fill(theme.wash, (box.x, box.y, box.w, box.h))
        canvas.fill(theme.accent, (box.x, box.y, round(box.w * _share(self._level)), box.h))
        canvas.fill(theme.ink, (box.x + round(box.w * _share(FAINT)), box.y, look.u(2), box.h))

    # Acts

    def _choose_source(self, source: str) -> None:
        self.context.change_settings(play_on=source)
        self._begin()

    def _find_delay(self) -> Next:
        return Push(TapDelay(self.context))

    def _choose_keys(self, keys: str) -> None:
        self.context.change_settings(hand_keys=keys)
        self._begin()

    def _choose_device(self, place: int) -> None:
        name = self._names[place]
        if self._source == PADS:
            self.context.change_settings(pads=name, pad_hands={})
        else:
            self.context.change_settings(microphone=name)
        self._begin()


def _share(level: float) -> float:
    """How far along 60 dB a level of full scale lies, from 0 to 1."""
    return min(1.0, max(0.0, 1 + 20 * log10(max(level, 1e-6)) / 60))
