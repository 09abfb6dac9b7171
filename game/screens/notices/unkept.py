"""What is asked when the records can't be written: try again, or play on without keeping anything."""

from game.records import RecordsError
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.widgets.base import Act
from game.widgets.moves import Next, Pop


class Unkept(Dialog):
    """Asked once: after "go on" the records are in memory, and the home page says so.  ``then`` follows either way."""

    def __init__(self, context: Context, error: RecordsError, then: Act = Pop) -> None:
        question = f"Not kept: {error}. Mend that and try again, or go on without keeping anything from here on."
        super().__init__(context, question, "Back, to try again", "Go on, not kept", self._go_on, then)
        self._reason = str(error)

    def _go_on(self) -> Next:
        self.context.go_on_in_memory(self._reason)
        return self._back()
