"""A question over the page: a sentence and two answers."""

from collections.abc import Sequence

from pygame import Rect, Surface

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Pop


class Dialog(Screen):
    """Asks before something is lost.  Staying has the focus; ``act`` does what was asked for, ``back`` leaves."""

    over = True

    def __init__(self, context: Context, question: str, stay: str, go: str, act: Act, back: Act = Pop) -> None:
        super().__init__(context)
        self._question, self._stay, self._go, self._act, self._back = question, stay, go, act, back
        self._box = Rect(0, 0, 1, 1)

    def heading(self) -> Heading:
        return Heading("")

    def keys(self) -> Sequence[Key]:
        return (Key("escape", self._stay, self._back, shown=False),)

    def lay_out(self, look: Look) -> None:
        width = look.u(640)
        words_high = look.height(self._question, width - look.u(80), "lead")
        self._box = Rect(0, 0, width, words_high + look.u(TARGET + 110))
        self._box.center = look.size[0] // 2, look.size[1] // 2
        self.widgets = self.body(look, self._box.inflate(-look.u(80), -look.u(80)))
        self._settle_focus()

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words, buttons = rows(box, [None, look.u(TARGET)], look.u(30))
        stay, go = columns(buttons, [None, None], look.u(24))
        return [
            Label("question", words, self._question, "lead"),
            Button("stay", stay, self._stay, self._back, main=True),
            Button("go", go, self._go, self._act),
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        look.box(canvas, self._box.inflate(look.u(16), look.u(16)), look.theme.paper)
        look.box(canvas, self._box, look.theme.paper, look.theme.ink, 2)
        self.paint_widgets(canvas, look)
