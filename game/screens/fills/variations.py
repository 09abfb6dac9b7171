"""Variations of a fill: each by one step, heard by one key, taken by another."""

from collections.abc import Callable, Sequence
from functools import partial

from pygame import Rect, Surface

from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.sessions.fills.heard import hearing_of
from game.sessions.fills.known import known_figures
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.texts import facts
from game.wording import counted
from shared.fills import Fill
from shared.levels import Level
from shared.orchestration import Setting
from shared.variations import Variation, variations

NONE = (
    "No variation by one step of your figures can be played at this tempo. Try it slower, or write more into the fill."
)


class VariationsPage(RulerScreen):
    """The fills that one step makes of a fill, of figures that the player holds and one in work.

    ``take`` is handed the variation that is chosen.
    """

    def __init__(
        self, context: Context, fill: Fill, setting: Setting, kept: Sequence[Fill], level: Level,
        take: Callable[[Fill], None],
    ) -> None:  # fmt: skip
        super().__init__(context)
        self._fill, self._setting, self._kept_fills, self._level, self._take = fill, setting, kept, level, take
        self.found: tuple[Variation, ...] = ()
        self._row = 0
        self._heard: Fill | None = None
        self.focus = "variations"

    def entered(self) -> None:
        figures = known_figures(self._level, self.context.standing(self._level), self.context.now())
        # Figures that the fill has already are the player's own choice, whatever the level says of them.
        allowed = (*figures, *filter(None, self._fill.figures))
        setting = self._setting
        # Drawn when the page is seen, not when it is made: the standing may take a replay of the log.
        self.found = variations(self._fill, allowed, setting.tempo, self._kept_fills, setting.lead)
        self.stale = True

    def heading(self) -> Heading:
        right = counted(len(self.found), "variation")
        return Heading("Variations", self.context.tempo_words(self._setting.tempo, self._fill.meter), right)

    def keys(self) -> Sequence[Key]:
        if not self.found:
            return (Key("escape", "back", Pop),)
        return (
            Key("space", self._or_stop("hear it", self.found[self._row].fill), self._hear),
            Key("w", self._or_stop("as it was", self._fill), self._hear_present),
            Key("return", "take it", self._take_it),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        if not self.found:
            words, button, _ = rows(box, [look.height(NONE, box.w, "lead"), look.u(TARGET), None], look.u(24))
            back = columns(button, [look.u(260), None])[0]
            return [Label("none", words, NONE, "lead"), Button("back", back, "Back", Pop, main=True, key="escape")]
        left, right = columns(box, [box.w * 0.36, None], look.u(40))
        lines = [Row(one.says.capitalize()) for one in self.found]
        chosen = self.found[self._row]
        name, notes, told, buttons, _ = rows(
            right,
            [look.line("title"), look.u(230), look.line("small") + look.line() + look.u(8), look.u(TARGET), None],
            look.u(16),
        )
        hear, present, take = columns(buttons, [None, None, None], look.u(14))
        known = [
            ("What is done", chosen.step),
            ("Difficulty", f"{chosen.difficulty} of 10"),
            (
                "Unlike your fills",
                "very" if chosen.novelty >= 1 else "somewhat" if chosen.novelty >= 0.4 else "a little",
            ),
        ]
        return [
            ListBox("variations", left, lines, self._row, self._choose, self._take_it, look.u(TARGET - 6)),
            Label("name", name, chosen.says.capitalize(), "title", bold=True, middle=True),
            Picture("notes", notes, partial(self._draw, chosen.fill)),
            *facts(look, told, known, 3),
            Button("hear", hear, self._or_stop("Hear it", chosen.fill).capitalize(), self._hear, key="space"),
            Button(
                "present", present, self._or_stop("As it was", self._fill).capitalize(), self._hear_present, key="w"
            ),
            Button("take", take, "Take it", self._take_it, main=True, key="return"),
        ]

    def _draw(self, fill: Fill, canvas: Surface, look: Look, box: Rect) -> None:
        fill_picture(canvas, look, box, fill, self._setting, self.context.level.shown)

    def _choose(self, place: int) -> None:
        self._row = place
        self.loudspeaker.stop()

    def _or_stop(self, words: str, fill: Fill) -> str:
        """What the key that lets a fill be heard does now."""
        return self.or_stop(words) if self._heard == fill else words

    def _hear(self) -> Next:
        return self._play(self.found[self._row].fill)

    def _hear_present(self) -> Next:
        return self._play(self._fill)

    def _play(self, fill: Fill) -> Next:
        if self.sounds and self._heard == fill:
            self.loudspeaker.stop()
        else:
            self._heard = fill
            self.loudspeaker.play(hearing_of(fill, self._setting))
        return None

    def _take_it(self) -> Next:
        self._take(self.found[self._row].fill)
        # Back on the desk, which shows what was taken.
        return Pop()
