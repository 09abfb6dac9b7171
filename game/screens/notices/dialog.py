"""A question over the page: a sentence and two answers."""

from collections.abc import Sequence

from pygame import Rect

from game.screens.base import Key
from game.screens.context import Context
from game.screens.notices.panel import Panel
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop


class Dialog(Panel):
    """Asks before something is lost.  Staying has the focus; ``act`` does what was asked for, ``back`` leaves."""

    go_key = ""
    """A key that goes, where there is one: it stands on the button."""

    main = "stay"
    """The answer that is expected, ``stay`` or ``go``: it stands out."""

    def __init__(self, context: Context, question: str, stay: str, go: str, act: Act, back: Act = Pop) -> None:
        super().__init__(context)
        self._question, self._stay, self._go, self._act, self._back = question, stay, go, act, back

    def keys(self) -> Sequence[Key]:
        return (
            # Enter presses the answer that has the focus, and the foot must say which of the two that is.
            Key("return", _lowered(self._go if self.focus == "go" else self._stay), self._press),
            Key("tab", "the other answer", self._change),
            Key("escape", _lowered(self._stay), self._back),
        )

    def _press(self) -> Next:
        focused = self.focused()
        return focused.press() if focused else None

    def _change(self) -> Next:
        """The focus goes to the other of the two answers."""
        self.set_focus("stay" if self.focus == "go" else "go")
        return None

    def size(self, look: Look) -> tuple[int, int]:
        # A key on the second button wants room beside its words.
        width = look.u(720 if self.go_key else 560)
        return width, look.height(self._question, width, "lead") + look.u(TARGET + 30)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words, buttons = rows(box, [None, look.u(TARGET)], look.u(30))
        # What is to be done takes more words than staying, and may have a longer key.
        stay, go = columns(buttons, [buttons.w * 0.4, None], look.u(24))
        return [
            Label("question", words, self._question, "lead"),
            Button("stay", stay, self._stay, self._back, main=self.main == "stay", key="escape"),
            Button("go", go, self._go, self._act, main=self.main == "go", key=self.go_key),
        ]


def _lowered(words: str) -> str:
    """The words of a button as they stand beside its key."""
    return f"{words[0].lower()}{words[1:]}"
