"""The shelf: the fills that a player keeps, with their notation; to be heard, opened, printed, asked as riddles."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.records import KeptFill, RecordsError, Riddle
from game.records.players import name_key
from game.reports.chart_report import chart_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.fills.asked import AskedRiddles
from game.screens.fills.desk import open_desk, usual_setting
from game.screens.fills.files import ChartFiles
from game.screens.fills.kept import is_taken, opened_fill
from game.screens.fills.riddles import AskRiddle, open_riddle
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.screens.saving import save_and_tell
from game.sessions.fills.heard import TIMES_OVER, as_chart, hearing_of
from game.sessions.fills.keeping import OpenedFill
from game.sessions.fills.known import example_fill, known_figures
from game.widgets.base import Act, Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.texts import facts
from game.wording import counted
from shared.files import write_beside
from shared.notation.page import Dress
from shared.playability import difficulty

UNREADABLE = "This fill can't be read any more; its count was {count!r}."
NO_FILLS = (
    "No fills yet. Make one of the figures that you know: pick figures, type the count, or play it in. "
    "Then move it round the kit, hear it after three bars of groove, and keep it here."
)

EXAMPLE = "An example. Hear it, then change it or write your own."

LEAST_STAVE = 80
"""The least height in which the example can be read, in units."""


def open_fills(context: Context) -> "FillShelf":
    """The shelf of this player."""
    return FillShelf(context)


class FillShelf(RulerScreen):
    """The list of a player's fills, the chosen one engraved beside it."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._fills: list[KeptFill] = []
        self._riddles: list[Riddle] = []
        self._asked_riddles: list[Riddle] = []
        self._example: OpenedFill | None = None
        self._row = 0
        self._told = ""
        self._was_read = False

    # Read anew each time: the desk, or another player's riddle, may have changed them meanwhile.
    def entered(self) -> None:
        self._read()

    def _read(self) -> None:
        before = {one.name for one in self._fills} if self._was_read else None
        self._fills = self.context.records.fills(self.context.player)
        new = [] if before is None else [k for k, one in enumerate(self._fills) if one.name not in before]
        if len(new) == 1:
            # Whoever comes from the desk stands on what was saved there.
            self._row, self.focus = new[0], "fills"
        elif before is None and self._fills:
            # Enter then opens the chosen fill, as the page says, and makes no new one.
            self.focus = "fills"
        self._was_read = True
        self._riddles = self.context.records.riddles(self.context.player)
        self._asked_riddles = self.context.records.riddles_asked(self.context.player)
        self._example = None if self._fills else example(self.context)
        # After the last of the list was removed, the one before it is chosen.
        self._row = min(self._row, max(0, len(self._fills) - 1))
        self.stale = True

    @property
    def own(self) -> KeptFill | None:
        return self._fills[self._row] if self._fills else None

    def _chosen(self) -> OpenedFill | None:
        """The chosen fill, on an empty shelf the example; None where it can't be read."""
        return opened_fill(self.context, self.own) if self.own else self._example

    def heading(self) -> Heading:
        return Heading("Your fills", self.context.player.name, counted(len(self._fills), "fill"))

    def keys(self) -> Sequence[Key]:
        some = (
            Key("space", self.or_stop("hear it"), self._hear),
            Key("l", "over and over", self._loop),
            Key("o", "open", self._open),
            Key("r", "rename", self._rename),
            Key("delete", "remove", self._remove),
            Key("w", "files", self._files),
            Key("p", "print", self._print),
            Key("k", "ask it as a riddle", self._ask, shown=False),
        )
        riddle = (Key("a", "answer a riddle", self._answer, shown=False),)
        outcome = (Key("m", "riddles you asked", self._outcomes, shown=False),)
        example = (Key("space", self.or_stop("hear the example"), self._hear), Key("o", "change it", self._open))
        return (
            Key("n", "write a new fill", self._new), *(some if self._fills else example),
            *(riddle if self._riddles else ()), *(outcome if self._asked_riddles else ()), Key("escape", "back", Pop),
        )  # fmt: skip

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.34, None], look.u(44))
        above = self._above()
        *places, fills = rows(left, [*[look.u(TARGET)] * len(above), None], look.u(14))
        found: list[Widget] = [
            Button(name, place, text, act, key=key, main=name == self._wanted)
            for place, (name, text, act, key) in zip(places, above, strict=True)
        ]
        if not self._fills:
            return [*found, *self._empty(look, right)]
        lines = [Row(one.name) for one in self._fills]
        fills_list = ListBox("fills", fills, lines, self._row, self._choose, self._open, row_height(look))
        return [*found, fills_list, *self._shown(look, right)]

    def _empty(self, look: Look, box: Rect) -> list[Widget]:
        """The use of the shelf, while it is empty, and a fill to hear and to begin with."""
        now = self._example
        assert now is not None
        texts = look.height(NO_FILLS, box.w, "lead"), look.height(EXAMPLE, box.w, bold=True)
        told_high = look.line("small") + look.line() + look.u(6)
        gap = look.u(14)
        left = box.h - sum(texts) - told_high - look.u(TARGET) - 5 * gap
        words, told, notes, known, buttons, _ = rows(
            box, [*texts, min(left, look.u(170)), told_high, look.u(TARGET), None], gap
        )
        hear, change = columns(buttons, [None, None], look.u(14))
        return [
            Label("none", words, NO_FILLS, "lead"),
            Label("example", told, EXAMPLE, bold=True),
            Picture("notes", notes, partial(self._draw, now), least=LEAST_STAVE),
            *facts(look, known, _played(self.context, now), 3),
            Button("hear", hear, "Stop" if self.sounds else "Hear it", self._hear, key="space"),
            Button("open", change, "Change it", self._open, key="o"),
        ]

    @property
    def _wanted(self) -> str:
        """The button that most likely comes next."""
        return "riddle" if self._riddles else "new" if not self._fills else ""

    def _above(self) -> list[tuple[str, str, Act, str]]:
        """The buttons over the list: a new fill, and riddles where there are any."""
        found: list[tuple[str, str, Act, str]] = [("new", "Write a new fill", self._new, "n")]
        if self._riddles:
            more = f" and {len(self._riddles) - 1} more" if len(self._riddles) > 1 else ""
            found.append(("riddle", f"A riddle from {self._riddles[0].asker}{more}", self._answer, "a"))
        if self._asked_riddles:
            done = sum(one.answered is not None for one in self._asked_riddles)
            found.append(("asked", f"Riddles you asked: {done} answered", self._outcomes, "m"))
        return found

    def _shown(self, look: Look, box: Rect) -> list[Widget]:
        name, notes, told, words, buttons, _ = rows(
            box,
            [look.line("title"), look.u(190), look.line("small") + look.line() + look.u(6), look.line(),
             3 * look.u(TARGET) + 2 * look.u(12), None],
            look.u(12),
        )  # fmt: skip
        own, now = self.own, self._chosen()
        assert own is not None
        found: list[Widget] = [Label("name", name, own.name, "title", bold=True, middle=True)]
        if now is None:
            # Cut short: what can't be read may be anything, of any length.
            found.append(Label("broken", notes, UNREADABLE.format(count=own.count[:60]), colour="warn", bold=True))
        else:
            found.append(Picture("notes", notes, partial(self._draw, now)))
            found += facts(look, told, _played(self.context, now), 3)
        found.append(Label("told", words, self._told, colour="accent", middle=True))
        return [*found, *self._buttons(look, buttons)]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        acts = (
            ("open", "Open", self._open, "o"),
            ("hear", "Stop" if self.sounds else "Hear it", self._hear, "space"),
            ("loop", "Over and over", self._loop, "l"),
            ("files", "Files", self._files, "w"),
            ("print", "Print", self._print, "p"),
            ("ask", "Ask as a riddle", self._ask, "k"),
            ("rename", "Rename", self._rename, "r"),
            ("remove", "Remove", self._remove, "delete"),
        )
        cells = grid(box, len(acts), 3, look.u(12))
        return [
            Button(name, cell, text, act, key=key, main=name == "open" and not self._riddles)
            for cell, (name, text, act, key) in zip(cells, acts, strict=True)
        ]

    def _draw(self, now: OpenedFill, canvas: Surface, look: Look, box: Rect) -> None:
        fill_picture(canvas, look, box, now.fill, now.setting, self.context.level.shown)

    def _choose(self, place: int) -> None:
        self._row, self._told = place, ""
        self.loudspeaker.stop()

    def _new(self) -> Next:
        return Push(open_desk(self.context))

    def _open(self) -> Next:
        now = self._chosen()
        return Push(open_desk(self.context, now)) if now else None

    def _hear(self) -> Next:
        # The same key ends what it began.
        if self.sounds:
            self.loudspeaker.stop()
        elif now := self._chosen():
            self.loudspeaker.play(hearing_of(now.fill, now.setting))
        return None

    def _loop(self) -> Next:
        if now := self._chosen():
            self.loudspeaker.play(hearing_of(now.fill, now.setting, TIMES_OVER))
        return None

    def _files(self) -> Next:
        now = self._chosen()
        if now is None:
            return None
        chart = as_chart(now.fill, now.setting.groove_bars)
        return Push(ChartFiles(self.context, now.name, chart, now.setting))

    def _print(self) -> Next:
        if now := self._chosen():
            chart = as_chart(now.fill, now.setting.groove_bars)
            page = chart_report(
                chart, now.setting, now.name, self.context.player.name, Dress(words=self.context.level.shown)
            )
            save_and_tell(self, f"fill {now.name}", ".pdf", lambda path: write_beside(path, page))
        return None

    def _ask(self) -> Next:
        now = self._chosen()
        if now is None:
            return None
        # Of this very machine: Drumlin sends nothing anywhere.
        others = [one for one in self.context.records.players("player") if one.id != self.context.player.id]
        if not others:
            self._told = "Nobody else plays on this machine yet: a new player begins on the first page (N)."
            return None
        return Push(AskRiddle(self.context, now, others, self._asked))

    def _asked(self, words: str) -> None:
        self._told = words

    def _answer(self) -> Next:
        return Push(open_riddle(self.context, self._riddles[0])) if self._riddles else None

    def _outcomes(self) -> Next:
        return Push(AskedRiddles(self.context, self._asked_riddles)) if self._asked_riddles else None

    def _rename(self) -> Next:
        own = self.own
        return Push(NamePrompt(self.context, "Another name for this fill", own.name, self._take_name)) if own else None

    def _take_name(self, name: str) -> str:
        """Keep the chosen fill under another name, and only then forget the old one."""
        own, records, player = self.own, self.context.records, self.context.player
        assert own is not None
        # By the key that the records go by: a name in other capitals is the same fill, and may be written so.
        same = name_key(" ".join(name.split())) == name_key(own.name)
        if not same and (refused := is_taken(self.context, name)):
            return refused
        try:
            renamed = records.save_fill(player, KeptFill(name, own.count, own.fill, own.setting))
        except RecordsError as error:
            return str(error)
        if not same:
            records.remove_fill(player, own.name)
        self._read()
        # The list is in the order of the names: under its new one the fill may stand elsewhere.
        self._row = [one.name for one in self._fills].index(renamed.name)
        return ""

    def _remove(self) -> Next:
        own = self.own
        if own is None:
            return None

        def remove() -> Next:
            self.context.records.remove_fill(self.context.player, own.name)
            return Pop()

        question = f"Remove the fill {own.name}? It can't be brought back."
        return Push(Dialog(self.context, question, "Keep it", "Remove", remove))


def example(context: Context) -> OpenedFill:
    """A fill without a name, of figures that the player knows, for a shelf that is empty."""
    level = context.level
    figures = known_figures(level, context.standing(level), context.now())
    return OpenedFill("", example_fill(level.meter, figures), usual_setting(context))


def _played(context: Context, now: OpenedFill) -> list[tuple[str, str]]:
    """How a fill is played, as captions and words."""
    groove = f"{counted(now.setting.groove_bars, 'bar')}, {now.setting.groove}" if now.setting.groove_bars else "none"
    return [
        ("Tempo", context.tempo_words(now.setting.tempo, now.fill.meter)),
        ("Groove before it", groove),
        ("Difficulty", f"{difficulty(now.fill, now.setting.tempo, now.setting.lead)} of 10"),
    ]
