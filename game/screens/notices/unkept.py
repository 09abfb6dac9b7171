"""The page that is shown when the records can't be read or written: wait, try again, or play on unkept."""

from collections.abc import Sequence

from pygame import Rect

from game.records import DamagedRecordsError, LockedRecordsError, RecordsError
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop

ASKED_AGAIN = 0.1
"""Seconds between two looks whether a lock is gone."""


class Unkept(Screen):
    """Says what is wrong with the records, and what can be done.  It reads no record, and nothing below it moves.

    After "go on" the records are in memory, and the home page says so.  ``then`` follows either way.  Where another
    program holds the records it goes by itself as soon as that has let go.
    """

    def __init__(self, context: Context, error: RecordsError, then: Act = Pop) -> None:
        super().__init__(context)
        self.error = error
        self._then = then
        # What is damaged is not mended by trying again: there the key that leaves is the one that goes on.
        self._lost = isinstance(error, DamagedRecordsError)
        self.focus = "go" if self._lost else "stay"
        self._asked = 0.0

    @property
    def waits(self) -> bool:
        """Whether it goes by itself, once another program has let go of the records."""
        return isinstance(self.error, LockedRecordsError)

    def heading(self) -> Heading:
        return Heading("The records can't be used" if self._lost else "Not kept")

    def keys(self) -> Sequence[Key]:
        if self._lost:
            return (Key("escape", "go on, not kept", self._go_on), Key("n", "go on", self._go_on, shown=False))
        return (Key("escape", "back, to try again", self._then), Key("n", "go on, not kept", self._go_on))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        said, advice, buttons, _ = rows(
            box, [look.height(self._said, box.w, "lead", bold=True), look.line() * 3, look.u(TARGET), None], look.u(24)
        )
        stay, go, _ = columns(buttons, [look.u(300), look.u(300), None], look.u(24))
        return [
            Label("said", said, self._said, "lead", bold=True),
            Label("advice", advice, self._advice),
            # Damaged records would only lead here again.
            *([] if self._lost else [Button("stay", stay, "Back, to try again", self._then, main=True)]),
            Button("go", stay if self._lost else go, "Go on, not kept", self._go_on, main=self._lost),
        ]

    @property
    def _said(self) -> str:
        return f"{self.error}."

    @property
    def _advice(self) -> str:
        if self.waits:
            return "This page goes as soon as the records are free. Or go on without keeping anything from here on."
        if self._lost:
            return "Until then you can go on, without anything of it being kept. What was kept before is not touched."
        return "Mend that and try again, or go on without keeping anything from here on."

    def moves_on(self, now: float) -> Next:
        """It goes once another program has let go of the records."""
        if not self.waits or now - self._asked < ASKED_AGAIN:
            return None
        self._asked = now
        # Asked without waiting: a page that waits for a lock could not be left meanwhile.
        return self._then() if self.context.records.is_free() else None

    def _go_on(self) -> Next:
        self.context.go_on_in_memory(str(self.error))
        return self._then()
