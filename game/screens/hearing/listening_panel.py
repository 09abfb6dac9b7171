"""How bars are heard: tempo, count-in, click, hi-hat, once or over and over, in a panel over the bar."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from pygame import Rect

from game.screens.base import Key
from game.screens.context import Context
from game.screens.notices.panel import Panel
from game.sessions.hearing.listening import PACES
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.look import Look
from game.widgets.moves import Pop

SWITCHES = (
    ("count_in", "Count-in", ("Off", "On")),
    ("click", "Click", ("Off", "On")),
    ("hats_down", "Hi-hat", ("As it is", "Turned down")),
    ("loop", "The bar", ("Once", "Over and over")),
)
"""The switches: name, words, and the words for off and on."""

PACE_WORDS = {1.0: "Full", 0.75: "Three-quarter", 0.5: "Half"}


class ListeningPanel(Panel):
    """The choices, which hold until the window is closed, and the tempo until the round ends.

    ``hear`` plays the bar, or stops it; ``says`` which.
    """

    def __init__(self, context: Context, hear: Act, says: Callable[[], str]) -> None:
        super().__init__(context)
        self._hear = hear
        self._says = says

    def keys(self) -> Sequence[Key]:
        bindings = self.context.bindings
        return (
            Key(bindings.key("hear"), self._says().lower(), self._hear),
            # The key that opened the panel closes it too.
            Key(bindings.key("listening"), "close", Pop, shown=False),
            Key("escape", "close", Pop),
        )

    def size(self, look: Look) -> tuple[int, int]:
        return look.u(720), look.line("lead") + (len(SWITCHES) + 2) * look.u(TARGET + 14)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        heights = [look.line("lead"), *[look.u(TARGET)] * (len(SWITCHES) + 2)]
        head, *lines, buttons = rows(box, heights, look.u(14))
        hear, close = columns(buttons, [None, None], look.u(24))
        bindings = self.context.bindings
        return [
            Label("head", head, "How it is heard", "lead", bold=True, middle=True),
            *self._pace(look, lines[0]),
            *(part for line, row in zip(lines[1:], SWITCHES, strict=True) for part in self._switch(look, line, *row)),
            Button("hear", hear, self._says(), self._hear, key=bindings.key("hear")),
            Button("close", close, "Close", Pop, main=True, key="escape"),
        ]

    def _pace(self, look: Look, line: Rect) -> list[Widget]:
        options = [(pace, PACE_WORDS[pace]) for pace in PACES]
        value = self.context.listening.pace
        return _line(look, line, "pace", "Tempo", options, value, lambda pace: self._change(pace=pace))

    def _switch(self, look: Look, line: Rect, name: str, words: str, states: tuple[str, str]) -> list[Widget]:
        value = getattr(self.context.listening, name)
        options = list(zip((False, True), states, strict=True))
        return _line(look, line, name, words, options, value, lambda state: self._change(**{name: state}))

    def _change(self, **changes: Any) -> None:
        # In the context and not in the settings: it holds for this sitting alone.
        self.context.listening = replace(self.context.listening, **changes)


def _line(
    look: Look, line: Rect, name: str, words: str, options: Sequence[tuple[Any, str]], value: Any,
    change: Callable[[Any], None],
) -> list[Widget]:  # fmt: skip
    label, control = columns(line, [look.u(150), None], look.u(16))
    return [
        Label(f"words {name}", label, words, middle=True),
        Choice(name, control, options, value, change),
    ]
