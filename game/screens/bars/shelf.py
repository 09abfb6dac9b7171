"""The player's own bars: heard, opened, renamed, removed, written to files."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.records import OwnBar, RecordsError
from game.records.players import name_key
from game.screens.bars.desk import BarDesk, as_swing, is_taken
from game.screens.bars.files import BarFiles
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.ruler_screen import RulerScreen
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.sessions.bars.writing import opened
from game.sessions.hearing.hearing import whole_bar
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import centred, draw_layout
from game.widgets.texts import facts
from game.wording import counted
from shared.bars import Bar
from shared.counting import CountError
from shared.notation.page import Dress, lay_out_whole
from shared.orchestration import Setting
from shared.sticking import STICKINGS

UNREADABLE = "This bar can't be read any more; its count was {count!r}."


class OwnBars(RulerScreen):
    """The list of a player's bars, the chosen one engraved beside it."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._bars: list[OwnBar] = []
        self._row = 0
        self._told = ""

    def entered(self) -> None:
        self._read()

    def _read(self) -> None:
        self._bars = self.context.records.bars(self.context.player)
        self._row = min(self._row, max(0, len(self._bars) - 1))
        self.stale = True

    @property
    def _own(self) -> OwnBar | None:
        return self._bars[self._row] if self._bars else None

    def _opened(self) -> tuple[str, Bar, Setting] | None:
        """The chosen bar with its name; None where there is none, or it can't be read."""
        own = self._own
        try:
            return (
                (own.name, *opened(own.count, own.setting, Setting(lead=self.context.settings.hand))) if own else None
            )
        except CountError:
            return None

    def heading(self) -> Heading:
        number = len(self._bars)
        return Heading("Your bars", self.context.player.name, counted(number, "bar"))

    def keys(self) -> Sequence[Key]:
        some = (
            Key("space", "hear it", self._hear),
            Key("o", "open", self._open),
            Key("r", "rename", self._rename),
            Key("delete", "remove", self._remove),
            Key("f", "files", self._files),
        )
        return (Key("n", "write a new bar", self._new), *(some if self._bars else ()), Key("escape", "back", Pop))

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.34, None], look.u(44))
        new, bars = rows(left, [look.u(TARGET), None], look.u(14))
        found: list[Widget] = [Button("new", new, "Write a new bar", self._new, main=not self._bars, key="n")]
        if not self._bars:
            words = "No bars yet. Write one by figures or by its count, hear it on the whole kit, and keep it here."
            return [*found, Label("none", right, words, "lead")]
        lines = [Row(bar.name) for bar in self._bars]
        bars_list = ListBox("bars", bars, lines, self._row, self._choose, self._open, look.u(TARGET - 4))
        return [*found, bars_list, *self._chosen(look, right)]

    def _chosen(self, look: Look, box: Rect) -> list[Widget]:
        name, notes, told, words, buttons, _ = rows(
            box,
            [look.line("title"), look.u(170), 2 * (look.line("small") + look.line()) + look.u(10), look.line(),
             2 * look.u(TARGET) + look.u(14), None],
            look.u(16),
        )  # fmt: skip
        own, now = self._own, self._opened()
        assert own is not None
        found: list[Widget] = [Label("name", name, own.name, "title", bold=True, middle=True)]
        if now is None:
            found.append(Label("broken", notes, UNREADABLE.format(count=own.count[:60]), colour="warn", bold=True))
        else:
            _, bar, setting = now
            found.append(Picture("notes", notes, partial(self._draw, bar, setting.lead)))
            found += facts(look, told, _played(setting), 3)
        found.append(Label("told", words, self._told, colour="warn", middle=True))
        return [*found, *self._buttons(look, buttons)]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        acts = (
            ("open", "Open", self._open, "o"),
            ("hear", "Hear it", self._hear, "space"),
            ("files", "Files", self._files, "f"),
            ("rename", "Rename", self._rename, "r"),
            ("remove", "Remove", self._remove, "delete"),
        )
        cells = grid(box, len(acts), 3, look.u(14))
        return [
            Button(name, cell, text, act, key=key, main=name == "open")
            for cell, (name, text, act, key) in zip(cells, acts, strict=True)
        ]

    def _draw(self, bar: Bar, lead: str, canvas: Surface, look: Look, box: Rect) -> None:
        hands = STICKINGS[self.context.settings.sticking](bar, lead)
        layout = lay_out_whole(bar, Dress(hands=hands))
        space = min(fit([layout], box.w, box.h), look.u(14))
        _, line = centred(layout, box, space)
        draw_layout(canvas, look, layout, (box.x, line), space)

    # Acts

    def _choose(self, place: int) -> None:
        self._row, self._told = place, ""
        self.loudspeaker.stop()

    def _new(self) -> Next:
        return Push(BarDesk(self.context))

    def _open(self) -> Next:
        now = self._opened()
        return Push(BarDesk(self.context, now)) if now else None

    def _hear(self) -> Next:
        if now := self._opened():
            name, bar, setting = now
            self.loudspeaker.play(whole_bar(bar, setting, name))
        return None

    def _files(self) -> Next:
        now = self._opened()
        return Push(BarFiles(self.context, *now)) if now else None

    def _rename(self) -> Next:
        own = self._own
        return Push(NamePrompt(self.context, "Another name for this bar", own.name, self._take_name)) if own else None

    def _take_name(self, name: str) -> str:
        """Keep the chosen bar under another name, and only then forget the old one."""
        own, records, player = self._own, self.context.records, self.context.player
        assert own is not None
        same = name_key(" ".join(name.split())) == name_key(own.name)
        if not same and (refused := is_taken(self.context, name)):
            return refused
        try:
            renamed = records.save_bar(player, OwnBar(name, own.count, own.setting))
        except RecordsError as error:
            return str(error)
        if not same:
            records.remove_bar(player, own.name)
        self._read()
        self._row = [bar.name for bar in self._bars].index(renamed.name)
        return ""

    def _remove(self) -> Next:
        own = self._own
        if own is None:
            return None

        def remove() -> Next:
            self.context.records.remove_bar(self.context.player, own.name)
            return Pop()

        question = f"Remove the bar {own.name}? It can't be brought back."
        return Push(Dialog(self.context, question, "Keep it", "Remove", remove))


def _played(setting: Setting) -> list[tuple[str, str]]:
    """How a bar is played, as captions and words."""
    groove = counted(setting.groove_bars, "bar") if setting.groove_bars else "none"
    return [
        ("On the kit", setting.orchestration.replace("-", " ")),
        ("Tempo", f"{setting.tempo:.0f} beats a minute"),
        ("Groove before it", groove),
        ("Swing", as_swing(setting.swing)),
        ("Click", "on" if setting.click else "off"),
        ("Leading hand", "right" if setting.lead == "R" else "left"),
    ]
