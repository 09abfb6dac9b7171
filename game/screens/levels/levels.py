"""The levels: chosen, looked through, copied, edited, taken in."""

import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from pygame import Rect, Surface

from game.records import RecordsError
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.levels.editor import LevelEditor
from game.screens.levels.files import is_own, new_name, remove_level, take_in, write_level
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.screens.saving import open_folder
from game.sessions.exam.outlook import percent
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import figure_line
from game.widgets.texts import as_many, facts, paragraphs
from game.wording import about_words_of, counted, on_the_ladder
from shared.files import FileError
from shared.levels import Fault, Level, LevelError, found_in, own_names, read_own, shipped_levels

MOST_SHOWN = 8
"""At most so many faults of a file are shown; the others are counted."""

# A tenth of a second is still felt as at once; half of a frame's 16 ms leaves the other half for drawing.
AT_ONCE_SECONDS, FRAME_SECONDS = 0.1, 0.008
"""How long a teacher's own levels are read before the page is seen, and in each frame after it."""

LONGEST_TITLE = 60

LEAST_NOTES = 68
"""The least height of the figures, in units, beside a long account of the level."""


class Levels(Screen):
    """The shipped levels and the teacher's own.  A level file can be dropped on the window."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.levels: list[Level] = []
        self._broken: list[str] = []
        self._own: Iterator[tuple[str, Level | LevelError]] = iter(())
        # By its name and not by its place: levels come into the list while it is looked at.
        self._name = context.level.name
        self._told = ""
        self._faults: tuple[Fault, ...] = ()
        self.focus = "levels"

    def entered(self) -> None:
        self._read()

    def _read(self) -> None:
        """Read the levels anew: the one that is looked at and some of a teacher's own at once, the others by and by."""
        self.levels, self._broken = [*shipped_levels()], []
        names = own_names(self.context.own_levels)
        if self._name in names:
            self._take(self._name, found_in(self.context.own_levels, self._name))
        self._own = read_own(self.context.own_levels)
        self._read_own(AT_ONCE_SECONDS)
        if self._name not in [level.name for level in self.levels]:
            self._name = self.levels[0].name
        self.stale = True

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002
        self._read_own(FRAME_SECONDS)
        return []

    def _read_own(self, seconds: float) -> None:
        """Read a teacher's own levels, as many as there is time for: there may be thousands."""
        until = time.perf_counter() + seconds
        for name, found in self._own:
            self.stale = True
            self._take(name, found)
            if time.perf_counter() > until:
                break

    def _take(self, name: str, found: Level | LevelError) -> None:
        if isinstance(found, LevelError):
            # The one that is looked at is read twice, and its faults are to be told once.
            self._broken += [line for line in map(str, found.faults) if line not in self._broken]
            return
        # The level that is looked at is read first; in its turn it takes its place among the others.
        self.levels = [level for level in self.levels if level.name != name] if name == self._name else self.levels
        self.levels.append(found)

    @property
    def _level(self) -> Level:
        return next(level for level in self.levels if level.name == self._name)

    def heading(self) -> Heading:
        own = sum(map(is_own, self.levels))
        return Heading("Levels", right=f"{len(self.levels)} levels, {own} of your own")

    def keys(self) -> Sequence[Key]:
        if self._faults:
            return (Key("escape", "back to the levels", self._forget_faults),)
        own = (
            Key("e", "edit", self._edit), Key("r", "rename", self._rename), Key("delete", "remove", self._remove),
            Key("o", "open the folder", self._open_folder, shown=False),
        )  # fmt: skip
        return (
            Key("p", "play on it", self._play),
            Key("c", "copy as your own", self._copy),
            *(own if is_own(self._level) else ()),
            Key("escape", "back", Pop),
        )

    def dropped(self, path: Path) -> Next:
        self._faults, self._told = (), ""
        try:
            level = take_in(self.context, path)
        except LevelError as error:
            self._faults, self.focus = error.faults, "back"
        except (FileError, RecordsError) as error:
            self._told = str(error)
        else:
            self._name, self._told = level.name, f"{path.name} is now among your own levels."
            self._read()
        return None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        if self._faults:
            return self._faulty(look, box)
        left, right = columns(box, [box.w * 0.33, None], look.u(28))
        levels, hint = rows(left, [None, look.line("small") * 2], look.u(12))
        lines = [self._row(level) for level in self.levels]
        chosen = self.levels.index(self._level)
        words = self._told or "".join(self._broken[:1]) or "A level file (.toml) can be dropped on this window."
        colour = "accent" if self._told else "warn" if self._broken else "quiet"
        return [
            ListBox("levels", levels, lines, chosen, self._choose, self._play, look.u(TARGET)),
            Label("hint", hint, words, "small", bool(self._told), colour, middle=True),
            *self._look_through(look, right),
        ]

    @staticmethod
    def _row(level: Level) -> Row:
        return Row(on_the_ladder(level))

    def _look_through(self, look: Look, box: Rect) -> list[Widget]:
        level, high, gap = self._level, look.line("small") + look.line(), look.u(10)
        below = [2 * high + look.u(8), high, 2 * look.u(TARGET) + look.u(12)]
        room = box.h - look.line("title") - sum(below) - 5 * gap - look.u(LEAST_NOTES)
        words = min(look.height(about_words_of(level), box.w), max(look.line(), room))
        title, about, notes, told, kit, buttons = rows(box, [look.line("title"), words, None, *below], gap)
        # A long title becomes smaller as a whole, rather than being shrunk to some odd size.
        role = "title" if look.width(level.title, "title", bold=True) <= box.w else "lead"
        ways = ", ".join(name.replace("-", " ") for name in level.orchestrations)
        return [
            Label("title", title, level.title, role, bold=True, middle=True),
            Label("about", about, about_words_of(level)),
            Picture("figures", notes, partial(_draw_figures, level)),
            *facts(look, told, about_level(level), 3),
            *facts(look, kit, [("On the kit", ways)], 1),
            *self._buttons(look, buttons),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        acts = [("play", "Play on it", self._play, "p"), ("copy", "Copy as your own", self._copy, "c")]
        if is_own(self._level):
            acts += [
                ("edit", "Edit", self._edit, "e"),
                ("rename", "Rename", self._rename, "r"),
                ("remove", "Remove", self._remove, "delete"),
                # Where its file lies, to be passed on to another machine, whose window it is dropped on.
                ("folder", "Open folder", self._open_folder, "o"),
            ]
        # Room for six, though a shipped level has two: a button stays where it is from level to level.
        cells = grid(box, 6, 3, look.u(12))
        return [
            Button(name, cell, text, act, key=key, main=name == "play")
            for cell, (name, text, act, key) in zip(cells, acts, strict=False)
        ]

    def _faulty(self, look: Look, box: Rect) -> list[Widget]:
        title, faults, back = rows(box, [look.line("lead") * 2, None, look.u(TARGET)], look.u(16))
        lines = as_many(look, faults, [str(fault) for fault in self._faults], MOST_SHOWN)
        number = counted(len(self._faults), "fault")
        words = f"This file was not taken in, and nothing was changed: {number}"
        button, _ = columns(back, [look.u(340), None])
        return [
            Label("faults", title, words, "lead", bold=True, colour="warn", middle=True),
            *paragraphs(look, faults, "fault", lines),
            Button("back", button, "Back to the levels", self._forget_faults, main=True),
        ]

    def _choose(self, place: int) -> None:
        self._name, self._told = self.levels[place].name, ""

    def _forget_faults(self) -> Next:
        self._faults, self.focus = (), "levels"
        return None

    def _play(self) -> Next:
        self.context.choose_level(self._level)
        return Pop()

    def _copy(self) -> Next:
        # Another title than the original's, so that the two can be told apart in every list.
        title = f"{self._level.title} (own)"[:LONGEST_TITLE]
        return Push(NamePrompt(self.context, "A title for your own copy", title, self._take_copy))

    def _take_copy(self, title: str) -> str:
        name = new_name(self.context, title)
        own = replace(self._level, name=name, title=" ".join(title.split()))
        return self._write(own, "Copied: E edits it.", like=self._level.name)

    def _edit(self) -> Next:
        return Push(LevelEditor(self.context, self._level)) if is_own(self._level) else None

    def _rename(self) -> Next:
        if not is_own(self._level):
            return None
        return Push(NamePrompt(self.context, "Another title for this level", self._level.title, self._take_title))

    def _take_title(self, title: str) -> str:
        """The title changes; the file keeps its name, so that every answer stays with the level."""
        return self._write(replace(self._level, title=" ".join(title.split())), "Renamed.")

    def _write(self, level: Level, told: str, like: str = "") -> str:
        """Write an own level and show it; returns why it can't be written, or nothing."""
        if not level.title:
            return "A title needs at least one character."
        try:
            write_level(self.context, level, like)
        except (FileError, RecordsError) as error:
            return str(error)
        self._name, self._told = level.name, told
        self._read()
        return ""

    def _remove(self) -> Next:
        if not is_own(self._level):
            return None
        question = (
            f"Remove the level {self._level.title}? Its file is deleted; answers given on it stay in the records."
        )
        return Push(Dialog(self.context, question, "Keep it", "Remove", self._really_remove))

    def _open_folder(self) -> Next:
        self._told = open_folder(self.context.own_levels)
        return None

    def _really_remove(self) -> Next:
        try:
            remove_level(self.context, self._level)
        except FileError as error:
            self._told = str(error)
        return Pop()


def about_level(level: Level) -> list[tuple[str, str]]:
    """The facts of a level, as captions and words."""
    exam, grooves = level.exam, " or ".join(map(str, level.groove_bars))
    marks = exam.pass_mark, exam.merit_mark, exam.distinction_mark
    played = f", {exam.playing} to play" if exam.playing else ""
    return [
        ("Meter", level.meter.name),
        ("Figures", f"{len(level.figures)}, {len(level.new)} new"),
        ("Tempo", f"{level.tempo.low:g} to {level.tempo.high:g} a minute"),
        ("Groove bars before", grooves),
        ("Exam", f"{counted(exam.questions, 'bar')}, {counted(exam.hearings, 'hearing')}{played}"),
        ("Pass, merit, distinction", ", ".join(map(percent, marks))),
    ]


def _draw_figures(level: Level, canvas: Surface, look: Look, box: Rect) -> None:
    figure_line(canvas, look, box, level)
