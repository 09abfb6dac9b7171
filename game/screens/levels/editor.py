"""Editing a level: every value with its faults in place; nothing is saved while there are any."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from pygame import Rect, Surface

from game.records import RecordsError
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.levels.files import write_level
from game.screens.notices.dialog import Dialog
from game.sessions.levels.draft import GROOVES, PLACES, LevelDraft, checked, draft_of, preview_level, short_value
from game.widgets import lettering
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.figure_grid import FigureGrid, cells_for
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import figure_line, tile_layout
from game.widgets.text_field import TextField
from game.wording import counted
from shared.bars import METERS
from shared.figures import Figure
from shared.files import FileError
from shared.level_keys import KEYS, Kind
from shared.levels import Level, spelling_in, vocabulary, word_remarks
from shared.orchestration import ORCHESTRATIONS
from shared.spelling import spellings

WITH_FIGURES = (Kind.FIGURES, Kind.BY_FIGURE)
"""The kinds of value whose control shows the figures, so that no preview is needed."""

FEW_FAULTS = 3


class LevelEditor(Screen):
    """One of the teacher's own levels, to be changed."""

    def __init__(self, context: Context, level: Level) -> None:
        super().__init__(context)
        self.draft = self._saved = draft_of(level)
        self._place = PLACES[0]
        self.edited = Edited.at_end(level.title)
        self._figure = self._tick = self._choice = 0
        self._told = ""
        self.focus = "places"
        self._check()

    def heading(self) -> Heading:
        count = sum(map(len, self._faults.values()))
        state = counted(count, "fault") if count else "no faults"
        return Heading("Edit a level", self._saved.texts["title"], state)

    def keys(self) -> Sequence[Key]:
        # S saves outside the fields of text, Ctrl+S everywhere; the foot shows the one that always works.
        return (Key("s", "save", self._save, cap="Ctrl S"), Key("escape", "back", self._leave))

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.36, None], look.u(40))
        places, told, save = rows(left, [None, look.line("small") * 2, look.u(TARGET)], look.u(10))
        return [
            ListBox(
                "places", places, [self._row(place) for place in PLACES], PLACES.index(self._place), self._choose,
                self._to_control, look.u(TARGET - 8),
            ),
            *self._edit(look, right),
            Label("told", told, self._told or self._state(), "small", bool(self._told), middle=True),
            Button("save", save, "Save", self._save, main=not self._faults),
        ]  # fmt: skip

    def _row(self, place: str) -> Row:
        remark = "fault" if place in self._faults else short_value(self.draft, place)
        return Row(KEYS[place].title, remark)

    def _state(self) -> str:
        return "Nothing is saved while there are faults." if self._faults else ""

    def _edit(self, look: Look, box: Rect) -> list[Widget]:
        told = KEYS[self._place]
        preview = told.kind not in WITH_FIGURES
        wrong = self._fault_words()
        # More room only where the words could else not be read: it is taken from what is being edited.
        readable = round(lettering.READABLE * look.type_size("small"))
        fault = max(look.line("small") * 5, lettering.fit(wrong, (box.w, 100_000), readable, True).height)
        title, hint, control, faults, notes = rows(
            box, [look.line("lead"), look.line("small") * 2, None, fault, look.u(130) if preview else 1], look.u(10)
        )
        found: list[Widget] = [
            Label("title", title, told.title, "lead", bold=True, middle=True),
            Label("hint", hint, told.about, "small", colour="quiet"),
            *self._control(look, control),
            Label("faults", faults, wrong, "small", bold=True, colour="warn"),
        ]
        if preview and self._level.figures:
            found.append(Picture("preview", notes, partial(_draw_figures, self._level)))
        return found

    def _fault_words(self) -> str:
        # Without the file, which for a draft is only its name.
        faults = [str(replace(fault, file="")) for fault in self._faults.get(self._place, ())]
        more = len(faults) - FEW_FAULTS
        return "\n".join([*faults[:FEW_FAULTS], *([f"and {more} more"] if more > 0 else [])])

    def _control(self, look: Look, box: Rect) -> list[Widget]:
        if self._place == "spelling":
            return self._spellings(look, box)
        kinds: dict[Kind, Callable[[Look, Rect], list[Widget]]] = {
            Kind.METER: self._meter, Kind.FIGURES: self._figures, Kind.BY_FIGURE: self._words,
            Kind.ORCHESTRATIONS: self._ticks, Kind.GROOVES: self._ticks,
        }  # fmt: skip
        return kinds.get(KEYS[self._place].kind, self._text)(look, box)

    def _text(self, look: Look, box: Rect) -> list[Widget]:
        high = box.h if self._place == "about" else look.u(TARGET)
        area = Rect(box.x, box.y, box.w, min(box.h, high))
        faulty = self._place in self._faults
        return [TextField("control", area, look, self.edited, self._type, self._to_places, "", 1000, faulty)]

    def _meter(self, look: Look, box: Rect) -> list[Widget]:
        area = Rect(box.x, box.y, box.w, look.u(TARGET))
        return [Choice("control", area, [(name, name) for name in METERS], self.draft.texts["meter"], self._set_meter)]

    def _figures(self, look: Look, box: Rect) -> list[Widget]:
        text, grid = rows(box, [look.u(TARGET) + 2 * look.line(), None], look.u(14))
        figures = self._known
        places = {figure: place for place, figure in enumerate(figures)}
        ticked = frozenset(places[figure] for figure in self.draft.listed(self._place))
        layouts = [tile_layout(figure, spelling_in(self._level, figure)) for figure in figures]
        faulty = self._place in self._faults
        return [
            TextField(
                "control", text, look, self.edited, self._type, self._to_places, "Counts with commas", 1000, faulty
            ),
            FigureGrid(
                "figures", grid, layouts, cells_for(look, grid, layouts), min(self._figure, len(figures) - 1),
                self._choose_figure, self._tick_figure, ticked,
            ),
        ]  # fmt: skip

    def _ticks(self, look: Look, box: Rect) -> list[Widget]:
        values = getattr(self.draft, self._place)
        lines = [Row(words, "asked" if value in values else "left out") for value, words in self._options()]
        return [ListBox("control", box, lines, self._tick, self._choose_tick, self._toggle, look.u(TARGET - 8))]

    def _spellings(self, look: Look, box: Rect) -> list[Widget]:
        found, below = self._of_figures(look, box)
        if self._own_figure is not None:
            ways = spellings(self._own_figure)
            layouts = [tile_layout(self._own_figure, way, count=False) for way in ways]
            codes = [way.code for way in ways]
            ticked = frozenset({codes.index(spelling_in(self._level, self._own_figure).code)})
            chosen = min(self._choice, len(ways) - 1)
            cells = cells_for(look, below, layouts)
            found.append(FigureGrid("ways", below, layouts, cells, chosen, self._choose_way, self._spell, ticked))
        return found

    def _words(self, look: Look, box: Rect) -> list[Widget]:
        found, below = self._of_figures(look, box)
        if self._own_figure is not None:
            area, remark, _ = rows(below, [look.u(TARGET), look.line("small"), None], look.u(8))
            shipped = vocabulary().words.get(self._own_figure, "")
            empty = f"as shipped: {shipped}" if shipped else "a word"
            found.append(TextField("word", area, look, self.edited, self._type_word, self._to_control, empty, 60))
            found.append(Label("remark", remark, self._remark(), "small", colour="quiet", middle=True))
        return found

    def _remark(self) -> str:
        """A remark on the word of the chosen figure, where something about it may be odd."""
        figure = self._own_figure
        words = {figure: self.edited.text.strip()} if figure else {}
        remarks = word_remarks(replace(self._level, words=words), "")
        return remarks[0].found if remarks else ""

    def _of_figures(self, look: Look, box: Rect) -> tuple[list[Widget], Rect]:
        """The level's own figures to choose from, and the box below them."""
        upper, below = rows(box, [box.h * 0.6, None], look.u(18))
        figures = self._level.figures
        if not figures:
            return [], below
        layouts = [tile_layout(figure, spelling_in(self._level, figure)) for figure in figures]
        chosen = min(self._figure, len(figures) - 1)
        cells = cells_for(look, upper, layouts)
        return [FigureGrid("control", upper, layouts, cells, chosen, self._choose_figure, self._to_entry)], below

    # What is there

    def _check(self) -> None:
        """Find the faults, and the level as far as it can be drawn."""
        _, self._faults = checked(self.draft)
        self._level = preview_level(self.draft)

    @property
    def _known(self) -> list[Figure]:
        """The level's figures, then all others of its kind of beat."""
        compound = self.draft.compound
        others = [figure for figure in vocabulary().figures if figure.compound == compound]
        lists = (place for place, key in KEYS.items() if key.kind is Kind.FIGURES)
        own = [figure for place in lists for figure in self.draft.listed(place)]
        return list(dict.fromkeys([*own, *others]))

    @property
    def _own_figure(self) -> Figure | None:
        figures = self._level.figures
        # The one at hand may have been taken out of the level since.
        return figures[min(self._figure, len(figures) - 1)] if figures else None

    def _options(self) -> list[tuple[str | int, str]]:
        if self._place == "groove_bars":
            return list(GROOVES)
        return [(name, name.replace("-", " ").capitalize()) for name in ORCHESTRATIONS]

    # Acts

    def _choose(self, number: int) -> None:
        self._place, self._told = PLACES[number], ""
        self._figure = self._tick = self._choice = 0
        self._show_text()

    def _show_text(self) -> None:
        """Bring the text of the place, or the word of the figure, into its field."""
        if self._place == "words":
            count = self._own_figure.count if self._own_figure else ""
            self.edited = Edited.at_end(self.draft.words.get(count, ""))
        else:
            self.edited = Edited.at_end(self.draft.texts.get(self._place, ""))

    def _to_control(self) -> Next:
        self.set_focus("control")
        return None

    def _to_places(self) -> Next:
        self.set_focus("places")
        return None

    def _to_entry(self) -> Next:
        self.set_focus("ways" if self._place == "spelling" else "word")
        return None

    def _change(self, draft: LevelDraft) -> None:
        self.draft, self._told = draft, ""
        self._check()

    def _type(self, edited: Edited) -> None:
        self.edited = edited
        # A caret that only moved comes here too, and gives nothing to check.
        if edited.text != self.draft.texts[self._place]:
            self._change(self.draft.with_text(self._place, edited.text))

    def _set_meter(self, meter: str) -> None:
        self._change(self.draft.with_text("meter", meter))

    def _choose_figure(self, place: int) -> None:
        self._figure, self._choice = place, 0
        if self._place == "words":
            self._show_text()

    def _tick_figure(self) -> Next:
        figure = self._known[self._figure]
        self._change(self.draft.with_figure(self._place, figure))
        # A tick can move the figure in the list: the choice goes with it.
        self._figure = self._known.index(figure)
        self._show_text()
        return None

    def _choose_tick(self, place: int) -> None:
        self._tick = place

    def _toggle(self) -> Next:
        if self._place == "groove_bars":
            self._change(self.draft.with_groove(GROOVES[self._tick][0]))
        else:
            self._change(self.draft.with_orchestration(list(ORCHESTRATIONS)[self._tick]))
        return None

    def _choose_way(self, place: int) -> None:
        self._choice = place

    def _spell(self) -> Next:
        """Write the figure in the chosen way; the usual one needs no entry."""
        figure = self._own_figure
        assert figure is not None
        code = spellings(figure)[self._choice].code if self._choice else ""
        self._change(self.draft.with_entry("spelling", figure, code))
        return None

    def _type_word(self, edited: Edited) -> None:
        self.edited = edited
        if self._own_figure is not None:
            self._change(self.draft.with_entry("words", self._own_figure, edited.text.strip()))

    def _save(self) -> Next:
        # Once more, for the level itself: while it is typed only its faults are kept.
        level, faults = checked(self.draft)
        if level is None:
            self._told = "Nothing was saved: mend what is marked as a fault first."
            self._choose_faulty(next(iter(faults)))
            return None
        try:
            write_level(self.context, level)
        except (FileError, RecordsError) as error:
            self._told = str(error)
        else:
            self._saved, self._told = self.draft, "Saved."
        return None

    def _choose_faulty(self, place: str) -> None:
        """Bring the focus to what is wrong: it stays where it is in a field that is."""
        # Choosing a place takes away what is told.
        told = self._told
        if self._place not in self._faults:
            self._choose(PLACES.index(place))
            self.focus = "control"
        elif self.focus in ("places", "save"):
            self.focus = "control"
        self._told = told

    def _leave(self) -> Next:
        if self.draft == self._saved:
            return Pop()
        question = "Go back without saving? What you changed would be lost."
        return Push(Dialog(self.context, question, "Stay", "Go back", lambda: Pop(self)))


def _draw_figures(level: Level, canvas: Surface, look: Look, box: Rect) -> None:
    figure_line(canvas, look, box, level)
