"""The fill desk: a fill over a groove, written on the stave, by figures, by its count or by playing it."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.records import RecordsError
from game.records.players import numbered_names
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.fills.files import ChartFiles
from game.screens.fills.kept import is_taken, keep, opened_fills
from game.screens.fills.play_in import PlayIn
from game.screens.fills.variations import VariationsPage
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.sessions.fills.draft import Draft, blank, draft_of
from game.sessions.fills.heard import FILL, SECOND, TIMES_OVER, as_chart, hearing_of
from game.sessions.fills.keeping import USUAL_GROOVE_BARS, OpenedFill
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice, Slider
from game.widgets.editing import Edited
from game.widgets.figure_grid import FigureGrid, cells_for
from game.widgets.fill_stave import FillStave, as_written, fill_sheet
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import tile_layout
from game.widgets.ruler import Ruler
from game.widgets.stave import LARGEST_SPACE
from game.widgets.text_field import TextField
from game.wording import sentence
from shared.bars import METERS
from shared.figures import Figure
from shared.fills import WAYS, Fill
from shared.grooves import GROOVES
from shared.levels import Level, spelled, vocabulary
from shared.orchestration import MOST_GROOVE_BARS, Setting
from shared.playability import cautions, difficulty
from shared.sticking import STICKINGS

SLOWEST, FASTEST, STEP = 20, 300, 6
"""The tempi on offer, and one step of it, in beats a minute."""

HIGHEST, LOWEST = 200, 120
"""The height of the stave at most and at least, in units."""

LINE_GAP = 5
"""The gap between two lines of controls, in units."""

LARGE_SPACE = 9.0
"""The staff space of the figures to choose from, in units."""

LENGTHS = ((1, "One bar"), (2, "Two bars"))
HANDS = tuple((name, name.capitalize()) for name in STICKINGS)
BEFORE = tuple((bars, str(bars) if bars else "None") for bars in range(MOST_GROOVE_BARS + 1))
WAY_KEYS = dict(zip(WAYS, "dun", strict=True))


def open_desk(context: Context, saved: OpenedFill | None = None) -> "FillDesk":
    """The desk with a kept fill, or an empty one in the meter of the player's level."""
    level = context.level
    return FillDesk(context, saved or OpenedFill("", blank(level.meter).fill, usual_setting(context)), level)


def usual_setting(context: Context) -> Setting:
    """How a new fill is played: at the level's slowest tempo, over this player's groove."""
    settings, level = context.settings, context.level
    return Setting(
        tempo=float(round(level.tempo.low)), lead=settings.hand, groove_bars=USUAL_GROOVE_BARS, swing=settings.swing,
        groove=settings.groove if settings.groove in GROOVES else "straight",
    )  # fmt: skip


class FillDesk(RulerScreen):
    """A fill being written; ``saved`` is the one that is opened, or an empty one without a name."""

    def __init__(self, context: Context, saved: OpenedFill, level: Level) -> None:
        super().__init__(context)
        self._name, self.setting, self._own_level = saved.name, saved.setting, level
        self.draft = draft_of(saved.fill)
        self._kept = saved.fill, saved.setting
        self._count = Edited.at_end(self.draft.text)
        self._place = 0
        self._told = self._proposed = ""
        # A fill that is written is gone through stroke by stroke; an empty one begins with a figure.
        self.focus = "stave" if saved.fill.played else "figures"

    def heading(self) -> Heading:
        fill = self.draft.fill
        right = f"{fill.meter}, {self.context.tempo_words(self.setting.tempo, fill.meter)}"
        return Heading("Fill desk", self._name or "A new fill", right)

    def keys(self) -> Sequence[Key]:
        beats = len(self.draft.fill.beats)
        return (
            Key("space", self.or_stop("hear it"), self._hear),
            Key("l", "over and over", self._loop, shown=False),
            # Minus, and the key that has the plus sign on UK and US keyboards, without Shift.
            Key("-", "slower", lambda: self._faster(-STEP), shown=False),
            Key("=", "faster", lambda: self._faster(STEP), shown=False),
            Key("a", "accent, ghost", lambda: self._change(self.draft.harder())),
            Key("h", "other hand", lambda: self._change(self.draft.other_hand(self.setting.lead))),
            Key("b", "bass drum too", lambda: self._change(self.draft.together("kick"))),
            Key("t", "floor tom too", lambda: self._change(self.draft.together("floor-tom")), shown=False),
            Key("delete", "leave out", lambda: self._change(self.draft.left_out()), shown=not self.takes_text),
            *(Key(str(beat + 1), "choose the beat", self._chooses(beat), shown=False) for beat in range(beats)),
            Key("s", "save", self._save),
            Key("w", "files", self._files),
            *([Key("return", self.or_stop("hear it"), self._hear_typed)] if self.takes_text else []),
            Key("escape", "back", self._leave),
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        caution, warned = self._caution()
        high = look.height(caution, box.w, "small", warned)
        message = look.height(self._message_words(), box.w, "small", bool(self.draft.fault))
        # What is left of the four lines of controls is the stave's, as far as it is not too low to be written on.
        gap, below = look.u(7), 4 * look.u(TARGET) + 3 * look.u(LINE_GAP)
        left = box.h - 2 * look.u(TARGET) - message - look.u(26) - high - below - 6 * gap
        staff = min(look.u(HIGHEST), max(look.u(LOWEST), left))
        top, told, ruler, stave, words, ways, bottom = rows(
            box, [look.u(TARGET), message, look.u(26), staff, high, look.u(TARGET), None], gap
        )
        grid, playing = columns(bottom, [None, box.w * 0.42], look.u(24))
        return [
            *self._entry(look, top),
            *self._message(told),
            *self._stave(look, ruler, stave),
            Label("caution", words, caution, "small", warned, "warn" if warned else "quiet", middle=True),
            self._figure_grid(look, grid),
            *self._ways(look, ways),
            *self._playing(look, playing),
        ]

    def _entry(self, look: Look, box: Rect) -> list[Widget]:
        meter, length, count = columns(box, [box.w * 0.32, box.w * 0.2, None], look.u(16))
        fill = self.draft.fill
        return [
            Choice("meter", meter, [(name, name) for name in METERS], fill.meter.name, self._set_meter),
            Choice("length", length, LENGTHS, fill.length, lambda bars: self._take(self.draft.with_length(bars))),
            TextField(
                "count", count, look, self._count, self._type, self._hear_typed, "The count, such as 3 e a 4 & a", 200,
                bool(self.draft.fault),
            ),
        ]  # fmt: skip

    def _message(self, box: Rect) -> list[Widget]:
        faulty = bool(self.draft.fault)
        colour = "warn" if faulty else "quiet"
        return [Label("told", box, self._message_words(), "small", faulty, colour, middle=True)]

    def _message_words(self) -> str:
        return self._told or sentence(self.draft.fault) or self._advice()

    def _advice(self) -> str:
        where = f"Beat {self.draft.beat % self.draft.fill.meter.beats + 1}"
        if self.draft.here is None:
            return (
                f"{where} goes on with the groove: choose a figure below, then Enter; or type the count, or play it in."
            )
        drums = " and ".join(drum.replace("-", " ") for drum in self.draft.here.drums)
        return f"{where}, {drums}: left and right go along, up and down change the drum, with Shift for the whole beat."

    def _stave(self, look: Look, ruler: Rect, box: Rect) -> list[Widget]:
        draft = self.draft
        inside = box.inflate(0, -look.u(6))
        sheet = fill_sheet(inside, draft.fill, as_written(self.setting), look.u(LARGEST_SPACE), self._own_level.shown)
        # The rectangle to be clicked is the whole box; the notes lie a little inside it.
        sheet = replace(sheet, box=box)
        beats = tuple(sheet.column(beat) for beat in range(len(draft.fill.beats)))
        self.follow(sheet.column, ruler, look)
        return [
            Ruler("ruler", ruler, beats, sheet.end, beats[0] - ruler.x - sheet.space, self.where),
            FillStave("stave", box, sheet, (draft.beat, draft.stroke), self._go, self._raise, self._choose),
        ]

    def where(self) -> tuple[str, int | None]:
        moment = self.loudspeaker.moment()
        if moment is None or moment.beats is None or moment.caption not in (FILL, SECOND):
            return (moment.caption if moment else ""), None
        beats = int(moment.beats) if self.context.settings.reduced_motion else moment.beats
        return moment.caption, self._column(beats + (moment.caption == SECOND) * self.draft.fill.meter.beats)

    def _caution(self) -> tuple[str, bool]:
        """How hard the fill is, and whether hands can hardly play it."""
        fill, tempo, lead = self.draft.fill, self.setting.tempo, self.setting.lead
        if self.draft.is_empty:
            return "", False
        found = cautions(fill, tempo, lead)
        level = f"{difficulty(fill, tempo, lead)} of 10"
        more = f" And {len(found) - 1} more." if len(found) > 1 else ""
        hard, plain = f"Hard to play ({level}): ", f"Difficulty {level}. Hands can play it at this tempo."
        return f"{hard}{found[0].says}{more}" if found else plain, bool(found)

    def _figure_grid(self, look: Look, box: Rect) -> FigureGrid:
        written = spelled(self._level)
        layouts = [tile_layout(figure, written[figure]) for figure in self._level.figures]
        # The player's own come first and are to be read well; of the others a few are more than twice as wide.
        own = [layout for layout, figure in zip(layouts, self._level.figures, strict=True) if figure in self._own]
        cells = cells_for(look, box, layouts, own, LARGE_SPACE)
        return FigureGrid("figures", box, layouts, cells, self._place, self._choose_figure, self._put)

    @property
    def _own(self) -> tuple[Figure, ...]:
        """The figures of the player's level that are of this kind of beat."""
        return tuple(one for one in self._own_level.figures if one.compound == self.draft.fill.meter.compound)

    def _ways(self, look: Look, box: Rect) -> list[Widget]:
        acts: list[tuple[str, str, Act, str]] = [
            ("variations", "Variations", self._variations, "v"),
            ("play in", "Play it in", self._play_in, "p"),
            ("loop", "Over and over", self._loop, "l"),
            *((way, way.capitalize(), self._goes_round(way), WAY_KEYS[way]) for way in WAYS),
        ]
        cells = columns(box, [None] * len(acts), look.u(10))
        return [
            # Where nothing is written there is nothing to vary: then playing it in leads on.
            Button(name, cell, text, act, key=key, main=name == ("play in" if self.draft.is_empty else "variations"))
            for cell, (name, text, act, key) in zip(cells, acts, strict=True)
        ]

    def _playing(self, look: Look, box: Rect) -> list[Widget]:
        high = look.u(TARGET)
        lines = rows(box, [high] * 4, min(look.u(LINE_GAP), max(1, (box.h - 4 * high) // 3)))
        (tempo_words, tempo), (hand_words, hand), (before_words, before) = (
            columns(line, [line.w * 0.26, None], look.u(12)) for line in lines[:3]
        )
        setting, fill = self.setting, self.draft.fill
        # A fill that was brought in may be faster than the slider goes: it stands at its end, and stays as fast as it
        # is.
        at = min(FASTEST, setting.tempo)
        return [
            Label("tempo words", tempo_words, "Tempo", middle=True),
            Slider("tempo", tempo, at, SLOWEST, FASTEST, 2, lambda v: self._set(tempo=v), lambda v: f"{v:.0f}"),
            Label("hand words", hand_words, "Hands", middle=True),
            Choice("hand", hand, HANDS, fill.sticking, lambda rule: self._take(self.draft.with_sticking(rule))),
            Label("before words", before_words, "Groove bars", middle=True),
            Choice("before", before, BEFORE, setting.groove_bars, lambda bars: self._set(groove_bars=bars)),
            Button("groove", lines[3], f"Groove: {setting.groove}", self._next_groove, key="g"),
        ]

    @property
    def _level(self) -> Level:
        """All figures of this kind of beat, those of the player's level first and spelled as there."""
        meter, level = self.draft.fill.meter, self._own_level
        # The fill's own too: what was typed or played in may be in no level and no vocabulary.
        known = (*level.figures, *vocabulary().figures, *filter(None, self.draft.fill.figures))
        figures = tuple(dict.fromkeys(figure for figure in known if figure.compound == meter.compound))
        spelling = {figure: code for figure, code in level.spelling.items() if figure in figures}
        return Level(f"fill {level.name}", "Fill", meter, figures, spelling=spelling, count=level.count)

    # Writing

    def _take(self, draft: Draft) -> None:
        """Take over a draft that did not come from typing; the typed count follows it."""
        self.draft, self._count, self._told = draft, Edited.at_end(draft.text), ""

    def _change(self, draft: Draft) -> Next:
        self._take(draft)
        return None

    def _set_meter(self, name: str) -> None:
        # The grid then holds other figures, and the old place would mean another one, or none.
        if METERS[name].compound != self.draft.fill.meter.compound:
            self._place = 0
        self._take(self.draft.in_meter(METERS[name]))

    def _type(self, count: Edited) -> None:
        self._count = count
        # A caret that only moved comes here too, and must not undo what was chosen since.
        if count.text != self.draft.text:
            self.draft, self._told = self.draft.with_count(count.text), ""

    def _go(self, by: int) -> None:
        self.draft = self.draft.moved(by)

    def _raise(self, by: int, whole: bool) -> None:
        self._take(self.draft.beat_higher(by) if whole else self.draft.higher(by))

    def _choose(self, beat: int, stroke: int) -> None:
        self.draft = self.draft.at(beat, stroke)
        figure = self.draft.fill.figures[self.draft.beat]
        if figure in self._level.figures:
            self._place = self._level.figures.index(figure)

    def _chooses(self, beat: int) -> Act:
        def act() -> Next:
            self._choose(beat, 0)
            return None

        return act

    def _choose_figure(self, place: int) -> None:
        self._place = place

    def _put(self) -> Next:
        """Put the chosen figure on the beat at hand, and go on to the next."""
        figure: Figure = self._level.figures[self._place]
        draft = self.draft.with_figure(figure)
        self._take(draft.at((draft.beat + 1) % len(draft.fill.beats)))
        return None

    def _goes_round(self, way: str) -> Act:
        return lambda: self._change(self.draft.round_the_kit(way))

    def _variations(self) -> Next:
        if self.draft.is_empty:
            return self._refuse("Put a figure on a beat first; variations then change it by one step.", "figures")
        page = VariationsPage(self.context, self.draft.fill, self.setting, self._kept_fills(), self._own_level,
                              self._becomes)  # fmt: skip
        return Push(page)

    def _kept_fills(self) -> tuple[Fill, ...]:
        return tuple(one.fill for one in opened_fills(self.context))

    def _becomes(self, fill: Fill) -> None:
        self._take(self.draft.becoming(fill))
        if self._name:
            # A variation is kept beside its fill; saved under the same name, it would take the place of that.
            free = (name for name in numbered_names(self._name) if not is_taken(self.context, name))
            self._name, self._proposed = "", next(free)
            self._told = "A variation: saved under a name of its own, it stands beside the fill it was made of."
        self.set_focus("stave")

    def _play_in(self) -> Next:
        figures = (*self._own_level.figures, *filter(None, self.draft.fill.figures))
        return Push(PlayIn(self.context, self.draft, self.setting, figures, self._played))

    def _played(self, draft: Draft, words: str) -> None:
        self._take(draft)
        self._told = words
        self.set_focus("stave")

    # Loudspeaker

    def _set(self, **changes: object) -> None:
        self.setting = replace(self.setting, **changes)  # type: ignore[arg-type]

    def _faster(self, by: int) -> Next:
        """Slower or faster by a step; what sounds goes on at the new tempo."""
        self._set(tempo=float(min(FASTEST, max(SLOWEST, self.setting.tempo + by))))
        if self.sounds:
            self._play(TIMES_OVER if self.loudspeaker.loops else 1)
        return None

    def _next_groove(self) -> Next:
        names = list(GROOVES)
        self._set(groove=names[(names.index(self.setting.groove) + 1) % len(names)])
        return None

    def _hear(self) -> Next:
        # The same key stops, so that nobody has to look for another one while a loop sounds.
        if self.sounds:
            self.loudspeaker.stop()
        else:
            self._play(1)
        return None

    def _hear_typed(self) -> Next:
        # A faulty count leaves the fill before it, which is not what is written there.
        return None if self.draft.fault else self._hear()

    def _loop(self) -> Next:
        self._play(TIMES_OVER)
        return None

    def _play(self, times: int) -> None:
        self.loudspeaker.play(hearing_of(self.draft.fill, self.setting, times))

    # Keeping

    @property
    def _changed(self) -> bool:
        return (self.draft.fill, self.setting) != self._kept

    def _save(self) -> Next:
        if self.draft.fault:
            return self._refuse(f"Not saved: {self.draft.fault}", "count")
        if self.draft.is_empty:
            return self._refuse("Nothing is written yet, so nothing was saved.", "figures")
        if self._name:
            self._told = self._keep(self._name) or f"Saved as {self._name}."
            return None
        return Push(NamePrompt(self.context, "Save this fill under a name", self._proposed, self._keep_new))

    def _refuse(self, words: str, focus: str) -> Next:
        """Say why it can't be, where it can be mended."""
        self._told = words
        self.set_focus(focus)
        return None

    def _keep_new(self, name: str) -> str:
        return is_taken(self.context, name) or self._keep(name)

    def _keep(self, name: str) -> str:
        """Keep the fill under a name; returns why it can't be, or nothing."""
        try:
            kept = keep(self.context, name, self.draft.fill, self.setting)
        except RecordsError as error:
            return str(error)
        self._name, self._kept, self._told = kept.name, (self.draft.fill, self.setting), f"Saved as {kept.name}."
        return ""

    def _files(self) -> Next:
        chart = as_chart(self.draft.fill, self.setting.groove_bars)
        return Push(ChartFiles(self.context, self._name, chart, self.setting))

    def _leave(self) -> Next:
        if not self._changed:
            return Pop()
        question = "Go back without saving? What you changed would be lost."
        return Push(Dialog(self.context, question, "Stay", "Go back", lambda: Pop(self)))
