"""The two pages of a first start: what a figure is, heard with the volume low; and who plays."""

from collections.abc import Sequence

from pygame import Rect

from game.records import RecordsError
from game.records.players import UNNAMED
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.settings.settings import volume_slider
from game.service import FIRST_LEVEL
from game.sessions.hearing.hearing import repeated
from game.sessions.practice.meeting import on_every_beat
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.comparison import Lit
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.lettering import lacking_words
from game.widgets.look import Look
from game.widgets.met import Met
from game.widgets.moves import Next, Pop
from game.widgets.notation import BeatPlace
from game.widgets.stave import stave_in
from game.widgets.text_field import TextField
from game.wording import sentence
from shared.bars import METERS, Bar
from shared.counting import parse_figure
from shared.levels import find_level
from shared.orchestration import Setting
from shared.spelling import spellings
from shared.sticking import STICKINGS

EXAMPLE = parse_figure("1 & a")
"""The figure that the first page shows and sounds."""

QUESTION = (parse_figure("1"), EXAMPLE, None, parse_figure("1 &"))
"""The bar of the second page: the figure that is missing is to be named."""

MISSING = "This is how a bar is asked: you hear all of it, and name the figure that is not written."

LOWEST, HIGHEST = 70, 150
"""The least height in which the bar is shown, and the most that it takes, in units."""

TEMPO, BARS = 60, 4
"""How it sounds: in beats a minute, and for how many bars."""

PAGES = (
    (
        "This is a figure: what is played in one beat",
        "Set the volume low first, on your loudspeaker or headphones too. Press H and count along; then turn up until "
        "it is easy to hear, and no louder. Drumlin plays bars of such figures, and you say which they were.",
    ),
    (
        "Ten minutes a day are enough",
        "Rest when your ears or your wrists tire: every bar you have answered is kept. If ears ring or wrists hurt, "
        "stop, and ask your teacher or a doctor. And this is practice: only an exam board says who passes.",
    ),
)
"""The title and the words of each page."""


class FirstStart(RulerScreen):
    """Two short pages, which can be skipped."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._page = 0
        self._name = Edited()
        self._refused = ""
        # Not again where a name was given before, as by `drumlin --player`.
        self._asked = context.player.name == UNNAMED
        self._lit: Lit = None
        self.focus = "hear"

    def heading(self) -> Heading:
        return Heading("Welcome to Drumlin", right=f"{self._page + 1} of {len(PAGES)}")

    def keys(self) -> Sequence[Key]:
        back = (Key("page up", "page before", self._back),) if self._page else ()
        on = Key("return", "begin", self._finish) if self._last else Key("page down", "next page", self._on)
        return (on, *back, Key("escape", "skip", self._finish))

    @property
    def _last(self) -> bool:
        return self._page == len(PAGES) - 1

    def tick(self, now: float) -> list[Rect]:
        areas = super().tick(now)
        lit, self._lit = self._lit, self.lit((EXAMPLE,))
        # The figure alone is painted again, with the stroke that sounds in colour.
        return areas if lit == self._lit else [*areas, *(one.rect for one in self.widgets if one.name == "figure")]

    def body(self, look: Look, box: Rect) -> list[Widget]:
        title, words = PAGES[self._page]
        # Larger type gets wider lines, so that the figure keeps its size.
        wide = min(box.w, round(box.w * 0.75 * look.type_factor))
        column = Rect(box.x + (box.w - wide) // 2, box.y + look.u(10), wide, box.h - look.u(10))
        height = look.height(words, column.w, "lead")
        head, text, middle, buttons, _ = rows(
            column, [look.line("title"), height, None, look.u(TARGET + 6), look.u(10)], look.u(24)
        )
        return [
            Label("title", head, title, "title", bold=True),
            Label("words", text, words, "lead"),
            *(self._who(look, middle) if self._last else self._heard(look, middle)),
            *self._buttons(look, buttons),
        ]

    def _heard(self, look: Look, box: Rect) -> list[Widget]:
        figure, controls = rows(box, [None, look.u(TARGET)], look.u(20))
        hear, label, volume = columns(controls, [look.u(220), look.width("Volume") + look.u(4), None], look.u(30))
        hands = tuple(STICKINGS["natural"](Bar(METERS["4/4"], (EXAMPLE,) * 4), self.context.settings.hand)[0])
        return [
            Met(
                "figure", figure, [(EXAMPLE, spellings(EXAMPLE)[0])], [""], lambda: self._lit, look.u(24),
                hands=[hands],
            ),
            Button("hear", hear, "Hear it", self._hear, key="h", lit=self.sounds),
            Label("volume label", label, "Volume", middle=True),
            volume_slider(self.context, volume),
        ]  # fmt: skip

    def _who(self, look: Look, box: Rect) -> list[Widget]:
        refusal = self._refused or lacking_words(self._name.text)
        below = [look.height(refusal, box.w, bold=True)] if refusal else []
        name, hands, *refused, told, bar = rows(
            box, [look.u(TARGET), look.u(TARGET), *below, look.height(MISSING, box.w), None], look.u(12)
        )
        left, change = (("R", "Right hand leads"), ("L", "Left hand leads")), self.context.change_settings
        found: list[Widget] = []
        if self._asked:
            found.append(
                TextField(
                    "name", name, look, self._name, self._write, self._finish, "Your name", faulty=bool(self._refused)
                )
            )
        return [
            *found,
            Choice("hand", hands, left, self.context.settings.hand, lambda hand: change(hand=hand)),
            *(Label("refused", place, refusal, colour="warn", bold=True) for place in refused),
            *self._bar(look, told, bar),
        ]

    def _bar(self, look: Look, told: Rect, box: Rect) -> list[Widget]:
        """A bar as practice asks it, where there is room to read it."""
        if box.h < look.u(LOWEST):
            return []
        box = Rect(box.x, box.y, box.w, min(box.h, look.u(HIGHEST)))
        stave = stave_in(look, find_level(FIRST_LEVEL), box)
        layout = stave.layout(QUESTION)
        place = stave.span(layout, QUESTION.index(None)).inflate(-look.u(9), 0)
        return [
            Label("told", told, MISSING),
            # To be looked at: nothing is asked yet.
            BeatPlace("missing", place, _nothing, "current", focusable=False),
            stave.staff(layout),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        on, skip, _ = columns(box, [look.u(220), look.u(220), None], look.u(30))
        if self._last:
            return [Button("begin", on, "Begin", self._finish, main=True)]
        return [Button("on", on, "Next", self._on, main=True), Button("skip", skip, "Skip", self._finish)]

    def _write(self, text: Edited) -> None:
        self._name, self._refused = text, ""

    def _hear(self) -> Next:
        if self.sounds:
            self.loudspeaker.stop()
        else:
            setting = self.context.heard(Setting(tempo=TEMPO))
            self.loudspeaker.play(repeated(on_every_beat(EXAMPLE, METERS["4/4"], setting), BARS))
            # So that Enter, pressed again, leads on instead of stopping what was just begun.
            self.set_focus("on")
        return None

    def _on(self) -> Next:
        self._page = min(self._page + 1, len(PAGES) - 1)
        self.focus = ("on", "name")[self._page]
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
                self._refused, self.focus = sentence(str(error)), "name"
                return None
        # Read or skipped: nobody is welcomed twice.
        self.context.change_settings(first_start_done=True)
        return Pop()


def _nothing() -> Next:
    return None
