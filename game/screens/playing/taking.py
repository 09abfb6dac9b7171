"""The base of pages on which takes are played: it opens what is played on, and takes down the strokes."""

from math import floor

from pygame import Rect, Surface

from audio.microphone import CLEAR, loudness_words
from game.screens.base import Screen
from game.screens.context import Context
from game.screens.hearing.loudspeaker import Loudspeaker
from game.screens.playing.devices import PADS_GONE, on_words, open_devices
from game.screens.playing.ears import Ear, HabitMemory
from game.screens.playing.keeping import keep_record
from game.sessions.inputs import KEYS, MICROPHONE, PADS, Input, InputDevice
from game.sessions.playing.playing import Run, TakeRecord
from game.sessions.playing.trial import HAND_WORDS
from game.widgets.base import Act, Picture, Widget, letter, write
from game.widgets.boxes import columns
from game.widgets.controls import Button
from game.widgets.look import Look
from game.widgets.moves import Next, Push
from game.widgets.take import SoFar, TakeLine
from shared.errors import UserError
from shared.reading import Habits

MICROPHONE_GONE = "The microphone stopped in mid-take, so nothing of it is kept. Choose what you play on (D)."

EARLIEST = 0.25
"""A stroke that comes so many beats before a bar, or later, is shown in that bar."""

NOTHING_CAME = {
    KEYS: "{on} Strike them while the clicks sound.",
    PADS: "{on} Are they switched on, and do they send notes? Choose what you play on (D).",
    MICROPHONE: "Strike nearer to the microphone, or choose another (D).",
}
"""The advice where nothing came in, by what was played on."""


class TakeScreen(Screen):
    """A page with takes, each played along a run.  Subclasses say ``finished``, and call ``begin_take``.

    While a take runs one word changes, the number of the beat, and the strokes that have come: nothing that eyes could
    play to, and little to draw, which would delay the strokes.  ``memory`` holds the player's habits on each
    instrument.
    """

    shows_strokes = True
    """Whether a stroke is shown on the page while the take runs."""

    def __init__(self, context: Context, memory: HabitMemory | None = None) -> None:
        super().__init__(context)
        self.loudspeaker = Loudspeaker(context.sound)
        self._memory = memory or HabitMemory(context)
        self._instrument = InputDevice()
        self.run: Run | None = None
        self._ear: Ear | None = None
        self.struck: list[Input] = []
        self._loudness = ""
        self.exact = False
        self._unkept: tuple[TakeRecord, Habits] | None = None
        self._shown_last: tuple[object, ...] = ()
        self._late = 0.0
        self._area: Rect | None = None
        self._line: Rect | None = None

    def finished(self, run: Run) -> None:
        """The take is over: what was struck is in ``struck``, and ``exact`` and ``_loudness`` say how it came in."""
        raise NotImplementedError

    # A take

    @property
    def taking(self) -> bool:
        return self.run is not None

    def strike(self, stroke: Input) -> bool:
        """A stroke of either hand, at its own time; every other key is left to what it does otherwise."""
        if self.run is None or not self._instrument.plays(stroke):
            return False
        self.struck.append(stroke)
        return True

    def begin_take(self, run: Run) -> bool:
        """Let a run sound and take down what is struck meanwhile; False where what is played on can't be opened."""
        instrument = self.context.instrument
        # The device first: where it is gone, no sound begins and the page says so.
        try:
            ear = self._opened(instrument, run)
        except UserError as error:
            self.tell(str(error))
            return False
        self._instrument, self.run, self._ear = instrument, run, ear
        self.struck, self._loudness, self.exact = [], "", False
        # As late as this player's strokes are known to come in: else all of them would stand beside their places.
        self._late = self._memory.of(instrument).offset
        self.loudspeaker.play(run.hearing)
        if ear:
            # Where in the recording the sound began: the two have no clock in common.
            self.context.microphone.mark()
        self.focus, self.stale = "stop", True
        return True

    def _opened(self, instrument: InputDevice, run: Run) -> Ear | None:
        """Open what is played on.  Raises ``UserError``."""
        if instrument.source == PADS and not self.context.pads.use(instrument.name):
            raise UserError(PADS_GONE)
        if instrument.source != MICROPHONE:
            return None
        ear = Ear(self.context, run)
        ear.open()
        return ear

    def _devices(self) -> Next:
        self.loudspeaker.stop()
        return Push(open_devices(self.context))

    def break_off(self) -> None:
        """End the take that runs: nothing of it is kept."""
        self._let_go()
        self.loudspeaker.stop()
        self.stale = True

    def left(self) -> None:
        self._let_go()
        self.loudspeaker.stop()

    def _let_go(self) -> None:
        """End a take that may be running, and let go of what it was played on."""
        self.run = self._ear = None
        self.context.pads.close()
        if self._instrument.source == MICROPHONE:
            self.context.microphone.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - the sound has its own clock
        # Here too, for the page comes back on top after the notice that something could not be kept.
        if self._unkept:
            self.keep(*self._unkept)
        if self.run:
            where = self.context.sound.position()
            if self._ear and not self._ear.alive:
                self._stop()
                self.tell(MICROPHONE_GONE)
                return []
            if where is None or where >= self.run.ends:
                self.end_take(self.run)
                return []
        shown = (self.sounding(), self._so_far() if self.run else None)
        if shown == self._shown_last or self._area is None:
            return []
        self._shown_last = shown
        return [self._area, *([self._line] if self.run and self._line else [])]

    def sounding(self) -> str:
        """The word for what sounds."""
        moment = self.loudspeaker.moment()
        return moment.caption if moment else ""

    def end_take(self, run: Run) -> None:
        """Take in what came, and let go of what was played on."""
        self.loudspeaker.stop()
        if self._ear:
            self.take_in(self._ear, self._ear.struck())
        self._let_go()
        self.stale = True
        self.finished(run)

    def take_in(self, ear: Ear, struck: list[Input]) -> None:
        """Take in what the microphone heard, and how it came in."""
        self.struck, self.exact = struck, ear.exact
        words = loudness_words(ear.peak)
        self._loudness = "" if words == CLEAR else words

    def keep(self, record: TakeRecord | None, habits: Habits) -> None:
        """Keep what a take told, of the player's habits too; what fails is tried again when the page is back on top."""
        # Noted first: what fails ends this function.
        self._unkept = (record, habits) if record else None
        if record:
            self._memory.keep(self._instrument, habits, self.exact)
            keep_record(self.context, record)
            self._unkept = None

    def nothing_came(self) -> str:
        """The advice where nothing came in."""
        return self._loudness or NOTHING_CAME[self._instrument.source].format(on=on_words(self._instrument))

    # The page while a take runs

    def word(self, box: Rect) -> Picture:
        """The one word that changes while a take runs."""
        self._area = box
        return Picture("word", box, self._draw_word)

    def take_line(self, box: Rect, start: int = 0, end: int = 0) -> TakeLine:
        """The beats of the bar that sounds and the strokes so far, from the pixel column ``start`` to ``end``."""
        assert self.run is not None
        beats = self.run.hearing.passage.meter.beats
        if not end:
            # Over the width of the page, with room for the number of the 1 and for a stroke before it.
            start, end = box.x + box.w // 16, box.right - box.w // 32
        self._line = box
        return TakeLine("line", box, beats, start, end, self._so_far)

    def _so_far(self) -> SoFar:
        """The beat that sounds, and the strokes since its bar began, in beats from there."""
        run, where = self.run, self.context.sound.position()
        if run is None or where is None:
            return SoFar(None)
        beat_seconds, beats = run.hearing.passage.beat_seconds, run.hearing.passage.meter.beats
        played = round(run.begins / beat_seconds / beats)
        # The last bar that is played stays once it is over, with what was played in it.
        bar = min(floor(where / beat_seconds / beats), played + run.rounds - 1)
        beat = floor(where / beat_seconds) - bar * beats
        places = [(one.seconds - self._late) / beat_seconds - bar * beats for one in self.struck]
        shown = tuple(place for place in places if -EARLIEST <= place < beats - EARLIEST) if self.shows_strokes else ()
        return SoFar(beat if beat < beats else None, shown)

    def hand_buttons(self, look: Look, box: Rect) -> list[Widget]:
        """A button for each hand, where keys are played: for a mouse or a touch."""
        _, left, right, _ = columns(box, [None, look.u(300), look.u(300), None], look.u(30))
        keys = self._instrument.hands if self._instrument.source == KEYS else {}
        return [
            Button(f"hand {key}", place, HAND_WORDS[hand], self._strikes(key), key=key)
            for (key, hand), place in zip(keys.items(), (left, right), strict=False)
        ]

    def stop_button(self, look: Look, box: Rect) -> Button:
        """The button that breaks the take off."""
        return Button("stop", columns(box, [look.u(220), None])[0], "Stop", self._stop, key="escape")

    def _stop(self) -> Next:
        """Break the take off: Esc does so while it runs."""
        self.break_off()
        self.focus = "play"
        return None

    def _strikes(self, key: str) -> Act:
        """A stroke by mouse or touch; those of the keys come through ``strike``, each with its own time."""

        def act() -> Next:
            where = self.context.sound.position()
            if where is not None:
                self.strike(Input(KEYS, key, where))
            return None

        return act

    def _draw_word(self, canvas: Surface, look: Look, box: Rect) -> None:
        # Only this box is painted again while a take runs, so it must wipe the word before.
        canvas.fill(look.theme.paper, box)
        write(canvas, letter(look, self.sounding(), box, "huge", True), look.theme.ink, "centre")
