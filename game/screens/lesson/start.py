"""Before a lesson: which class, on which level, with teams or without."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Player, RecordsError, Wanted
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.lesson.room import open_class_room
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.widgets.text_field import TextField
from game.widgets.texts import paragraphs
from game.wording import counted

TEAM_NAMES = ("Brook", "Hill", "Marsh", "Dune")
"""Names of teams, from the land."""

HOW = (
    "Space, or Page down on a remote, leads on: play, collect, hands down, reveal, next.",
    "Page up plays again; Backspace takes back what was typed wrong; F11 fills the screen.",
    "Hands: press a figure's letter and type how many hands, or press only the letter that most chose.",
    "Cards work too: pupils hold up the letter, you press what you see.",
    "Nothing is revealed before the hands are down.",
)


def open_class_start(context: Context) -> "ClassStart":
    """The page with the classes that the records know."""
    return ClassStart(context, context.records.players("class"))


class ClassStart(Screen):
    """Chooses a class and teams, and begins the lesson."""

    def __init__(self, context: Context, classes: Sequence[Player]) -> None:
        super().__init__(context)
        self._classes = list(classes)
        self._chosen = 0
        self._teams = 0
        self._text = Edited()
        self._refused = ""
        self.focus = "begin" if self._classes else "name"

    def heading(self) -> Heading:
        return Heading("Class", self.context.level.title, "Listening together")

    def keys(self) -> Sequence[Key]:
        return (
            *((Key("page down", "begin", self._begin),) if self._classes else ()),
            Key("escape", "home", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [None, None], look.u(56))
        return [*self._who(look, left), *self._how(look, right)]

    def _who(self, look: Look, box: Rect) -> list[Widget]:
        row = look.u(TARGET - 4)
        shown = max(1, min(4, len(self._classes)))
        title, classes, name, refused, teams_title, teams, begin, _ = rows(
            box,
            [look.line("lead"), row * shown, look.u(TARGET), look.line("small") * 2, look.line("lead"),
             look.u(TARGET), look.u(TARGET + 10), None],
            look.u(12),
        )  # fmt: skip
        field, add = columns(name, [None, look.u(150)], look.u(16))
        options = [(0, "Whole room"), *((k, f"{k} teams") for k in range(2, len(TEAM_NAMES) + 1))]
        return [
            Label("classes title", title, "Which class", "lead", bold=True, middle=True),
            *self._list(classes, row),
            TextField(
                "name",
                field,
                look,
                self._text,
                self._change,
                self._add,
                "Name of a new class",
                faulty=bool(self._refused),
            ),
            Button("add", add, "Add class", self._add),
            Label("refused", refused, self._refused, "small", colour="warn", bold=True),
            Label("teams title", teams_title, "Who answers", "lead", bold=True, middle=True),
            Choice("teams", teams, options, self._teams, self._choose_teams),
            *([Button("begin", begin, "Begin the lesson", self._begin, main=True)] if self._classes else []),
        ]

    def _list(self, box: Rect, row: int) -> list[Widget]:
        if not self._classes:
            return [Label("none", box, "None yet: write a name for your class.", colour="quiet", middle=True)]
        lines = [Row(one.name, self._remark(one)) for one in self._classes]
        return [ListBox("classes", box, lines, self._chosen, self._choose, self._to_begin, row)]

    def _remark(self, room: Player) -> str:
        known = self.context.records.answers(room, Wanted(last=1))
        return "new" if not known else counted(self.context.records.count_answers(room), "answer")

    def _how(self, look: Look, box: Rect) -> list[Widget]:
        title, words = rows(box, [look.line("lead"), None], look.u(12))
        return [
            Label("how title", title, "How it goes", "lead", bold=True, middle=True),
            *paragraphs(look, words, "how", HOW),
        ]

    # Acts

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _choose_teams(self, value: int) -> None:
        self._teams = value

    def _change(self, text: Edited) -> None:
        self._text, self._refused = text, ""

    def _add(self) -> Next:
        try:
            room = self.context.records.add_player(self._text.text, self.context.now(), "class")
        except RecordsError as error:
            self._refused, self.focus = str(error), "name"
            return None
        # A class that is added counts as the most recent player; the one at this machine is to stay that.
        self.context.records.choose_player(self.context.player)
        self._classes = [room, *self._classes]
        self._chosen, self._text, self.focus = 0, Edited(), "begin"
        return None

    def _to_begin(self) -> Next:
        self.set_focus("begin")
        return None

    def _begin(self) -> Next:
        teams = TEAM_NAMES[: self._teams]
        return Replace(open_class_room(self.context, self._classes[self._chosen], teams))
