"""Writing a bar of one's own: figures beat by beat or a typed count, engraved at once and played any way."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.records import OwnBar, RecordsError
from game.records.players import name_key
from game.screens.bars.files import BarFiles
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.sessions.bars.writing import Draft, blank, draft_of, kept
from game.sessions.hearing.hearing import whole_bar
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Choice, Slider
from game.widgets.editing import Edited
from game.widgets.figure_grid import FigureGrid, cells_for
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import tile_layout
from game.widgets.stave import Stave, stave_in
from game.widgets.text_field import TextField
from shared.bars import METERS, Bar, Meter
from shared.figures import Figure
from shared.levels import Level, spelled, vocabulary
from shared.notation.engraved import Layout
from shared.orchestration import MOST_GROOVE_BARS, ORCHESTRATIONS, Setting
from shared.sticking import STICKINGS
from shared.swing import MOST_SWING, STRAIGHT

SLOWEST, FASTEST = 20, 300
"""The tempi of the slider, in beats a minute."""

HANDS = (("R", "Right"), ("L", "Left"))
CLICKS = ((False, "No click"), (True, "Click"))
GROOVES = tuple((bars, str(bars) if bars else "None") for bars in range(MOST_GROOVE_BARS + 1))


class BarDesk(RulerScreen):
    """A bar being written; ``saved`` is the one that is opened again, with its bar and setting."""

    def __init__(self, context: Context, saved: tuple[str, Bar, Setting] | None = None) -> None:
        super().__init__(context)
        meter = context.level.meter
        tempo = float(round(context.level.tempo.low))
        name, bar, setting = saved or ("", None, Setting(tempo=tempo, lead=context.settings.hand))
        self._name = name
        self._draft = draft_of(bar) if bar else blank(meter)
        self._setting = setting
        self._kept = self._draft, self._setting
        self._count = Edited.at_end(self._draft.text)
        self._beat = self._place = 0
        self._told = ""
        self.focus = "count" if bar is None else "figures"

    def heading(self) -> Heading:
        right = f"{self._draft.meter}, {self._setting.tempo:.0f} a minute"
        return Heading("Write a bar", self._name or "A new bar", right)

    def keys(self) -> Sequence[Key]:
        beats = self._draft.meter.beats
        return (
            Key("space", "hear it", self._hear),
            Key("1", "choose the beat", self._chooses(0), cap=f"1 - {beats}"),
            *(Key(str(beat + 1), "choose the beat", self._chooses(beat), shown=False) for beat in range(1, beats)),
            Key("delete", "empty the beat", self._empty),
            Key("s", "save", self._save),
            Key("f", "files", self._files),
            Key("escape", "back", self._leave),
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        top, told, ruler, bar, bottom = rows(
            box, [look.u(TARGET), look.line("small"), look.u(30), look.u(138), None], look.u(9)
        )
        grid, kit, playing = columns(bottom, [box.w * 0.4, box.w * 0.22, None], look.u(28))
        return [
            *self._entry(look, top),
            *self._message(told),
            *self._notes(look, ruler, bar),
            self._figure_grid(look, grid),
            *self._orchestrations(look, kit),
            *self._playing(look, playing),
        ]

    def _entry(self, look: Look, box: Rect) -> list[Widget]:
        meter, count = columns(box, [box.w * 0.36, None], look.u(24))
        return [
            Choice("meter", meter, [(name, name) for name in METERS], self._draft.meter.name, self._set_meter),
            TextField(
                "count", count, look, self._count, self._type, self._hear, "The count, such as 1 e a 2 & (3) 4",
                200, bool(self._draft.fault),
            ),
        ]  # fmt: skip

    def _message(self, box: Rect) -> list[Widget]:
        faulty = bool(self._draft.fault)
        words = self._told or self._draft.fault or f"Beat {self._beat + 1}: choose a figure below, or type the count."
        return [Label("told", box, words, "small", faulty, "warn" if faulty else "quiet", middle=True)]

    def _notes(self, look: Look, ruler: Rect, box: Rect) -> list[Widget]:
        stave = stave_in(look, self._level, box)
        layout = self._layout(stave)
        beats = range(self._draft.meter.beats)
        places = stave.places(look, layout, beats, self._state, self._choose_beat, self._to_figures)
        return self.on_staff(look, stave, layout, ruler, places)

    def _layout(self, stave: Stave) -> Layout:
        hands = STICKINGS[self.context.settings.sticking](self._draft.bar, self._setting.lead)
        return stave.layout(self._draft.figures, hands=hands)

    def _state(self, beat: int) -> str:
        if beat == self._beat:
            return "current"
        return "filled" if self._draft.figures[beat] else "empty"

    def _figure_grid(self, look: Look, box: Rect) -> FigureGrid:
        written = spelled(self._level)
        layouts = [tile_layout(figure, written[figure]) for figure in self._level.figures]
        return FigureGrid(
            "figures", box, layouts, cells_for(look, box, layouts), self._place, self._choose_figure, self._put
        )

    def _orchestrations(self, look: Look, box: Rect) -> list[Widget]:
        ways, about = rows(box, [None, look.line("small") * 3], look.u(8))
        names = list(ORCHESTRATIONS)
        chosen = names.index(self._setting.orchestration)
        lines = [Row(name.replace("-", " ").capitalize()) for name in names]
        return [
            ListBox("orchestration", ways, lines, chosen, self._orchestrate, self._hear, look.u(TARGET - 6)),
            Label("about", about, ORCHESTRATIONS[names[chosen]].about.capitalize(), "small", colour="quiet"),
        ]

    def _playing(self, look: Look, box: Rect) -> list[Widget]:
        lines = rows(box, [look.u(TARGET)] * 4, min(look.u(12), max(1, (box.h - 4 * look.u(TARGET)) // 3)))
        (tempo_words, tempo), (swing_words, swing), (groove_words, groove) = (
            columns(line, [line.w * 0.22, None], look.u(12)) for line in lines[:3]
        )
        click, hand = columns(lines[3], [None, None], look.u(16))
        setting = self._setting
        # A bar that was kept may be faster than the slider goes.
        at = min(FASTEST, setting.tempo)
        return [
            Label("tempo words", tempo_words, "Tempo", middle=True),
            Slider("tempo", tempo, at, SLOWEST, FASTEST, 2, lambda v: self._set(tempo=v), lambda v: f"{v:.0f}"),
            Label("swing words", swing_words, "Swing", middle=True),
            Slider("swing", swing, setting.swing, STRAIGHT, MOST_SWING, 1, lambda v: self._set(swing=v), as_swing),
            Label("groove words", groove_words, "Groove", middle=True),
            Choice("groove", groove, GROOVES, setting.groove_bars, lambda bars: self._set(groove_bars=bars)),
            Choice("click", click, CLICKS, setting.click, lambda click: self._set(click=click)),
            Choice("hand", hand, HANDS, setting.lead, lambda hand: self._set(lead=hand)),
        ]

    @property
    def _level(self) -> Level:
        """All figures of this kind of beat, those of the player's level first and spelled as there."""
        meter, level = self._draft.meter, self.context.level
        known = (*level.figures, *vocabulary().figures, *filter(None, self._draft.figures))
        figures = tuple(dict.fromkeys(figure for figure in known if figure.compound == meter.compound))
        spelling = {figure: code for figure, code in level.spelling.items() if figure in figures}
        return Level(f"bar {level.name}", "Own bar", meter, figures, spelling=spelling)

    # Writing

    def _change(self, draft: Draft) -> None:
        """Take over a draft that did not come from typing; the typed count follows it."""
        self._draft, self._count, self._told = draft, Edited.at_end(draft.text), ""
        self._beat = min(self._beat, draft.meter.beats - 1)

    def _set_meter(self, name: str) -> None:
        meter: Meter = METERS[name]
        if meter.compound != self._draft.meter.compound:
            self._place = 0
        self._change(self._draft.in_meter(meter))

    def _type(self, count: Edited) -> None:
        self._count = count
        # A caret that only moved comes here too, and must not undo what was chosen since.
        if count.text != self._draft.text:
            self._draft, self._told = self._draft.with_count(count.text), ""
            self._beat = min(sum(figure is not None for figure in self._draft.figures), self._draft.meter.beats - 1)

    def _choose_beat(self, beat: int) -> None:
        self._beat = beat
        figure = self._draft.figures[beat]
        if figure is not None:
            self._place = self._level.figures.index(figure)

    def _chooses(self, beat: int) -> Act:
        def act() -> Next:
            self._choose_beat(beat)
            return None

        return act

    def _choose_figure(self, place: int) -> None:
        self._place = place

    def _to_figures(self) -> Next:
        self.set_focus("figures")
        return None

    def _put(self) -> Next:
        """Put the chosen figure on the beat, and go on to the next."""
        figure: Figure = self._level.figures[self._place]
        beat = self._beat
        self._change(self._draft.with_figure(beat, figure))
        self._beat = (beat + 1) % self._draft.meter.beats
        return None

    def _empty(self) -> Next:
        self._change(self._draft.with_figure(self._beat, None))
        return None

    # Loudspeaker

    def _set(self, **changes: object) -> None:
        self._setting = replace(self._setting, **changes)  # type: ignore[arg-type]

    def _orchestrate(self, place: int) -> None:
        self._set(orchestration=list(ORCHESTRATIONS)[place])

    def _hear(self) -> Next:
        self.loudspeaker.play(whole_bar(self._draft.bar, self._setting, "Your bar"))
        return None

    # Keeping

    @property
    def _changed(self) -> bool:
        return (self._draft.figures, self._draft.meter, self._setting) != (
            self._kept[0].figures,
            self._kept[0].meter,
            self._kept[1],
        )

    def _save(self) -> Next:
        if self._draft.fault:
            return self._refuse(f"Not saved: {self._draft.fault}")
        if self._draft.is_empty:
            return self._refuse("Nothing is written yet, so nothing was saved.")
        if self._name:
            self._told = self._keep(self._name) or f"Saved as {self._name}."
            return None
        return Push(NamePrompt(self.context, "Save this bar under a name", "", self._keep_new))

    def _refuse(self, words: str) -> Next:
        """Say why the bar is not saved, under the count, where it can be mended."""
        self._told = words
        self.set_focus("count")
        return None

    def _keep_new(self, name: str) -> str:
        return is_taken(self.context, name) or self._keep(name)

    def _keep(self, name: str) -> str:
        """Keep the bar under a name; returns why it can't be, or nothing."""
        try:
            kept: OwnBar = keep(self.context, name, self._draft.bar, self._setting)
        except RecordsError as error:
            return str(error)
        self._name, self._kept, self._told = kept.name, (self._draft, self._setting), f"Saved as {kept.name}."
        return ""

    def _files(self) -> Next:
        return Push(BarFiles(self.context, self._name, self._draft.bar, self._setting))

    def _leave(self) -> Next:
        if not self._changed:
            return Pop()
        question = "Leave this bar? What you changed is not saved."
        return Push(Dialog(self.context, question, "Stay", "Leave it", lambda: Pop(self)))


def is_taken(context: Context, name: str) -> str:
    """Why a name can't be given to another bar, or nothing."""
    taken = any(name_key(bar.name) == name_key(" ".join(name.split())) for bar in context.records.bars(context.player))
    return f"There is already a bar called {name.strip()}; choose another name." if taken else ""


def keep(context: Context, name: str, bar: Bar, setting: Setting) -> OwnBar:
    """Keep a bar under a name, in place of an older one of that name.  Raises ``RecordsError``."""
    return context.records.save_bar(context.player, OwnBar(name, bar.count, kept(bar, setting)))


def as_swing(swing: float) -> str:
    """A swing in per cent, in words."""
    return "straight" if swing == STRAIGHT else f"{swing:.0f}%"
