"""The riddles that a player asked: who answered, what they said to each beat, and what was to be said."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.records import Riddle
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.fills.riddles import said_beats
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.sessions.fills.heard import hearing_of
from game.sessions.fills.keeping import OpenedFill, opened
from game.sessions.fills.riddle import answered
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.wording import counted, since_words
from shared.errors import UserError
from shared.orchestration import Setting

NONE = "No riddle of yours is left here. Choose a fill on the page before and ask a player by it."


class AskedRiddles(RulerScreen):
    """The list of a player's riddles, the newest first, what came of the chosen one beside it."""

    def __init__(self, context: Context, riddles: Sequence[Riddle]) -> None:
        super().__init__(context)
        self.riddles = list(riddles)
        self._row = 0
        self.focus = "riddles"

    @property
    def _chosen(self) -> Riddle | None:
        return self.riddles[self._row] if self.riddles else None

    def _opened(self, riddle: Riddle) -> OpenedFill | None:
        """The fill of a riddle; None where it can't be read."""
        try:
            return opened(riddle.name, "", riddle.fill, riddle.setting, Setting(lead=self.context.settings.hand))
        except UserError:
            return None

    def heading(self) -> Heading:
        return Heading("Riddles you asked", self.context.player.name, counted(len(self.riddles), "riddle"))

    def keys(self) -> Sequence[Key]:
        back = Key("escape", "back", Pop)
        if not self.riddles:
            return (back,)
        return (Key("space", self.or_stop("hear it"), self._hear), Key("delete", "remove", self._remove), back)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        riddle = self._chosen
        if riddle is None:
            words, back, _ = rows(box, [look.height(NONE, box.w, "lead"), look.u(TARGET), None], look.u(20))
            button = columns(back, [look.u(260), None])[0]
            return [Label("none", words, NONE, "lead"), Button("back", button, "Back", Pop, main=True, key="escape")]
        left, right = columns(box, [box.w * 0.34, None], look.u(44))
        lines = [Row(one.name, _outcome(one)) for one in self.riddles]
        return [
            ListBox("riddles", left, lines, self._row, self._choose, self._hear, look.u(TARGET + 12)),
            *self._shown(look, right, riddle),
        ]

    def _shown(self, look: Look, box: Rect, riddle: Riddle) -> list[Widget]:
        words = self._words(riddle)
        # What is left is for the beats, as long as the fill above them can be read.
        left = box.h - look.line("title") - look.height(words, box.w) - look.u(TARGET) - look.u(4 * 10)
        name, told, notes, places, buttons, _ = rows(
            box,
            [look.line("title"), look.height(words, box.w), min(look.u(150), left // 2), min(look.u(170), left // 2),
             look.u(TARGET), None],
            look.u(10),
        )  # fmt: skip
        hear, remove = columns(buttons, [None, None], look.u(14))
        one = self._opened(riddle)
        return [
            Label("name", name, riddle.name, "title", bold=True, middle=True),
            Label("told", told, words),
            *([Picture("notes", notes, partial(self._draw, one))] if one else []),
            *self._said(look, places, riddle, one),
            Button("hear", hear, "Stop" if self.sounds else "Hear it", self._hear, key="space"),
            Button("remove", remove, "Remove", self._remove, key="delete"),
        ]

    def _words(self, riddle: Riddle) -> str:
        """Who was asked, and what came of it."""
        asked = f"Asked of {riddle.player}, {since_words(riddle.at, self.context.now())}."
        if riddle.answered is None:
            return f"{asked} Not answered yet: it waits on the page of their fills."
        when = since_words(riddle.answered, self.context.now())
        beats = counted(riddle.beats, "beat")
        told = f"{asked} {riddle.player} answered {when}: {riddle.right or 0} of {beats} right."
        return told if riddle.said else f"{told} What was said to each beat was not kept then."

    def _said(self, look: Look, box: Rect, riddle: Riddle, one: OpenedFill | None) -> list[Widget]:
        answer = answered(one.fill, riddle.said) if one else None
        return said_beats(look, box, answer, self.context.level) if answer else []

    def _draw(self, one: OpenedFill, canvas: Surface, look: Look, box: Rect) -> None:
        fill_picture(canvas, look, box, one.fill, one.setting, self.context.level.shown)

    def _choose(self, place: int) -> None:
        self._row = place
        self.loudspeaker.stop()

    def _hear(self) -> Next:
        riddle = self._chosen
        one = self._opened(riddle) if riddle else None
        if self.sounds:
            self.loudspeaker.stop()
        elif one:
            self.loudspeaker.play(hearing_of(one.fill, one.setting))
        return None

    def _remove(self) -> Next:
        riddle = self._chosen
        if riddle is None:
            return None

        def remove() -> Next:
            self.context.records.remove_riddle(riddle)
            self.riddles.remove(riddle)
            self._row = min(self._row, max(0, len(self.riddles) - 1))
            # Takes away the question, which lies over this page.
            return Pop()

        waits = "" if riddle.answered else f" It waits for {riddle.player} no longer."
        question = f"Remove the riddle {riddle.name}?{waits} Your fill stays."
        return Push(Dialog(self.context, question, "Keep it", "Remove", remove))


def _outcome(riddle: Riddle) -> str:
    return "waits" if riddle.answered is None else f"{riddle.right or 0} of {riddle.beats}"
