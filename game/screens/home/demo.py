"""The demo: an invented drum room on a home page of its own, apart from anybody's records."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.records import RecordsError
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.home.home import Home
from game.sessions.home.demo import demo_folder, open_demo
from game.widgets.base import Label, Widget
from game.widgets.boxes import rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from shared.levels import find_level

WHAT = (
    "The Millrace Drum Room and its pupils are invented, and so is every answer.",
    "Look at their progress, their plans and their class as if they were yours, and try what you like.",
    "It lies in a folder of its own: your records stay as they are.",
)


class DemoStart(Screen):
    """Says what the demo is, and opens it; making it the first time takes a few seconds."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._told = ""
        self.focus = "open"

    def heading(self) -> Heading:
        return Heading("Demo")

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "home", Pop),)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        *lines, told, button, _ = rows(
            box, [look.line("lead") * 2] * len(WHAT) + [look.line() * 2, look.u(TARGET + 10), None], look.u(16)
        )
        words = [Label(f"what {k}", line, text, "lead") for k, (line, text) in enumerate(zip(lines, WHAT, strict=True))]
        return [
            *words,
            Label("told", told, self._told, colour="warn", bold=True),
            Button("open", button, "Open the demo", self._open, main=True),
        ]

    def _open(self) -> Next:
        try:
            return Replace(DemoHome(demo_context(self.context)))
        except RecordsError as error:
            self._told = f"The demo cannot be made: {error}"
            return None


def demo_context(context: Context) -> Context:
    """A context on the demo's records, with the same sound, clock and settings of the window."""
    records = open_demo(context.data_folder, context.now(), seed=0)
    # Wren, who was added last and so counts as the most recent.
    player = records.players("player")[0]
    # With a data folder of its own: what is saved while looking round must not lie among the player's own files.
    return replace(
        context, records=records, player=player, level=find_level("stage-4"), notice="",
        data_folder=demo_folder(context.data_folder),
    )  # fmt: skip


class DemoHome(Home):
    """The home page of the invented drum room."""

    def heading(self) -> Heading:
        return Heading("Demo: all invented", left="Millrace Drum Room", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (*super().keys(), Key("escape", "leave the demo", self._leave))

    def _demo_keys(self) -> tuple[Key, ...]:
        return ()

    def _leave(self) -> Next:
        # Its own records, opened for it alone; the player's are open in the context below.
        self.context.records.close()
        return Pop()
