"""A name, or another line of text, asked for over the page."""

from collections.abc import Callable, Sequence

from pygame import Rect

from game.screens.base import Key
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.lettering import lacking_words
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.text_field import TextField
from game.wording import sentence

LONGEST = 60


class NamePrompt(Dialog):
    """Asks for a name.  ``take`` keeps it and returns why it can't be, or nothing when all is well.

    ``empty`` is shown while nothing is written.
    """

    def __init__(
        self, context: Context, question: str, name: str, take: Callable[[str], str], empty: str = "A name"
    ) -> None:
        super().__init__(context, question, "Back", "Keep", self._keep)
        self._name = Edited.selected_whole(name)
        self._take = take
        self._empty = empty
        self._refused = ""
        self.focus = "name"

    def keys(self) -> Sequence[Key]:
        return (
            Key("return", "back" if self.focus == "stay" else "keep", self._press),
            Key("escape", "back", Pop),
        )

    def size(self, look: Look) -> tuple[int, int]:
        width = look.u(600)
        return width, look.height(self._question, width, "lead") + look.u(2 * TARGET + 100) + look.line()

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words, name, refused, buttons = rows(
            box, [None, look.u(TARGET), look.line() + look.u(16), look.u(TARGET)], look.u(18)
        )
        stay, keep = columns(buttons, [None, None], look.u(24))
        return [
            Label("question", words, self._question, "lead"),
            TextField(
                "name", name, look, self._name, self._write, self._keep, self._empty, LONGEST, bool(self._refused)
            ),
            Label(
                "refused",
                refused,
                self._refused or lacking_words(self._name.text),
                colour="warn",
                bold=True,
                middle=True,
            ),
            Button("stay", stay, "Back", Pop, key="escape"),
            Button("go", keep, "Keep", self._keep, main=True),
        ]

    def _write(self, name: Edited) -> None:
        self._name, self._refused = name, ""

    def _keep(self) -> Next:
        # In the terminal an error follows on the program's name; here it stands alone.
        self._refused = sentence(self._take(self._name.text))
        if not self._refused:
            return Pop()
        self.set_focus("name")
        return None
