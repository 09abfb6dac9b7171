"""The page that is shown when something went wrong inside Drumlin."""

from collections.abc import Sequence
from pathlib import Path

from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Quit


class ErrorPage(Screen):
    """Says what happened and that the answers are safe; leads home or out."""

    def __init__(self, context: Context, error: Exception, report: Path | None = None) -> None:
        super().__init__(context)
        self.error = error
        self._report = report

    def heading(self) -> Heading:
        return Heading("Something went wrong")

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "go home", _home),)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        said, safe, details, buttons, _ = rows(
            box, [look.line("lead") * 4, look.line() * 2, look.line() * 2, look.u(TARGET), None], look.u(20)
        )
        home, leave, _ = columns(buttons, [look.u(260), look.u(260), None], look.u(24))
        where = f"The details are in {self._report}" if self._report else ""
        return [
            Label("said", said, str(self.error) or type(self.error).__name__, "lead", bold=True),
            # True whatever went wrong: answers are kept before they are revealed (``PracticeRound.answer``).
            Label("safe", safe, "Every answer whose result you saw is kept."),
            Label("details", details, where, "small", colour="quiet"),
            Button("home", home, "Go home", _home, main=True),
            Button("leave", leave, "Close Drumlin", Quit),
        ]


def _home() -> Next:
    # Below lies the first page alone: the app has let go of those that led to the error.
    return Pop()
