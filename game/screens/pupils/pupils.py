"""Pupils and classes: who, when last, what holds and what is next; pages to print, grouping, removing, bringing in."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from pygame import Rect

from game.records import Player, RecordsError, Wanted
from game.records.exchange import Imported
from game.reports.pupil_report import pupils_report
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.screens.progress.progress import imported_words, open_progress_of
from game.screens.pupils.bring_in import BringIn
from game.screens.saving import new_path, open_folder, save, saved_in, saved_words, shown_path
from game.sessions.progress.mixups import MixUp
from game.sessions.progress.plan import LOOKED_BACK
from game.sessions.progress.standing import Standing
from game.sessions.pupils.overview import Line, Person, members, overview
from game.sessions.pupils.pupil import PupilPage, pupil_page, recent_mix_ups
from game.sessions.pupils.task import SetTask, class_words, following, state_words
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.notation import tile_layout
from game.widgets.skyline import LEGEND, Skyline, hills_of
from game.widgets.text_field import TextField
from game.wording import counted, local_day, since_words
from shared.files import FileError
from shared.levels import Level, LevelError, find_level, spelled

NO_CLASS = "Without a class"

DROPPED = "A history file can be dropped on this window."

BEFORE_ROUND = (
    "After a first round each figure below is a hill: higher as it gets firmer, lower with days without practice."
)
BEFORE_LESSON = (
    "After a first lesson each figure below is a hill for the whole class. N adds a new pupil to it; C puts somebody "
    "into it who is here already; I brings in the history of a pupil's own machine."
)
"""The words where nothing was answered yet: they say what will be seen."""


class About(NamedTuple):
    """What is known of whoever is looked at: their records' view, what is firm, what they mix up, and their task."""

    player: Player
    context: Context
    standing: Standing | None
    mixed: tuple[MixUp, ...]
    task: str


def open_pupils(context: Context) -> "Pupils":
    """The page with everybody that the records know."""
    return Pupils(context, people_in(context))


def people_in(context: Context) -> list[Person]:
    """Pupils and classes, the class that each pupil belongs to, and when each last answered."""
    records = context.records
    found = []
    for player in records.players():
        last = records.answers(player, Wanted(last=1))
        group = records.settings(player).group if player.kind == "player" else ""
        found.append(Person(player, group, last[0].at if last else None))
    return found


class Pupils(Screen):
    """An overview of ``people``, one of whom is looked at."""

    def __init__(self, context: Context, people: Sequence[Person]) -> None:
        super().__init__(context)
        self._people = list(people)
        self._find = Edited()
        self._told = ""
        self.about: About | None = None
        self._work: Iterator[None] | None = None
        self._grouping = False
        self._group_before = ""
        self.focus = "people"
        self._chosen = self._place_of(context.player)

    # What is looked at

    @property
    def lines(self) -> list[Line]:
        return overview(self._people, self._find.text)

    def _place_of(self, player: Player) -> int:
        """The line of somebody; the first one where they are not shown."""
        lines = enumerate(self.lines)
        return next((k for k, line in lines if line.person and line.person.player == player), 0)

    @property
    def person(self) -> Person | None:
        lines = self.lines
        return lines[min(self._chosen, len(lines) - 1)].person if lines else None

    @property
    def _classes(self) -> list[Player]:
        return [one.player for one in self._people if one.player.kind == "class"]

    def _context_of(self, player: Player) -> Context:
        """The records' view of somebody else: their settings and level, the same records."""
        settings = self.context.records.settings(player)
        # Their own level may be a file that was removed since: then they are seen by the level at hand.
        try:
            level = find_level(settings.level, self.context.own_levels)
        except LevelError:
            level = self.context.level
        return replace(self.context, player=player, settings=settings, level=level.counted_in(settings.counting))

    # Read anew: the page that was over this one may have brought somebody in.
    def entered(self) -> None:
        self._people = people_in(self.context)
        self.about = self._work = None
        self.stale = True

    def tick(self, now: float) -> list[Rect]:
        # The page is shown first: a standing may have to be worked out from a long log, a piece a frame.
        person = self.person
        if not self.stale and person and (self.about is None or self.about.player != person.player):
            self._look_at(person)
        return super().tick(now)

    def _look_at(self, person: Person) -> None:
        if self._work is None:
            other = self._context_of(person.player)
            self.about, self._work = None, other.working_out(other.level)
        # The page itself stands for "no more pieces": None is what each piece gives.
        if next(self._work, self) is self:
            other = self._context_of(person.player)
            now = self.context.now()
            heard = self.context.records.answers(person.player, Wanted(ability="hearing", since=now - LOOKED_BACK))
            mixed = recent_mix_ups(other.level, heard, now)
            task = self._task_words(person, other.level)
            self.about = About(person.player, other, other.kept_standing(other.level), mixed, task)
            self._work = None
            self.stale = True

    def heading(self) -> Heading:
        pupils = sum(one.player.kind == "player" for one in self._people)
        return Heading(
            "Pupils",
            counted(pupils, "pupil"),
            f"{len(self._classes)} classes" if len(self._classes) != 1 else "1 class",
        )

    def keys(self) -> Sequence[Key]:
        if self._grouping:
            return (
                Key("return", "keep", self._stop_grouping),
                Key("escape", "leave it as it was", self._leave_group),
            )
        person = self.person
        own = () if person is None else (
            Key("p", "save to print", self._print),
            Key("g", "progress", self._open_progress),
            Key("t", "task", self._set_task),
            *((Key("c", "into a class", self._group),) if person.player.kind == "player" else ()),
            Key("delete", "remove", self._remove),
        )  # fmt: skip
        return (
            Key("f", "find", self._to_find),
            Key("n", "new pupil", self._ask_new),
            *own,
            Key("i", "bring in", self._bring_in),
            *((Key("h", "save the history", self._save_history),) if person else ()),
            Key("o", "open the folder", self._open_folder),
            Key("escape", "back", Pop),
        )

    def dropped(self, path: Path) -> Next:
        try:
            self._brought(self.context.records.import_history(path, self.context.now()))
        except RecordsError as error:
            self._told = str(error)
        self.entered()
        return None

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.37, None], look.u(40))
        find, people = rows(left, [look.u(TARGET), None], look.u(12))
        row = row_height(look)
        lines = [self._row(line) for line in self.lines]
        found: list[Widget] = [
            TextField("find", find, look, self._find, self._search, self._to_people, "Find a name", 40),
        ]
        if lines:
            chosen = min(self._chosen, len(lines) - 1)
            found.append(ListBox("people", people, lines, chosen, self._choose, self._print, row))
        else:
            found.append(Label("nobody", people, "Nobody of that name.", colour="quiet"))
        return [*found, *(self._choose_class(look, right) if self._grouping else self._beside(look, right))]

    def _row(self, line: Line) -> Row:
        if line.person is None:
            return Row(NO_CLASS)
        person = line.person
        when = since_words(person.last, self.context.now()) if person.last else "new"
        return Row(person.player.name, when, set_in=line.inside)

    def _beside(self, look: Look, box: Rect) -> list[Widget]:
        person = self.person
        name, about, hills, holds, next_, taken, buttons, more, told = rows(
            box,
            [max(look.line("title"), look.u(TARGET)), look.line(), None, look.line("lead"), look.line(), look.line(),
             look.u(TARGET), look.u(TARGET), look.line("small") * 2],
            look.u(10),
        )  # fmt: skip
        bring, history, folder = columns(more, [None, None, None], look.u(10))
        found: list[Widget] = [
            Label("told", told, self._told or (self.about and self.about.task) or DROPPED, "small",
                  bold=bool(self._told), middle=True),
            Button("bring", bring, "Bring in", self._bring_in, key="i"),
            Button("open", folder, "Open folder", self._open_folder, key="o"),
        ]  # fmt: skip
        if person is None:
            return found
        page, group, remove = columns(buttons, [None, None, None], look.u(10))
        whole = person.player.kind == "class"
        top = Rect(name.x, name.centery - look.u(TARGET) // 2, name.w, look.u(TARGET))
        _, progress, rename = columns(top, [None, look.u(190), look.u(150)], look.u(10))
        name.w = progress.x - look.u(16) - name.x
        return [
            Label("name", name, person.player.name, "title", bold=True, middle=True),
            Button("rename", rename, "Rename", self._ask_name, key="r"),
            Label("about", about, self._about_words(person), middle=True),
            *self._standing(look, person, hills, holds, next_, taken),
            Button("print", page, "Pages to print" if whole else "Page to print", self._print, main=True, key="p"),
            Button("progress", progress, "Progress", self._open_progress, key="g"),
            Button("new", group, "New pupil", self._ask_new, key="n")
            if whole
            else Button("group", group, "Into a class", self._group, key="c"),
            Button("remove", remove, "Remove", self._remove, key="delete"),
            Button("history", history, "Save history", self._save_history, key="h"),
            *found,
        ]

    def _about_words(self, person: Person) -> str:
        when = f"Last: {since_words(person.last, self.context.now())}" if person.last else "Nothing answered yet"
        if person.player.kind == "class":
            inside = len(members(self._people, person.player))
            return f"{when}. {counted(inside, 'pupil') if inside else 'No pupils'} in it."
        room = next((one.name for one in self._classes if one.uuid == person.group), "")
        return f"{when}. {room or NO_CLASS}."

    def _standing(self, look: Look, person: Person, hills: Rect, holds: Rect, next_: Rect, taken: Rect) -> list[Widget]:
        """Their level, with what holds as hills and in words, and the next thing to do."""
        if self.about is None:
            # Nothing to be read where nothing was answered: then the page is there at once.
            return [Label("next", next_, "Reading the answers …", colour="quiet")] if person.last else []
        _, other, standing, mixed, _ = self.about
        whole = person.player.kind == "class"
        found: list[Widget] = []
        if person.last is None:
            # Without answers the land is flat: the page says what will be seen here.
            words = BEFORE_LESSON if whole else BEFORE_ROUND
            above, hills = rows(hills, [min(look.height(words, hills.w), hills.h // 2), None], look.u(8))
            found.append(Label("before", above, words))
        elif standing:
            hills, legend = rows(hills, [None, look.height(LEGEND, hills.w, "small")])
            found.append(Label("legend", legend, LEGEND, "small", colour="quiet"))
        level, now = other.level, self.context.now()
        layouts = [tile_layout(figure, spelling) for figure, spelling in spelled(level).items()]
        firm = sum(standing.firm(now)) if standing else 0
        return [
            *found,
            Skyline("skyline", hills, hills_of(level, standing, now), layouts),
            Label("holds", holds, f"{level.title}: {firm} of {counted(len(level.figures), 'figure')} firm.", "lead",
                  bold=True, middle=True),
            Label("next", next_, f"Next: {next_words(level, standing, now, whole, level.name in other.closed())}"),
            Label("mixed", taken, mixed_words(level, mixed)),
        ]  # fmt: skip

    def _choose_class(self, look: Look, box: Rect) -> list[Widget]:
        title, classes, _ = rows(box, [look.line("lead"), None, look.u(TARGET)], look.u(12))
        person = self.person
        name = person.player.name if person else ""
        lines = [Row(NO_CLASS), *(Row(one.name) for one in self._classes)]
        uuids = ["", *(one.uuid for one in self._classes)]
        chosen = uuids.index(person.group) if person and person.group in uuids else 0
        row = row_height(look)
        return [
            Label("group title", title, f"{name} belongs to", "lead", bold=True, middle=True),
            ListBox("classes", classes, lines, chosen, self._put_into, self._stop_grouping, row),
        ]

    # Acts

    def _choose(self, place: int) -> None:
        lines = self.lines
        if 0 <= place < len(lines) and lines[place].person is None:
            # The heading over those without a class is passed over, on the way down and on the way up.
            place += 1 if place > self._chosen else -1
        self._chosen, self._told = place, ""
        self.about = self._work = None

    def _search(self, text: Edited) -> None:
        self._find = text
        self._choose(0)

    def _to_find(self) -> Next:
        self.set_focus("find")
        return None

    def _to_people(self) -> Next:
        self.set_focus("people")
        return None

    @property
    def _room(self) -> Player | None:
        """The class that is looked at, or that whoever is looked at belongs to."""
        person = self.person
        if person is None:
            return None
        uuid = person.player.uuid if person.player.kind == "class" else person.group
        return next((one for one in self._classes if one.uuid == uuid), None)

    def _ask_new(self) -> Next:
        room = self._room
        question = f"A new pupil of {room.name}." if room else "A new pupil, without a class."
        return Push(NamePrompt(self.context, question, "", lambda name: self._add(name, room)))

    def _add(self, name: str, room: Player | None) -> str:
        """Take in a pupil of that class, on the level that it is on; returns why it can't be."""
        records = self.context.records
        try:
            # Not as the most recent: who plays stays the same.
            player = records.add_player(name, self.context.now(), recent=False)
            if room:
                level = records.settings(room).level
                records.save_settings(player, replace(records.settings(player), group=room.uuid, level=level))
        except RecordsError as error:
            return str(error)
        self._find, self._people = Edited(), people_in(self.context)
        self._choose(self._place_of(player))
        self._told = f"{player.name} is added. N: the next one."
        return ""

    def _group(self) -> Next:
        person = self.person
        self._grouping, self.focus = True, "classes"
        self._group_before = person.group if person else ""
        return None

    def _put_into(self, place: int) -> None:
        self._put(["", *(one.uuid for one in self._classes)][place])

    def _leave_group(self) -> Next:
        self._put(self._group_before)
        return self._stop_grouping()

    def _put(self, uuid: str) -> None:
        person = self.person
        if person is None:
            return
        records = self.context.records
        records.save_settings(person.player, replace(records.settings(person.player), group=uuid))
        # Written beside the settings in memory, which would else put the old class back when next kept.
        if person.player == self.context.player:
            self.context.take_settings()
        self._people = people_in(self.context)
        self._chosen = self._place_of(person.player)

    def _stop_grouping(self) -> Next:
        self._grouping, self.focus = False, "people"
        return None

    def _bring_in(self) -> Next:
        return Push(BringIn(self.context, self._brought))

    def _brought(self, imported: Imported) -> None:
        self._find, self._people = Edited(), people_in(self.context)
        self._choose(self._place_of(imported.player))
        self._told = imported_words(imported)

    def _open_folder(self) -> Next:
        self._told = open_folder(saved_in(self.context))
        return None

    def _save_history(self) -> Next:
        person = self.person
        if person is None:
            return None
        try:
            path = new_path(self.context, f"history {person.player.name}", ".jsonl")
            self.context.records.export_history(path, person.player)
        except (FileError, RecordsError) as error:
            self._told = str(error)
        else:
            self._told = saved_words(path)
        return None

    def _task_words(self, person: Person, level: Level) -> str:
        """How the task stands that was set for somebody, or for all pupils of a class; empty where there is none."""
        context = self.context
        task, now = context.task(person.player), context.now()
        # Set on another level it says nothing of this one.
        if task is None or task.level != level.name:
            return ""
        if person.player.kind != "class":
            return state_words(task, level, task.right(context.task_answers(task, person.player)), now)
        pupils = [one.player for one in members(self._people, person.player)]
        done = sum(task.right(context.task_answers(task, one)) >= task.wanted for one in pupils)
        return class_words(task, level, done, len(pupils)) if local_day(now) <= task.until else ""

    def _set_task(self) -> Next:
        """Set the next of what the coach proposes for a pupil, or all of a class; after the last none."""
        person, about = self.person, self.about
        if person is None or about is None:
            return None
        pupils = members(self._people, person.player) if person.player.kind == "class" else [person]
        if not pupils:
            self._told = "No pupil belongs to this class yet: choose one and press C."
            return None
        context, level, now = self.context, about.context.level, self.context.now()
        before = context.task(person.player)
        stands = before and local_day(now) <= before.until and not self._is_done(person, before)
        # The one who is looked at may play here too: nobody sets a task in their own name.
        by = "" if context.player == person.player else context.player.name
        task = following(level, about.mixed, before if stands else None, by, now)
        for one in {person.player, *(pupil.player for pupil in pupils)}:
            context.set_task(one, task)
        self.about = about._replace(task=self._task_words(person, level))
        self._told = f"{self.about.task} T again: another one." if task else "No task. T again: the first one."
        self.stale = True
        return None

    def _is_done(self, person: Person, task: SetTask) -> bool:
        return task.right(self.context.task_answers(task, person.player)) >= task.wanted

    def _open_progress(self) -> Next:
        """What they mix up, week by week and day by day, and each as a table to save."""
        person = self.person
        if person is None:
            return None
        return Push(open_progress_of(self.context, person.player, self._context_of(person.player).level))

    def _print(self) -> Next:
        person = self.person
        if person is None:
            return None
        whole = person.player.kind == "class"
        pupils = members(self._people, person.player) if whole else [person]
        if not pupils:
            self._told = "No pupil belongs to this class yet: choose one and press C."
            return None
        # A page for each pupil of a class, to be handed out.
        pages = [self._page_of(one.player) for one in pupils]
        data = pupils_report(pages, person.player.name, self.context.now())
        name = f"class {person.player.name}" if whole else f"pupil {person.player.name}"
        told = save(self.context, name, ".pdf", data)
        self._told = f"{counted(len(pages), 'page')}. {told}"
        return None

    def _page_of(self, player: Player) -> PupilPage:
        other = self._context_of(player)
        # By ear alone: the page tells of what is told apart, not of hands.
        answers = self.context.records.answers(player, Wanted(ability="hearing"))
        return pupil_page(
            player.name, other.level, answers, other.standing(other.level), self.context.now(), other.settings.hand
        )

    def _ask_name(self) -> Next:
        person = self.person
        if person is None:
            return None
        player = person.player
        question = f"Another name for {player.name}. All that is kept stays."
        return Push(NamePrompt(self.context, question, player.name, lambda name: self._rename(player, name)))

    def _rename(self, player: Player, name: str) -> str:
        """Give somebody another name; returns why it can't be."""
        try:
            renamed = self.context.records.rename_player(player, name)
        except RecordsError as error:
            return str(error)
        if player == self.context.player:
            self.context.player = renamed
        # Whoever was looked for by the old name might not be found by it any more.
        self._find, self._people = Edited(), people_in(self.context)
        self._choose(self._place_of(renamed))
        return ""

    def _remove(self) -> Next:
        person = self.person
        if person is None:
            return None
        player = person.player
        if player == self.context.player:
            self._told = "Who plays now can't be removed: choose another player on the first page."
            return None
        question = f"Remove {player.name} and all answers? Everything is copied to a backup first."
        return Push(Dialog(self.context, question, "Keep them", "Remove", lambda: self._removed(player)))

    def _removed(self, player: Player) -> Next:
        kept = self.context.records.remove(player, self.context.now())
        back = f" I brings them back. All is kept in {shown_path(kept.parent)}" if kept else ""
        self._told = f"{player.name} is removed.{back}"
        # The line before it: the last one of the list has none after it.
        self._chosen = max(0, self._chosen - 1)
        return Pop()


def next_words(level: Level, standing: Standing | None, now: float, whole: bool = False, closed: bool = False) -> str:
    """The next thing for a pupil with that standing, or a ``whole`` class, in a few words.

    ``closed`` says whether the closing round of the level was passed.
    """
    if standing is None:
        return f"a first lesson on {level.title}." if whole else f"a first round of {level.title}."
    # What was firm comes first: it is soonest brought back.
    if sunk := standing.sunk(now):
        return f"bring back {', '.join(map(level.as_shown, sunk[:3]))}."
    if standing.holds(now):
        return "the next level." if closed else "the closing round, then the next level."
    if weak := standing.weakest(now):
        return f"make firm {', '.join(map(level.as_shown, weak[:3]))}."
    return f"meet {', '.join(map(level.as_shown, standing.unmet()[:3]))}."


def mixed_words(level: Level, mixed: Sequence[MixUp]) -> str:
    """What was taken for what, the largest mix-ups first; empty where none is known."""
    if not mixed:
        return ""
    return f"Mixed up: {'; '.join(f'{level.named(one.heard)} for {level.named(one.said)}' for one in mixed)}."
