"""The shelf: the fills that a player keeps, with their notation; to be heard, opened, printed, asked as riddles."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.records import KeptFill, RecordsError, Riddle
from game.records.players import name_key
from game.reports.chart_report import chart_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.fills.desk import open_desk
from game.screens.fills.files import ChartFiles
from game.screens.fills.kept import is_taken, opened_fill
from game.screens.fills.riddles import AskRiddle, open_riddle
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.screens.saving import save
from game.sessions.fills.heard import TIMES_OVER, as_chart, hearing_of
from game.sessions.fills.keeping import OpenedFill
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.fill_stave import fill_picture
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.texts import facts
from game.wording import counted
from shared.orchestration import Setting
from shared.playability import difficulty

UNREADABLE = "This fill can't be read any more; its count was {count!r}."
NO_FILLS = (
    "No fills yet. Make one of the figures that you know: pick figures, type the count, or play it in. "
    "Then move it round the kit, hear it after three bars of groove, and keep it here."
)


def open_fills(context: Context) -> "FillShelf":
    """The shelf of this player."""
    return FillShelf(context)


class FillShelf(RulerScreen):
    """The list of a player's fills, the chosen one engraved beside it."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._fills: list[KeptFill] = []
        self._riddles: list[Riddle] = []
        self._row = 0
        self._told = ""

    # Read anew each time: the desk, or another player's riddle, may have changed them meanwhile.
    def entered(self) -> None:
        self._read()

    def _read(self) -> None:
        self._fills = self.context.records.fills(self.context.player)
        self._riddles = self.context.records.riddles(self.context.player)
        # After the last of the list was removed, the one before it is chosen.
        self._row = min(self._row, max(0, len(self._fills) - 1))
        self.stale = True

    @property
    def _own(self) -> KeptFill | None:
        return self._fills[self._row] if self._fills else None

    def _chosen(self) -> OpenedFill | None:
        """The chosen fill; None where there is none, or it can't be read."""
        return opened_fill(self.context, self._own) if self._own else None

    def heading(self) -> Heading:
        return Heading("Your fills", self.context.player.name, counted(len(self._fills), "fill"))

    def keys(self) -> Sequence[Key]:
        some = (
            Key("space", "hear it", self._hear),
            Key("l", "over and over", self._loop),
            Key("o", "open", self._open),
            Key("r", "rename", self._rename),
            Key("delete", "remove", self._remove),
            Key("f", "files", self._files),
            Key("p", "print", self._print),
            Key("k", "ask another player", self._ask, shown=False),
        )
        riddle = (Key("a", "answer a riddle", self._answer, shown=False),)
        return (
            Key("n", "write a new fill", self._new), *(some if self._fills else ()),
            *(riddle if self._riddles else ()), Key("escape", "back", Pop),
        )  # fmt: skip

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.34, None], look.u(44))
        heights = [look.u(TARGET)] * (2 if self._riddles else 1)
        new, *riddle, fills = rows(left, [*heights, None], look.u(14))
        found: list[Widget] = [Button("new", new, "Write a new fill", self._new, main=not self._fills, key="n")]
        if self._riddles:
            first = self._riddles[0]
            more = f" and {len(self._riddles) - 1} more" if len(self._riddles) > 1 else ""
            text = f"A riddle of {first.asker}{more}"
            found.append(Button("riddle", riddle[0], text, self._answer, main=bool(self._fills), key="a"))
        if not self._fills:
            return [*found, Label("none", right, NO_FILLS, "lead")]
        lines = [Row(one.name) for one in self._fills]
        fills_list = ListBox("fills", fills, lines, self._row, self._choose, self._open, row_height(look))
        return [*found, fills_list, *self._shown(look, right)]

    def _shown(self, look: Look, box: Rect) -> list[Widget]:
        name, notes, told, words, buttons, _ = rows(
            box,
            [look.line("title"), look.u(190), look.line("small") + look.line() + look.u(6), look.line(),
             3 * look.u(TARGET) + 2 * look.u(12), None],
            look.u(12),
        )  # fmt: skip
        own, now = self._own, self._chosen()
        assert own is not None
        found: list[Widget] = [Label("name", name, own.name, "title", bold=True, middle=True)]
        if now is None:
            found.append(Label("broken", notes, UNREADABLE.format(count=own.count[:60]), colour="warn", bold=True))
        else:
            found.append(Picture("notes", notes, partial(self._draw, now)))
            found += facts(look, told, _played(now), 3)
        found.append(Label("told", words, self._told, colour="accent", middle=True))
        return [*found, *self._buttons(look, buttons)]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        acts = (
            ("open", "Open", self._open, "o"),
            ("hear", "Hear it", self._hear, "space"),
            ("loop", "Over and over", self._loop, "l"),
            ("files", "Files", self._files, "f"),
            ("print", "Print", self._print, "p"),
            ("ask", "Ask a player", self._ask, "k"),
            ("rename", "Rename", self._rename, "r"),
            ("remove", "Remove", self._remove, "delete"),
        )
        cells = grid(box, len(acts), 3, look.u(12))
        return [
            Button(name, cell, text, act, key=key, main=name == "open")
            for cell, (name, text, act, key) in zip(cells, acts, strict=True)
        ]

    def _draw(self, now: OpenedFill, canvas: Surface, look: Look, box: Rect) -> None:
        # Of the setting no more than the notes depend on: pictures are kept by it, and the tempo draws nothing.
        fill_picture(canvas, look, box, now.fill, Setting(lead=now.setting.lead, groove=now.setting.groove))

    # Acts

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
            page = chart_report(chart, now.setting, now.name, self.context.player.name)
            self.tell(save(self.context, f"fill {now.name}", ".pdf", page))
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

    def _rename(self) -> Next:
        own = self._own
        return Push(NamePrompt(self.context, "Another name for this fill", own.name, self._take_name)) if own else None

    def _take_name(self, name: str) -> str:
        """Keep the chosen fill under another name, and only then forget the old one."""
        own, records, player = self._own, self.context.records, self.context.player
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
        self._row = [one.name for one in self._fills].index(renamed.name)
        return ""

    def _remove(self) -> Next:
        own = self._own
        if own is None:
            return None

        def remove() -> Next:
            self.context.records.remove_fill(self.context.player, own.name)
            return Pop()

        question = f"Remove the fill {own.name}? It can't be brought back."
        return Push(Dialog(self.context, question, "Keep it", "Remove", remove))


def _played(now: OpenedFill) -> list[tuple[str, str]]:
    """How a fill is played, as captions and words."""
    groove = f"{counted(now.setting.groove_bars, 'bar')}, {now.setting.groove}" if now.setting.groove_bars else "none"
    return [
        ("Tempo", f"{now.setting.tempo:.0f} beats a minute"),
        ("Groove before it", groove),
        ("Difficulty", f"{difficulty(now.fill, now.setting.tempo, now.setting.lead)} of 10"),
    ]
