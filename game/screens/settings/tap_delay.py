"""Tapping to a click, to measure how late the sound is on this machine and for this player."""

from collections.abc import Sequence
from fractions import Fraction

from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.loudspeaker import Loudspeaker
from game.sessions.hearing.hearing import captioned
from game.sessions.inputs import Input
from game.sessions.settings.calibration import CLICKS, DROPPED, WIDEST, Measured, measured
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from shared.bars import METERS
from shared.passages import Passage, Stroke

TEMPO = 80
"""Clicks a minute.  A tap later than half the time between two clicks (here 375 ms) would count as early."""

METER = METERS["4/4"]

WORDS = (
    f"You will hear {CLICKS} clicks. Tap Space with each, as evenly as you can and with your eyes off the screen; "
    f"the first {DROPPED} only give the tempo. What comes out is how late the sound is for you, and the mark that "
    "moves with the sound will follow by it."
)


def clicks() -> Passage:
    """The clicks to tap to."""
    bars = CLICKS // METER.beats
    strokes = tuple(
        Stroke(bar, beat, Fraction(0), "click", 0.8) for bar in range(bars) for beat in range(1, METER.beats + 1)
    )
    return Passage(METER, TEMPO, bars, 0, strokes)


class TapDelay(Screen):
    """Begin, tap, and keep what was measured.

    Nothing moves while the clicks sound: eyes would tap to it.
    """

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._loudspeaker = Loudspeaker(context.sound)
        self._passage = clicks()
        self._taps: list[float] = []
        self._sounds = False
        self._found: Measured | None = None
        self.focus = "begin"

    def heading(self) -> Heading:
        return Heading("Tap to the click", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        tap = Key("space", "tap" if self._sounds else "begin", self._tap)
        return (tap, Key("escape", "back", Pop))

    def left(self) -> None:
        # Else the delay that is set to 0 while tapping would stay so.
        self._stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - the sound has its own clock
        if self._sounds and self.context.sound.position() is None:
            self._stop()
            self._found = measured([time for time, _ in self._passage.timed], self._taps)
            self.focus, self.stale = ("keep" if self._found.steady else "begin"), True
        return []

    def body(self, look: Look, box: Rect) -> list[Widget]:
        column = Rect(box.x + box.w // 6, box.y + look.u(20), box.w * 2 // 3, box.h - look.u(20))
        words = self._words()
        text, count, buttons, _ = rows(
            column,
            [look.height(words, column.w, "lead"), look.line("huge"), look.u(TARGET), None],
            look.u(30),
        )
        taps = f"Taps: {len(self._taps)}" if self._sounds else ""
        return [
            Label("words", text, words, "lead"),
            Label("count", count, taps, "huge", bold=True, middle=True),
            *self._buttons(look, buttons),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        first, second, _ = columns(box, [look.u(280), look.u(280), None], look.u(30))
        if self._sounds:
            return [Button("tap", first, "Tap", self._tap, main=True, key="space")]
        steady = self._found is not None and self._found.steady
        again = "Once more" if self._found else "Begin"
        begin = Button("begin", second if steady else first, again, self._begin, main=not steady, key="space")
        if not steady or self._found is None:
            return [begin]
        return [Button("keep", first, f"Keep {_signed(self._found.milliseconds)}", self._keep, main=True), begin]

    def _words(self) -> str:
        found = self._found
        if self._sounds or found is None:
            return WORDS
        if not found.enough:
            return f"Only {found.taps} of the clicks that count had a tap. Once more: a tap with every click."
        late = "after" if found.milliseconds >= 0 else "before"
        told = (
            f"Your taps came {abs(found.milliseconds)} ms {late} the clicks, "
            f"with a spread of {1000 * found.spread:.0f} ms."
        )
        if not found.steady:
            return f"{told} That is too uneven to go by: over {1000 * WIDEST:.0f} ms. Once more, with one hand."
        return f"{told} Keep it, and the mark follows the sound by it."

    @property
    def taking(self) -> bool:
        return self._sounds

    def strike(self, stroke: Input) -> bool:
        """A tap, at its own time; the clicks are far enough apart for its number to be painted."""
        if stroke.name != "space":
            return False
        self._taps.append(stroke.seconds)
        self.stale = True
        return True

    def _tap(self) -> Next:
        if not self._sounds:
            return self._begin()
        # By mouse or touch; the key comes through ``strike``, with its own time.
        where = self.context.sound.position()
        if where is not None:
            self._taps.append(where)
        return None

    def _begin(self) -> Next:
        self._taps, self._found, self._sounds, self.focus = [], None, True, "tap"
        # Taps are held against the sound as it is mixed: what was measured before must not count.
        self.context.sound.latency = 0.0
        self._loudspeaker.play(captioned(self._passage, ""))
        return None

    def _stop(self) -> None:
        self._sounds = False
        self._loudspeaker.stop()
        # Brings back the delay of the settings, which was 0 for the taps.
        self.context.tune()

    def _keep(self) -> Next:
        assert self._found is not None
        self.context.change_settings(calibration=float(self._found.milliseconds))
        return Pop()


def _signed(milliseconds: int) -> str:
    return f"{milliseconds} ms".replace("-", "−")
