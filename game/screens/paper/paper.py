"""Paper: choose a worksheet or a chart, look at its pages, save it with its sound, and open the folder it lies in."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from pygame import Rect, Surface

from game.engraving import A4_HEIGHT, A4_WIDTH
from game.engraving.pictures import PicturePages
from game.learning import Answer
from game.records import RecordsError, Wanted
from game.records.folders import day, made_folder, unused
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.saving import FOLDER, open_folder, shown_path
from game.sessions.home.habits import USED
from game.sessions.paper.worksheet import MOST_BARS, MOST_PUPILS, VERSIONS, Worksheet, class_pairs, ways_of
from game.sheets import draw_sheet_chart, write_chart, write_sheet
from game.sheets.pages import draw_sheet
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice, Slider
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.notation import engraver
from game.wording import counted, on_the_ladder
from shared.errors import UserError
from shared.files import slug
from shared.levels import Level, read_own, shipped_levels

SEEDS = 10_000
"""Sheets are numbered below this, so that a teacher can copy the number by hand."""

MOST_CLASSES = 2
"""How many classes a sheet can be for: the ones that had a lesson last."""


@dataclass(frozen=True)
class PaperClass:
    """A class as a sheet needs it: its answers, its own words of the count, and how many pupils are in it."""

    answers: Sequence[Answer]
    counting: str
    pupils: int


@dataclass(frozen=True)
class PaperLevels:
    """The material of a sheet: the levels, the ``first`` to be shown, and each class by its name, that taught last
    first."""

    levels: Sequence[Level]
    classes: Mapping[str, PaperClass]
    first: Level


def open_paper(context: Context) -> "PaperPage":
    """The page, for the class taught last and on the level of its lesson, without any on the level at hand.

    It reads the levels and what each class mixes up.
    """
    own = [found for _, found in read_own(context.own_levels) if isinstance(found, Level)]
    levels = {level.name: context.counted(level) for level in (*shipped_levels(), *own, context.level)}
    records = context.records
    # Of every class: one that was only added is more recent than one that was taught.
    lessons = [(room, records.answers(room, Wanted(last=1))) for room in records.players("class")]
    lessons.sort(key=lambda lesson: -lesson[1][0].at if lesson[1] else 0)
    groups = Counter(records.settings(pupil).group for pupil in records.players("player")) if lessons else Counter()
    classes = {
        room.name: PaperClass(records.answers(room), records.settings(room).counting, groups[room.uuid])
        for room, _ in lessons[:MOST_CLASSES]
    }
    last = next(iter(lessons[0][1]), None) if lessons else None
    # A level of the teacher's own may have been thrown away since.
    first = levels.get(last.level, context.level) if last else context.level
    return PaperPage(context, PaperLevels(tuple(levels.values()), classes, first))


class PaperPage(Screen):
    """Chooses a worksheet."""

    def __init__(self, context: Context, shelf: PaperLevels) -> None:
        super().__init__(context)
        self._shelf = shelf
        # Another number at each visit: two lessons should not get the same bars unless the teacher wants that.
        self.sheet = Worksheet(shelf.first, seed=context.seed() % SEEDS)
        self._room = ""
        self._charted = False
        self._page = 0
        self._told = ""
        self._saving = self._counted = 0
        self.picture: tuple[object, Surface, int] | None = None
        self.focus = "save"
        self._choose_room(next(iter(shelf.classes), ""))

    def heading(self) -> Heading:
        kind = "A chart to read from" if self._charted else "A worksheet for a class"
        return Heading("Paper", self.sheet.level.title, kind)

    def keys(self) -> Sequence[Key]:
        return (
            Key("s", "save", self._save),
            Key("c", "as a worksheet" if self._charted else "as a chart", self._change_kind),
            Key("o", "open the folder", self._open),
            Key("n", "other bars", self._anew),
            Key("v", "next page", self._turn, shown=self._pages != 1),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        told, main = rows(box, [look.line("small"), None], look.u(6))
        turn, gap = look.u(TARGET), look.u(6)
        wide = (main.h - turn - gap) * A4_WIDTH / A4_HEIGHT
        left, middle, right = columns(main, [None, main.w * 0.33, min(wide, main.w * 0.34)], look.u(28))
        # The page as large as it can be, and right below it what turns it.
        preview, turner, _ = rows(right, [right.w * A4_HEIGHT / A4_WIDTH, turn, None], gap)
        return [
            Label("told", told, self._told, "small", bold=True, middle=True),
            *self._lists(look, left),
            *self._choices(look, middle),
            Picture("preview", preview, self._draw),
            Button("turn", turner, self._turn_words(), self._turn, key="v"),
        ]

    def _lists(self, look: Look, box: Rect) -> list[Widget]:
        row = row_height(look)
        levels = self._shelf.levels
        ways = self._ways()
        what, level, how, way = rows(box, [look.line("lead"), None, look.line("lead"), 4 * row], look.u(8))
        chosen = next(k for k, one in enumerate(levels) if one.name == self.sheet.level.name)
        return [
            Label("level title", what, "Level", "lead", bold=True, middle=True),
            ListBox(
                "levels", level, [Row(on_the_ladder(one)) for one in levels], chosen, self._choose_level, self._to_save,
                row,
            ),
            Label("way title", how, "Round the kit", "lead", bold=True, middle=True),
            ListBox(
                "ways", way, [Row(name.replace("-", " ") if name else "as the level has it") for name in ways],
                ways.index(self.sheet.orchestration), self._choose_way, self._to_save, row,
            ),
        ]  # fmt: skip

    def _ways(self) -> list[str | None]:
        return [None, *ways_of(self.sheet.level)]

    def _choices(self, look: Look, box: Rect) -> list[Widget]:
        sheet, change = self.sheet, self._change
        high = look.u(TARGET)
        # With more air between them the choices would be lower than a finger wants in a small window.
        kind, bars, *lines, cards, buttons, save = rows(box, [high, high, *[None] * 4, high, high, high], look.u(4))
        tempo, counts, versions, mixed = (self._labelled(look, line) for line in lines)
        other, folder = columns(buttons, [None, None], look.u(12))
        return [
            Choice("kind", kind, ((False, "Worksheet"), (True, "Chart")), self._charted, self._choose_kind),
            Slider("bars", bars, sheet.bars, 1, MOST_BARS, 1, lambda n: change(bars=int(n)), _bars_words),
            Label("tempo title", tempo[0], "Beats a minute", "small", middle=True),
            Choice("tempo", tempo[1], self._tempi(), sheet.tempo, lambda value: change(tempo=value)),
            Label("counts title", counts[0], "Fills" if self._charted else "Figures on sheet and cards", "small",
                  middle=True),
            Choice("counts", counts[1], ((True, "with counts"), (False, "without")), sheet.counts,
                   lambda value: change(counts=value)),
            *([] if self._charted else [
                Label("versions title", versions[0], "Versions: same bars, other letters", "small", middle=True),
                Choice("versions", versions[1], [(k, " ".join(VERSIONS[:k]) if k > 1 else "one") for k in (1, 2, 3)],
                       sheet.versions, lambda value: change(versions=value)),
                Slider("pupils", cards, sheet.pupils, 1, MOST_PUPILS, 1, lambda n: change(pupils=int(n)),
                       _cards_words),
            ]),
            Label("room title", mixed[0], self._mixed_words(), "small", middle=True),
            Choice("room", mixed[1], [("", "any class"), *((name, name) for name in self._shelf.classes)], self._room,
                   self._choose_room),
            Button("anew", other, "Other bars", self._anew, key="n"),
            Button("open", folder, "Open folder", self._open, key="o"),
            Button("save", save, "Save the chart" if self._charted else "Save the worksheet", self._save, main=True,
                   key="s"),
        ]  # fmt: skip

    @staticmethod
    def _labelled(look: Look, line: Rect) -> tuple[Rect, Rect]:
        title, control = rows(line, [look.line("small"), None])
        return title, Rect(control.x, control.y, control.w, min(control.h, look.u(TARGET)))

    def _tempi(self) -> list[tuple[float | None, str]]:
        tempo = self.sheet.level.tempo
        middle = float(round((tempo.low + tempo.high) / 2))
        # A level of one tempo has nothing to choose from.
        offered = dict.fromkeys((float(tempo.low), middle, float(tempo.high)))
        return [(None, "as the level"), *((value, f"{value:.0f}") for value in offered)]

    def _mixed_words(self) -> str:
        pairs, level = self.sheet.pairs, self.sheet.level
        if not self._room:
            return "For which class" if self._shelf.classes else "Mix-ups come first after a lesson with a class"
        if not pairs:
            return "No mix-ups on this level yet"
        return "First: " + "; ".join(f"{level.named(one)} and {level.named(other)}" for one, other in pairs)

    def _turn_words(self) -> str:
        self._counted = self._pages
        return f"Page {self._page + 1} of {self.picture[2]}" if self.picture else "Next page"

    # The preview

    @property
    def _pages(self) -> int:
        """How many pages there are, as far as they were drawn."""
        return self.picture[2] if self.picture else 0

    def _draw(self, canvas: Surface, look: Look, box: Rect) -> None:
        high = min(box.h, int(box.w * A4_HEIGHT / A4_WIDTH))
        # By all that it shows: the page is laid out anew after each key, and a sheet takes long to draw.
        key = (self.sheet, self._charted, self._page, high)
        if self.picture is None or self.picture[0] != key:
            pages = PicturePages(high, engraver(), self._page)
            draw = draw_sheet_chart if self._charted else draw_sheet
            draw(self.sheet, pages)
            self.picture = key, pages.picture(), pages.count
        picture = self.picture[1]
        at = box.right - picture.get_width(), box.y
        canvas.blit(picture, at)
        look.box(canvas, Rect(at, picture.get_size()), None, look.theme.quiet, 1.5, radius=0)

    def _turn(self) -> Next:
        self._page = (self._page + 1) % self.picture[2] if self.picture else 0
        return None

    # Acts

    def _change(self, **changes: object) -> None:
        self.sheet = replace(self.sheet, **changes)  # type: ignore[arg-type]
        self._page, self._told = 0, ""

    def _choose_level(self, place: int) -> None:
        # Tempo and way round the kit go with the level.
        self._change(level=self._shelf.levels[place], tempo=None, orchestration=None)
        # Pairs and words of the count are of a level: those of the class are looked up anew for this one.
        self._ask_of(self._room)

    def _choose_way(self, place: int) -> None:
        self._change(orchestration=self._ways()[place])

    def _choose_room(self, name: str) -> None:
        self._room = name
        room = self._shelf.classes.get(name)
        # A class whose pupils were never taken in is held to no number.
        if room and room.pupils:
            self._change(pupils=min(room.pupils, MOST_PUPILS))
        self._ask_of(name)

    def _ask_of(self, name: str) -> None:
        """Write the level as a class counts it, and ask first what it mixes up on it."""
        shelf, wanted = self._shelf, self.sheet.level.name
        plain = next((level for level in shelf.levels if level.name == wanted), self.sheet.level)
        room = shelf.classes.get(name, PaperClass((), "", 0))
        self._change(level=plain.counted_in(room.counting))
        self._change(pairs=class_pairs(self.sheet.level, room.answers, self.context.now()))

    def _anew(self) -> Next:
        self._change(seed=(self.sheet.seed + 1) % SEEDS)
        return None

    def _to_save(self) -> Next:
        self.set_focus("save")
        return None

    def _choose_kind(self, charted: bool) -> None:
        """Worksheet or chart; the other choices stay, so that both ask the same bars."""
        self._charted = charted
        self._change()

    def _change_kind(self) -> Next:
        self._choose_kind(not self._charted)
        return None

    def _save(self) -> Next:
        if self._charted:
            self._told = self._written("chart", write_chart)
            return None
        # Sound takes a second or two: the page says so first, and writes once that was painted.
        self._told, self._saving = "Writing the pages and the sound …", 2
        return None

    def tick(self, now: float) -> list[Rect]:
        # How many pages there are is known once they are drawn, which is after the words beside them.
        self.stale = self.stale or self._counted != self._pages
        if self._saving:
            self._saving -= 1
            self.stale = True
            if not self._saving:
                self._told = self._written("sheet", partial(write_sheet, tracks=True))
        return super().tick(now)

    def _written(self, kind: str, write: Callable[[Worksheet, Path], Sequence[Path]]) -> str:
        """Write all of a kind into a folder of its own; the line that says where, or what went wrong."""
        sheet, context = self.sheet, self.context
        name = f"{slug(sheet.level.name) or 'sheet'}-{day(context.now())}"
        try:
            folder = made_folder(unused(context.data_folder / FOLDER / f"{kind}-{name}"))
            files = write(sheet, folder / f"{name}.pdf")
        except (UserError, RecordsError) as error:
            return str(error)
        context.keep_opened("paper", USED)
        return f"Saved {counted(len(files), 'file')} in {shown_path(folder)}"

    def _open(self) -> Next:
        self._told = open_folder(self.context.data_folder / FOLDER)
        return None


def _bars_words(bars: float) -> str:
    return counted(int(bars), "bar")


def _cards_words(pupils: float) -> str:
    return f"cards for {pupils:.0f}"
