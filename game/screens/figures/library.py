"""The figure library: each figure with all its names, its sound, and what it is mixed up with."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pygame import Rect, Surface

from game.engraving.surface import fit
from game.records import Wanted
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.sessions.figures.library import WAYS, bar_of, meter_of, neighbours
from game.sessions.hearing.hearing import whole_bar
from game.sessions.hearing.listening import EXACT
from game.sessions.progress.hands import VERBS, FigureAbilities, abilities
from game.widgets.base import Act, Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.figure_grid import FigureGrid, cells_for
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.notation import FigureTile, Staff, draw_layout, line_in, tile_layout
from game.widgets.ruler import Ruler
from game.widgets.text_field import TextField
from game.widgets.texts import facts
from shared.bars import Bar, meter_for
from shared.figures import Figure
from shared.levels import spelling_in, vocabulary
from shared.names import note_names
from shared.notation.engraved import Layout, reach
from shared.notation.page import lay_out_figure
from shared.orchestration import Setting
from shared.spelling import spellings
from shared.sticking import STICKINGS
from shared.syllables import SYSTEM_NAMES, SYSTEMS

LEAST_SPELLINGS = 30
"""The least height in which other spellings can be read, in units."""

LARGEST_SPACE = 20.0
"""The largest staff space of the figure at hand, in units."""

LATEST_ANSWERS = 3000
"""So many of the player's latest answers tell how firm each figure is."""

LONGEST_WORD = 40
SHELVES = (("level", "This level"), ("all", "All figures"))
NEIGHBOUR_KEYS = "abc"
COUNT = "number"
IN_TURN = "In turn"
WAY_SHARES = (0.19, 0.22, 0.32, 0.27)
"""The widths of the buttons of ``WAYS``, by their words."""


@dataclass(frozen=True)
class Shown:
    """The part of the page that follows the sound: its word, and the other of two figures while it is its turn."""

    caption: str = ""
    other: Figure | None = None


def open_library(context: Context) -> "Library":
    """The figures, with what the player's coach expects each to be mixed up with, and how firm each is."""
    # The latest tell how firm a figure is now, and nobody waits for a long log.
    answers = context.records.answers(context.player, Wanted(last=LATEST_ANSWERS))
    return Library(context, context.coach().confusion(), abilities(vocabulary().figures, answers))


class Library(RulerScreen):
    """The figures of the level, or all there are.

    ``confusion`` (K, K) is what the player is likely to say on hearing each of the level's figures; ``tried`` are
    the figures with how firmly this player hears, reads and plays them.
    """

    def __init__(self, context: Context, confusion: NDArray[np.float64], tried: Sequence[FigureAbilities] = ()) -> None:
        super().__init__(context)
        self._confusion = confusion
        self._tried = {one.figure: one for one in tried}
        self._shelf = "level"
        self.figure = context.level.figures[0]
        self._way = "alone"
        self._turn: Figure | None = None
        self._shown = Shown()
        tempo = context.level.tempo
        # Slowest, middle and fastest of the level; a set, for in some levels two of them are the same.
        self._tempi = sorted({round(tempo.low), round((tempo.low + tempo.high) / 2), round(tempo.high)})
        self.tempo = self._tempi[0]
        self._word: Edited | None = None
        self.focus = "figures"

    @property
    def _figures(self) -> tuple[Figure, ...]:
        return self.context.level.figures if self._shelf == "level" else vocabulary().figures

    @property
    def _bar(self) -> Bar:
        return bar_of(meter_of(self.figure, self.context.level.meter), self.figure)

    @property
    def _setting(self) -> Setting:
        """How a figure is played: on its own, it is exact."""
        return self.context.heard(Setting(tempo=self.tempo), EXACT)

    def heading(self) -> Heading:
        return Heading("Figures", self.context.level.title, f"{len(self._figures)} figures")

    def keys(self) -> Sequence[Key]:
        if self._word is not None:
            return (
                Key("return", "keep the word", self._take_word),
                Key("escape", "leave the word as it was", self._stop_writing),
            )
        shelf = "all figures" if self._shelf == "level" else "this level"
        return (
            Key("space", "hear it", self._hear),
            Key("v", shelf, self._other_shelf),
            Key("m", "your own word", self._write_word),
            Key("escape", "back", Pop),
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.36, None], look.u(36))
        return [*self._shelves(look, left), *self._page(look, right)]

    def _shelves(self, look: Look, box: Rect) -> list[Widget]:
        shelf, figures, tempo = rows(box, [look.u(TARGET), None, look.u(TARGET)], look.u(16))
        words, choice = columns(tempo, [tempo.w * 0.3, None], look.u(12))
        layouts = [tile_layout(figure, spelling_in(self.context.level, figure)) for figure in self._figures]
        options = [(str(tempo), str(tempo)) for tempo in self._tempi]
        return [
            Choice("shelf", shelf, SHELVES, self._shelf, self._show),
            FigureGrid(
                "figures", figures, layouts, cells_for(look, figures, layouts), self._figures.index(self.figure),
                self._choose, self._hear,
            ),
            Label("tempo words", words, "Tempo", middle=True),
            Choice("tempo", choice, options, str(self.tempo), self._set_tempo),
        ]  # fmt: skip

    def _page(self, look: Look, box: Rect) -> list[Widget]:
        ruler, notes, told, hear, title, tiles = rows(
            box,
            [look.u(32), look.u(196), 2 * (look.line("small") + look.line()) + look.u(10), look.u(TARGET), look.line(),
             None],
            look.u(12),
        )  # fmt: skip
        return [
            *self._notes(look, ruler, notes),
            *self._facts(look, told),
            *self._ways(look, hear),
            Label("mix-ups", title, "Likeliest mix-ups: hear this one, then the other", colour="quiet", middle=True),
            *self._neighbours(look, tiles),
        ]

    def _notes(self, look: Look, ruler: Rect, box: Rect) -> list[Widget]:
        picture, others = columns(box, [box.w * 0.46, None], look.u(32))
        written = spelling_in(self.context.level, self.figure)
        named = note_names(written, self.context.settings.terms)
        names, others = rows(others, [min(look.height(named, others.w), look.line() * 3), None], look.u(10))
        layout = lay_out_figure(self.figure, written, hands=self._hands())
        space = min(fit([layout], picture.w, picture.h), look.u(LARGEST_SPACE))
        line = picture.y + line_in(picture.h, [layout], space)
        over = Rect(ruler.x, ruler.y, picture.w, ruler.h)
        beside = Rect(names.x, ruler.y, names.w, ruler.h)
        return [
            self._ruler(look, layout, over, space),
            Staff("notes", picture, layout, space, picture.x, line),
            Label("sounds", beside, self._shown.caption, "small", bold=True, colour="accent", middle=True),
            Label("names", names, named),
            *self._other_spellings(look, others),
        ]

    def _ruler(self, look: Look, layout: Layout, box: Rect, space: int) -> Ruler:
        def column(beats: float) -> int:
            # The bar repeats one figure, which is drawn once: the mark begins anew with each beat.
            return box.x + round(layout.column(0, beats % 1) * space)

        self.follow(column, box, look)
        return Ruler("ruler", box, (column(0),), box.x + round(layout.width * space), box.w, self.where)

    def _other_spellings(self, look: Look, box: Rect) -> list[Widget]:
        usual = spelling_in(self.context.level, self.figure)
        ways = [way for way in spellings(self.figure) if way.code != usual.code]
        others = [tile_layout(self.figure, way, count=False) for way in ways]
        caption, pictures = rows(box, [look.line(), None], look.u(4))
        if others and pictures.h < look.u(LEAST_SPELLINGS):
            return []
        words = "Also written" if others else "Written in one way only"
        found: list[Widget] = [Label("also", caption, words, colour="quiet", middle=True)]
        if others:
            found.append(Picture("others", pictures, lambda canvas, look, area: _draw_all(canvas, look, area, others)))
        return found

    def _facts(self, look: Look, box: Rect) -> list[Widget]:
        # The count stands under the notes, large.
        told = [(title, SYSTEMS[name](self.figure) or "none") for name, title in SYSTEM_NAMES.items() if name != COUNT]
        tried = self._tried[self.figure].abilities
        told += [
            ("Sticking", " ".join(self._hands()) or "none"),
            *((VERBS[one.name].capitalize(), one.words()) for one in tried),
            ("To remember", self._memory_word() or "none"),
        ]
        found: list[Widget] = [*facts(look, box, told, 4)]
        if self._word is not None:
            # The field takes the place of the word.
            area = found.pop().rect
            found.append(
                TextField("word", area, look, self._word, self._change_word, self._take_word, "A word", LONGEST_WORD)
            )
        return found

    def _ways(self, look: Look, box: Rect) -> list[Widget]:
        gap = look.u(12)
        cells = columns(box, [(box.w - 3 * gap) * share for share in WAY_SHARES], gap)
        return [
            Button(f"way {name}", cell, title, self._hears(name), main=name == self._way, key=str(number))
            for number, (cell, (name, (title, _))) in enumerate(zip(cells, WAYS.items(), strict=True), 1)
        ]

    def _neighbours(self, look: Look, box: Rect) -> list[Widget]:
        box = Rect(box.x, box.y, box.w, min(box.h, look.u(150)))
        cells = columns(box, [None] * len(NEIGHBOUR_KEYS), look.u(14))
        # The coach knows the level's figures alone: among all there are, what sounds alike decides.
        found = neighbours(self.figure, self._figures, self._confusion if self._shelf == "level" else None)
        layouts = [tile_layout(figure, spelling_in(self.context.level, figure)) for figure in found]
        if not layouts:
            return []
        space = min(fit(layouts, cells[0].w - look.u(44), box.h - look.u(6)), look.u(11))
        line = line_in(box.h, layouts, space)
        return [
            FigureTile(
                f"neighbour {key}", cell, layout, space, line, self._hears_in_turn(figure),
                chosen=figure == self._shown.other, key=key,
            )
            # There are fewer rivals than keys on a level of two or three figures.
            for key, cell, layout, figure in zip(NEIGHBOUR_KEYS, cells, layouts, found, strict=False)
        ]  # fmt: skip

    # What is known of a figure

    def _hands(self) -> tuple[str, ...]:
        settings = self.context.settings
        bar = Bar(meter_for(1, self.figure.compound), (self.figure,))
        return STICKINGS[settings.sticking](bar, settings.hand)[0]

    def _memory_word(self) -> str:
        level, count = self.context.level, self.figure.count
        # A level that has the figure without a word was made so by its teacher: the shipped word stays out of it.
        shipped = vocabulary().words.get(self.figure, "") if self.figure not in level.figures else ""
        return self.context.settings.words.get(count) or level.words.get(self.figure, shipped)

    # Acts

    def _show(self, shelf: str) -> None:
        self._shelf = shelf
        if self.figure not in self._figures:
            self._choose(0)

    def _other_shelf(self) -> Next:
        self._show("all" if self._shelf == "level" else "level")
        return None

    def _choose(self, place: int) -> None:
        self.figure = self._figures[place]
        self._turn = None
        # What still sounds belongs to the figure before.
        self.loudspeaker.stop()

    def _set_tempo(self, tempo: str) -> None:
        self.tempo = int(tempo)

    def _hears(self, way: str) -> Act:
        def act() -> Next:
            self._way = way
            return self._hear()

        return act

    def _hear(self) -> Next:
        title, heard = WAYS[self._way]
        self._turn = None
        self.loudspeaker.play(heard(self._bar, self._setting, title))
        return None

    def _hears_in_turn(self, other: Figure) -> Act:
        def act() -> Next:
            self._turn = other
            bar = bar_of(self._bar.meter, self.figure, other)
            self.loudspeaker.play(whole_bar(bar, self._setting, IN_TURN))
            return None

        return act

    # The mark

    def tick(self, now: float) -> list[Rect]:
        shown = self._what_sounds()
        if shown != self._shown:
            self._shown, self.stale = shown, True
        return super().tick(now)

    def where(self) -> tuple[str, int | None]:
        """The mark alone, which leaves while the other of two figures sounds; the word stands beside it."""
        _, column = super().where()
        return "", None if self._what_sounds().other else column

    def _what_sounds(self) -> Shown:
        moment = self.loudspeaker.moment()
        if moment is None:
            return Shown()
        # The two take turns beat by beat: on every second beat it is the other's turn.
        others_turn = moment.caption == IN_TURN and moment.beats is not None and int(moment.beats) % 2 == 1
        return Shown(moment.caption, self._turn if others_turn else None)

    # The player's own word

    def _write_word(self) -> Next:
        self._word, self.focus = Edited.selected_whole(self._memory_word()), "word"
        return None

    def _change_word(self, word: Edited) -> None:
        self._word = word

    def _stop_writing(self) -> Next:
        self._word, self.focus = None, "figures"
        return None

    def _take_word(self) -> Next:
        """Keep the word; an empty one brings the level's own back."""
        words, text = dict(self.context.settings.words), self._word.text.strip() if self._word else ""
        words.pop(self.figure.count, None)
        if text:
            words[self.figure.count] = text
        self.context.change_settings(words=words)
        return self._stop_writing()


def _draw_all(canvas: Surface, look: Look, box: Rect, layouts: Sequence[Layout]) -> None:
    """Draw layouts in lines from the left, as large as they all fit."""
    wide = max(layout.width for layout in layouts) + 1
    above, below = (spaces + 0.5 for spaces in reach(layouts))
    sizes = []
    # As many lines as let the notes be largest; more than three would be too small to be read in any case.
    for lines in (1, 2, 3):
        across = -(-len(layouts) // lines)
        sizes.append((int(min(box.w / across / wide, box.h / lines / (above + below))), across))
    space, across = max(sizes)
    space = max(1, min(space, look.u(9)))
    for k, layout in enumerate(layouts):
        row, place = divmod(k, across)
        line = box.y + round((row * (above + below) + above) * space)
        draw_layout(canvas, look, layout, (box.x + round(place * wide * space), line), space)
