"""Riddles: a kept fill is asked of another player of this machine, who hears it and names its figures."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from pygame import Rect, Surface

from game.records import Player, RecordsError, Riddle
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.sessions.fills.heard import hearing_of
from game.sessions.fills.keeping import OpenedFill, kept_setting, opened
from game.sessions.fills.riddle import RiddleAnswer, asked_beats, riddle_answer
from game.widgets.base import Act, Label, Lettered, Picture, Widget, letter, write
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.notation import centred, draw_layout, figure_tiles, tile_layout
from game.wording import counted, in_words
from shared.errors import UserError
from shared.figures import Figure
from shared.fills import as_values
from shared.levels import Level, spelling_in, vocabulary
from shared.notation.engraved import Layout
from shared.orchestration import Setting


class AskRiddle(Screen):
    """Chooses who is asked; ``done`` is handed a sentence about it."""

    def __init__(
        self, context: Context, chosen: OpenedFill, others: Sequence[Player], done: Callable[[str], None]
    ) -> None:
        super().__init__(context)
        self._opened, self._others, self._done = chosen, others, done
        self._row = 0
        self._told = ""
        self.focus = "players"

    def heading(self) -> Heading:
        return Heading("Ask a riddle", self._opened.name, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (Key("return", "ask", self._ask), Key("escape", "back", Pop))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words = (
            "Who is to name the figures of this fill by ear? It waits on the page of their fills until they answer; "
            "your name stands beside it."
        )
        lead, players, told, button, _ = rows(
            box,
            [look.height(words, box.w, "lead"), None, look.line(), look.u(TARGET), look.u(4)],
            look.u(18),
        )
        lines = [Row(one.name) for one in self._others]
        return [
            Label("lead", lead, words, "lead"),
            ListBox("players", players, lines, self._row, self._choose, self._ask, row_height(look)),
            Label("told", told, self._told, colour="warn", middle=True),
            Button("ask", columns(button, [look.u(260), None])[0], "Ask", self._ask, main=True, key="return"),
        ]

    def _choose(self, place: int) -> None:
        self._row = place

    def _ask(self) -> Next:
        other, one = self._others[self._row], self._opened
        # Told to whoever asks: whoever is asked could do nothing about it.
        beats = len(asked_beats(one.fill))
        if not beats:
            self._told = "This fill has no stroke to be named: write one first."
            return None
        riddle = Riddle(one.name, self.context.player.name, self.context.now(), as_values(one.fill),
                        kept_setting(one.setting), beats)  # fmt: skip
        try:
            self.context.records.ask_riddle(self.context.player, other, riddle)
        except RecordsError as error:
            self._told = str(error)
            return None
        self._done(f"Asked {other.name}. It waits on the page of their fills.")
        return Pop()


def open_riddle(context: Context, riddle: Riddle) -> "RiddlePage":
    """A riddle that waits for this player."""
    try:
        one = opened(riddle.name, "", riddle.fill, riddle.setting, Setting(lead=context.settings.hand))
    except UserError:
        one = None
    # The level's first: of two that are equally like the fill's own, the one that is practised is offered.
    known = (*context.level.figures, *vocabulary().figures)
    answer = riddle_answer(one.fill, known, riddle.uuid) if one and asked_beats(one.fill) else None
    return RiddlePage(context, riddle, one, answer)


class RiddlePage(RulerScreen):
    """A riddle to be heard and answered, then seen.  One that can't be read can only be put away."""

    def __init__(self, context: Context, riddle: Riddle, one: OpenedFill | None, answer: RiddleAnswer | None) -> None:
        super().__init__(context)
        self._riddle, self._opened, self.answer = riddle, one, answer
        self._told = ""
        self.focus = "hear"

    def heading(self) -> Heading:
        # The name may tell the fill: it is shown with it, afterwards.
        done = self.answer is None or self.answer.handed_in
        return Heading("A riddle", f"from {self._riddle.asker}", self._riddle.name if done else "")

    def keys(self) -> Sequence[Key]:
        bindings = self.context.bindings
        if self.answer is None or self.answer.handed_in:
            heard = (Key("space", self.or_stop("hear it again"), self._hear),) if self._opened else ()
            return (*heard, Key("return", "done", self._done), Key("escape", "back", self._done, shown=False))
        return (
            Key(bindings.key("hear"), self.or_stop("hear it"), self._hear),
            Key(bindings.key("slower"), "slower", self._slower),
            Key(bindings.key("take back"), "take back", self._take_back),
            Key("return", "hand in", self._hand_in),
            Key("escape", "later", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        if self._opened is None or self.answer is None:
            words = "This riddle can't be read any more, so it counts for nothing. Put it away."
            lead, button, _ = rows(box, [look.line("lead") * 2, look.u(TARGET), None], look.u(20))
            away = columns(button, [look.u(260), None])[0]
            return [Label("lead", lead, words, "lead"), Button("hear", away, "Put it away", self._done, key="return")]
        return self._shown(look, box, self.answer) if self.answer.handed_in else self._asking(look, box, self.answer)

    def _asking(self, look: Look, box: Rect, answer: RiddleAnswer) -> list[Widget]:
        told, places, tiles, buttons = rows(box, [look.line("lead"), look.u(150), None, look.u(TARGET)], look.u(16))
        hear, slower, hand_in = columns(buttons, [None, None, None], look.u(16))
        bindings = self.context.bindings
        words, bars = self._told or f"Name {counted(len(answer.picks), 'beat')} by ear.", self._setting.groove_bars
        if bars and not self._told:
            words = f"{in_words(bars, 'bar').capitalize()} of groove, then the fill. {words}"
        return [
            Label("told", told, words, "lead", bold=True, middle=True),
            *said_beats(look, places, answer, self.context.level, self._choose),
            *self._tiles(look, tiles, answer),
            Button("hear", hear, "Stop" if self.sounds else "Hear it", self._hear, main=not answer.complete,
                   key=bindings.key("hear")),
            Button("slower", slower, "Slower", self._slower, key=bindings.key("slower")),
            Button("hand in", hand_in, "Hand in", self._hand_in, main=answer.complete, key="return"),
        ]  # fmt: skip

    def _tiles(self, look: Look, box: Rect, answer: RiddleAnswer) -> list[Widget]:
        level = self.context.level
        figures = [(figure, tile_layout(figure, spelling_in(level, figure))) for figure in answer.choices]
        return figure_tiles(look, box, figures, self._pick, self.context.bindings.tiles)

    def _shown(self, look: Look, box: Rect, answer: RiddleAnswer) -> list[Widget]:
        told, notes, places, buttons, _ = rows(
            box, [look.line("title"), look.u(220), look.u(150), look.u(TARGET), None], look.u(18)
        )
        right = sum(answer.right)
        words = f"{right} of {counted(len(answer.picks), 'beat')} right"
        hear, done = columns(buttons, [None, None], look.u(16))
        return [
            Label("told", told, self._told or f"{words}.", "title", bold=True, middle=True),
            Picture("notes", notes, self._draw),
            *said_beats(look, places, answer, self.context.level, self._choose),
            Button("hear", hear, "Stop" if self.sounds else "Hear it again", self._hear, key="space"),
            Button("done", done, "Done", self._done, main=True, key="return"),
        ]

    def _draw(self, canvas: Surface, look: Look, box: Rect) -> None:
        if self._opened:
            fill, setting = self._opened.fill, self._opened.setting
            fill_picture(canvas, look, box, fill, setting, self.context.level.shown)

    @property
    def _setting(self) -> Setting:
        assert self._opened is not None
        return self._opened.setting

    def _hear(self) -> Next:
        if self.sounds:
            self.loudspeaker.stop()
        elif self._opened:
            self.loudspeaker.play(hearing_of(self._opened.fill, self._setting))
        return None

    def _slower(self) -> Next:
        if self._opened:
            self.loudspeaker.play(hearing_of(self._opened.fill, self._setting.slower(0.75)))
        return None

    def _change(self, answer: RiddleAnswer) -> Next:
        self.answer, self._told = answer, ""
        return None

    def _choose(self, number: int) -> Next:
        return self._change(self.answer.at(number)) if self.answer else None

    def _pick(self, figure: Figure) -> Next:
        return self._change(self.answer.pick(figure)) if self.answer else None

    def _take_back(self) -> Next:
        # On an empty beat the one before it is meant, as a backspace is in text.
        if self.answer and self.answer.picks[self.answer.place] is None and self.answer.place:
            self.answer = self.answer.at(self.answer.place - 1)
        return self._change(self.answer.pick(None)) if self.answer else None

    def _hand_in(self) -> Next:
        answer = self.answer
        if answer is None:
            return None
        if not answer.complete:
            self._told = "Not every beat has a figure yet."
            return None
        self.loudspeaker.stop()
        # Shown as handed in whether or not it can be kept: the answers are seen now, and can't be changed after that.
        self.answer = replace(answer, handed_in=True)
        self._keep(sum(self.answer.right), tuple(figure.count for figure in answer.picks if figure))
        self.set_focus("done")
        return None

    def _keep(self, right: int, said: tuple[str, ...] = ()) -> None:
        try:
            self.context.records.answer_riddle(self._riddle, right, self.context.now(), said)
        except RecordsError as error:
            self._told = str(error)

    def _done(self) -> Next:
        # Kept as answered with none right, else it would wait on the shelf for ever.
        if self.answer is None:
            self._keep(0)
        return Pop()


def said_beats(
    look: Look, box: Rect, answer: RiddleAnswer, level: Level, choose: Callable[[int], Next] | None = None
) -> list[Widget]:
    """The beats of a riddle in a row, with what was said to each; ``choose`` goes to one while it is answered."""
    size, length = answer.fill.meter.beats, answer.fill.length
    if length == 1:
        cells = dict(zip(answer.asked, columns(box, [None] * len(answer.asked), look.u(12)), strict=True))
    else:
        # A row for each bar: eight beats side by side would be too narrow for their words.
        lines = [columns(line, [None] * size, look.u(12)) for line in rows(box, [None] * length, look.u(6))]
        cells = dict(enumerate(cell for line in lines for cell in line))
    found: list[Widget] = []
    for number, (beat, pick) in enumerate(zip(answer.asked, answer.picks, strict=True)):
        where = f"Beat {beat % size + 1}" if length == 1 else f"Bar {beat // size + 1}, {beat % size + 1}"
        right = answer.right[number] if answer.handed_in else None
        here = number == answer.place and not answer.handed_in
        found.append(
            SaidBeat(
                f"place {number}", cells[beat], where, tile_layout(pick, spelling_in(level, pick)) if pick else None,
                partial(choose, number) if choose else None, here, right,
                focusable=choose is not None and not answer.handed_in,
            )
        )  # fmt: skip
    return found


@dataclass
class SaidBeat(Widget):
    """A beat of a riddle with the figure that was said to it; ``right`` once it is known."""

    where: str
    layout: Layout | None
    act: Act | None
    current: bool
    right: bool | None
    focusable: bool = field(default=True, kw_only=True)

    def press(self) -> Next:
        return self.act() if self.act else None

    def lettering(self, look: Look) -> list[Lettered]:
        top = Rect(self.rect.x + look.u(6), self.rect.y + look.u(3), self.rect.w - look.u(12), look.line("small"))
        return [letter(look, self.where, top, "small", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        wrong = self.right is False
        fill = theme.warn_wash if wrong else theme.wash if self.current else theme.panel
        look.box(canvas, self.rect, fill, theme.warn if wrong else theme.accent if self.current else theme.rule, 2)
        write(canvas, self.lettering(look)[0], theme.warn if wrong else theme.accent)
        if self.right is not None:
            side = look.u(18)
            sign = Rect(self.rect.right - side - look.u(5), self.rect.y + look.u(5), side, side)
            # By its shape as well: right and wrong must not hang on a colour.
            look.shape(canvas, "cross" if wrong else "tick", sign, theme.warn if wrong else theme.accent)
        if self.layout:
            inside = Rect(self.rect.x, self.rect.y + look.line("small"), self.rect.w, self.rect.h - look.line("small"))
            # With a tenth of air, so that no note touches the frame.
            space = max(
                1, min(look.u(11), int(inside.w * 0.9 / self.layout.width), int(inside.h * 0.9 / self.layout.height))
            )
            draw_layout(canvas, look, self.layout, centred(self.layout, inside, space), space)
