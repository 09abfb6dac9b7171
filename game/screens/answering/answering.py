"""The base of screens on which a bar is answered: its beats, its tiles, its keys, and where the focus goes.

``PlacesScreen`` is what a player alone and a class have in common, ``AnsweringScreen`` how a player alone answers.
"""

from collections.abc import Hashable, Mapping, Sequence
from functools import partial
from typing import Any

from pygame import Rect

from game.screens.base import Key
from game.screens.hearing.ruler_screen import RulerScreen
from game.sessions.answering.sheet import Places, Sheet
from game.widgets.base import Widget
from game.widgets.boxes import grid
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.notation import GIVEN, EngravedTile, FigureTile, Tiling, tile_layout, tiling
from game.widgets.stave import Stave
from game.wording import number_word
from shared.figures import Figure
from shared.levels import spelled
from shared.notation.engraved import INK, Layout


class PlacesScreen(RulerScreen):
    """A screen that fills the places of a bar, one after the other, by tiles of figures.

    Subclasses say ``places``, ``tiling``, ``tile``, ``pick`` and ``take_back``.
    """

    told = ""
    """A message that the player must read before going on; the next answer takes it away."""

    @property
    def places(self) -> Places[Any, Any]:
        """The places to be filled, and the cursor among them."""
        raise NotImplementedError

    @property
    def offered(self) -> Sequence[Figure]:
        """The figures that can be picked."""
        return self.context.level.figures

    @property
    def tile_keys(self) -> Sequence[str]:
        """The key of each figure of the level, in its order."""
        return self.context.bindings.tiles

    def pick(self, figure: Figure) -> Next:
        """Say a figure to the place at the cursor."""
        raise NotImplementedError

    def take_back(self) -> Next:
        """Undo the answer given last."""
        raise NotImplementedError

    def stepping_keys(self) -> tuple[Key, ...]:
        """The keys that move the cursor."""
        return (
            Key("left", "other beat", partial(self._step, -1), cap="Left Right"),
            Key("right", "next beat", partial(self._step, 1), shown=False),
        )

    def _step(self, step: int) -> Next:
        self.places.step(step)
        return None

    def place_state(self, places: Sequence[Hashable], answering: bool = True) -> str:
        """How a beat looks that these places belong to: ``current`` where the cursor is, ``filled`` or ``empty``."""
        if answering and self.places.place in places:
            return "current"
        return "filled" if all(map(self.places.said, places)) else "empty"

    def tiling(self, look: Look, box: Rect, gap: int) -> tuple[Tiling, Sequence[Layout]]:
        """How the tiles lie in the box, and what each of the figures on offer looks like."""
        raise NotImplementedError

    def tile(self, figure: Figure, cell: Rect, layout: Layout, plan: Tiling, key: str) -> EngravedTile:
        """The tile of a figure."""
        raise NotImplementedError

    def tiles(self, look: Look, box: Rect, gap: int) -> list[EngravedTile]:
        """The figures on offer, in the level's order; each has one key, however many are on offer."""
        # There are keys for the largest level: of a smaller one the last of them have no figure.
        keys = dict(zip(self.context.level.figures, self.tile_keys, strict=False))
        plan, layouts = self.tiling(look, box, gap)
        cells = grid(box, len(layouts), plan.across, gap, tallest=plan.high)
        return [
            self.tile(figure, cell, layout, plan, keys.get(figure, ""))
            for figure, cell, layout in zip(self.offered, cells, layouts, strict=True)
        ]


class AnsweringScreen(PlacesScreen):
    """A screen with a ``sheet`` for one player to answer on.  Subclasses say ``sheet``, ``given`` and ``hand_in``."""

    sure = False
    """Whether the player was told that beats are empty."""

    @property
    def sheet(self) -> Sheet[Figure]:
        """The sheet on which the bar at hand is answered."""
        raise NotImplementedError

    @property
    def places(self) -> Sheet[Figure]:
        return self.sheet

    @property
    def offered(self) -> Sequence[Figure]:
        return self.sheet.choices

    @property
    def given(self) -> Sequence[Figure | None]:
        """The figure on each beat that is not open; None where there is none to be shown."""
        raise NotImplementedError

    @property
    def inked(self) -> Mapping[int, Figure | None]:
        """The answers that stand on asked beats, open ones and, at a second try, those that were right."""
        return self.sheet.picks

    def hand_in(self) -> Next:
        """Take the sheet as it is."""
        raise NotImplementedError

    # What is seen

    def answering_keys(self) -> tuple[Key, ...]:
        """The keys for answering."""
        key = self.context.bindings.key
        return (
            Key(key("not sure"), "not sure", self.not_sure),
            Key(key("take back"), "take back", self.take_back),
            Key("return", "hand in", self.enter),
        )

    def answer_layout(self, stave: Stave) -> Layout:
        """The bar with what was said so far."""
        said = self.inked
        figures = [said.get(beat, figure) for beat, figure in enumerate(self.given)]
        return stave.layout(figures, [INK if beat in said else GIVEN for beat in range(len(figures))])

    def answer_staff(self, look: Look, ruler: Rect, stave: Stave) -> list[Widget]:
        """The bar on its staff, its open beats to be chosen."""
        layout = self.answer_layout(stave)
        places = stave.places(
            look, layout, self.sheet.asked, self.beat_state, self.sheet.go_to, self.try_to_hand_in,
            self.sheet.unsure,
        )  # fmt: skip
        return self.on_staff(look, stave, layout, ruler, places)

    def beat_state(self, beat: int) -> str:
        """How a beat that is open looks."""
        return self.place_state((beat,))

    def prompt(self) -> str:
        """The next thing to do, in a sentence."""
        if self.sheet.full:
            return "All said: hand in, or change a beat."
        beat, offered = self.sheet.place + 1, len(self.sheet.choices)
        if offered == len(self.context.level.figures):
            return f"Beat {beat}: which figure?"
        return f"Beat {beat}: which of these {number_word(offered)}?"

    def tiling(self, look: Look, box: Rect, gap: int) -> tuple[Tiling, Sequence[Layout]]:
        spellings = spelled(self.context.level)
        layouts = [tile_layout(figure, spellings[figure]) for figure in self.offered]
        return tiling(look, box, layouts, gap), layouts

    def tile(self, figure: Figure, cell: Rect, layout: Layout, plan: Tiling, key: str) -> FigureTile:
        sheet = self.sheet
        return FigureTile(
            f"tile {figure.count}", cell, layout, plan.space, plan.line, partial(self.pick, figure),
            figure == sheet.picks[sheet.place], key=key, out=figure == sheet.refused.get(sheet.place),
        )  # fmt: skip

    # Acts

    def pick(self, figure: Figure) -> Next:
        self.told, self.sure = "", False
        # With its time: how long each beat took tells the coach how sure it was.
        if self.sheet.pick(figure, self.context.now()):
            self._follow_cursor()
        elif self.sheet.refused.get(self.sheet.place) == figure:
            self.told = "That is what you said first: another one is right."
        return None

    def not_sure(self) -> Next:
        """Say "not sure" to the chosen beat."""
        self.told, self.sure = "", False
        self.sheet.not_sure(self.context.now())
        self._follow_cursor()
        return None

    def take_back(self) -> Next:
        self.told, self.sure = "", False
        self.sheet.take_back()
        self.set_focus(f"beat {self.sheet.place}")
        return None

    def _follow_cursor(self) -> None:
        """The focus goes with the cursor, unless it walks along the tiles."""
        # Whoever steers by arrows and Enter among the tiles would have to walk back after every pick.
        if self.sheet.full:
            self.set_focus("done")
        elif not isinstance(self.focused(), FigureTile):
            self.set_focus(f"beat {self.sheet.place}")

    def enter(self) -> Next:
        """Press what has the focus; where that is a beat, hand in."""
        focused = self.focused()
        return focused.press() if focused else self.try_to_hand_in()

    def try_to_hand_in(self) -> Next:
        """Hand in; with beats left empty only once the player was told."""
        missing = self.sheet.missing
        # Once told, a second Enter hands in: to leave a beat empty is allowed, by accident it should not happen.
        if missing and not self.sure:
            beats = ", ".join(str(beat + 1) for beat in missing)
            self.told, self.sure = f"Beats {beats} are empty. Enter again: hand in all the same.", True
            if len(missing) == 1:
                self.told = f"Beat {beats} is empty. Enter again: hand in all the same."
            return None
        self.told, self.sure = "", False
        return self.hand_in()
