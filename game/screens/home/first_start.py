"""The three pages of a first start: the volume, breaks, and what this is and is not."""

from collections.abc import Sequence

from pygame import Rect

from game.records import RecordsError
from game.records.players import UNNAMED
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.settings.settings import TRIAL, volume_slider
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.text_field import TextField
from shared.orchestration import Setting

PAGES = (
    (
        "Set the volume low first",
        "Turn your own loudspeaker or headphones down before the first sound, hear a bar, then turn up until it is "
        "easy to hear and no louder. Drumlin starts quietly and never goes over its own limit, but it cannot know "
        "how loud your headphones are.",
    ),
    (
        "Take breaks",
        "Ten minutes a day do more than an hour on Sunday. Rest when your ears or your wrists tire, whether or not "
        "the round is over: every bar you have answered is kept. If ears ring or wrists hurt and it does not pass, "
        "ask a doctor, and your teacher about how you hold the sticks.",
    ),
    (
        "This is practice",
        "Drumlin trains your ear and tells you honestly how you do. A mock exam here is practice too: what an exam "
        "asks and how it is marked is the word of your exam board and your teacher, not ours.",
    ),
)
"""The title and the words of each page."""


class FirstStart(RulerScreen):
    """Three short pages, which can be skipped."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._page = 0
        self._name = Edited()
        self._refused = ""
        self._asked = context.player.name == UNNAMED

    def heading(self) -> Heading:
        return Heading("Welcome to Drumlin", right=f"{self._page + 1} of {len(PAGES)}")

    def keys(self) -> Sequence[Key]:
        back = (Key("page up", "page before", self._back),) if self._page else ()
        on = Key("return", "begin", self._finish) if self._last else Key("page down", "next page", self._on)
        return (on, *back, Key("escape", "skip", self._finish))

    @property
    def _last(self) -> bool:
        return self._page == len(PAGES) - 1

    def body(self, look: Look, box: Rect) -> list[Widget]:
        title, words = PAGES[self._page]
        column = Rect(box.x + box.w // 6, box.y + look.u(20), box.w * 2 // 3, box.h - look.u(20))
        height = look.height(words, column.w, "lead")
        told_height = max(look.line(), look.u(34))
        head, text, controls, told, buttons, _ = rows(
            column, [look.line("title"), height, look.u(TARGET), told_height, look.u(TARGET), None], look.u(26)
        )
        return [
            Label("title", head, title, "title", bold=True),
            Label("words", text, words, "lead"),
            *self._controls(look, controls),
            self._told(look, told),
            *self._buttons(look, buttons),
        ]

    def _controls(self, look: Look, box: Rect) -> list[Widget]:
        change = self.context.change_settings
        settings = self.context.settings
        if self._page == 0:
            left, right = columns(box, [None, look.u(200)], look.u(30))
            return [Button("hear", right, "Hear a bar", self._hear, key="h"), volume_slider(self.context, left)]
        if self._last:
            left, right = columns(box, [None, look.u(380)], look.u(30))
            hands = (("R", "Right hand leads"), ("L", "Left hand leads"))
            name = TextField(
                "name", left, look, self._name, self._write, self._finish, "Your name", faulty=bool(self._refused)
            )
            hand = Choice("hand", right if self._asked else left, hands, settings.hand, lambda hand: change(hand=hand))
            return [name, hand] if self._asked else [hand]
        return []

    def _told(self, look: Look, box: Rect) -> Widget:
        """Where the bar is while it sounds, or why a name was refused."""
        if self._page:
            return Label("refused", box, self._refused, colour="warn", bold=True)
        word = look.u(110)
        beats = [box.x + word + (box.w - word) * beat // TRIAL.meter.beats for beat in range(TRIAL.meter.beats)]
        return self.even_ruler(look, box, beats, box.right, self.where)

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        on, skip, _ = columns(box, [look.u(220), look.u(220), None], look.u(30))
        if self._last:
            return [Button("begin", on, "Begin", self._finish, main=True)]
        return [Button("on", on, "Next", self._on, main=True), Button("skip", skip, "Skip", self._finish)]

    def _write(self, text: Edited) -> None:
        self._name, self._refused = text, ""

    def _hear(self) -> Next:
        self.play_bar(TRIAL, Setting(tempo=90), "The bar")
        return None

    def _on(self) -> Next:
        self._page = min(self._page + 1, len(PAGES) - 1)
        self.focus = ("on", "on", "name")[self._page]
        self.loudspeaker.stop()
        return None

    def _back(self) -> Next:
        self._page = max(0, self._page - 1)
        return None

    def _finish(self) -> Next:
        if self._name.text.strip():
            try:
                self.context.player = self.context.records.rename_player(self.context.player, self._name.text)
            except RecordsError as error:
                self._refused, self.focus = str(error), "name"
                return None
        self.context.change_settings(first_start_done=True)
        return Pop()
