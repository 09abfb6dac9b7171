"""Before a lesson: which class, on which level, who answers, and what the class knows already."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Player, RecordsError, Wanted
from game.screens.base import Heading, Key, Screen
from game.screens.context import ClassContext, Context, class_context
from game.screens.lesson.room import open_class_room
from game.screens.practice.reasons import figures_picture
from game.screens.settings.settings import SettingsScreen
from game.sessions.home.habits import USED
from game.sessions.lesson.duration import BARS, LessonLength, lesson_length, polls_of
from game.sessions.letters import LETTERS
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.figure_grid import FigureGrid, cells_for
from game.widgets.lettering import lacking_words
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import tile_layout
from game.widgets.text_field import TextField
from game.wording import counted, on_the_ladder, sentence, since_words
from shared.figures import Figure
from shared.levels import Level, read_own, shipped_levels, spelling_in

TEAM_NAMES = ("Brook", "Hill", "Marsh", "Dune")
"""Names of teams where none are given, from the land."""

LONGEST_TEAM = 14
"""The most letters of a team's name: it must be read from the back row."""

# Three and four go without the word: five options share one line of a third of the page.
ANSWERS_BY = (
    ("room", "Room"),
    ("one beat", "Remote"),
    ("2 teams", "2 teams"),
    ("3 teams", "3"),
    ("4 teams", "4"),
)

LESSON = (
    "1. Meet: a figure that is new to the room sounds alone, then beside one that is like it.",
    "2. Play: everyone hears a bar. Each figure has its letter on the wall.",
    "3. Collect: for each beat hands go up by letter, and you press the letter that most hold up. In teams, with the "
    "hands counted, or by a remote alone, if you like.",
    "4. Reveal: what was played beside what was said, and what to listen for. At the end: what this class mixes up.",
)
"""The course of a lesson, told where there is no class yet."""

TICKS = "Those without a tick are met before they are asked. Enter changes a tick."

BEGIN = "Next: write the name of your class, then Enter."

EACH_BEAT = (("one team", "In turn"), ("all teams", "All teams"), ("one beat", "Remote"))
"""Which of the teams a beat is asked of: one, in turn, or all; or one beat of each bar of one, for a remote alone."""

TOLD = {
    "room": "For each beat: the letter that most hold up, or the number of hands.",
    "one beat": "A remote is enough: one beat of each bar, and most, half or few had it.",
}


def open_class_start(context: Context) -> "ClassStart":
    """The page with the classes that the records know, and the levels."""
    own = [found for _, found in read_own(context.own_levels) if isinstance(found, Level)]
    # By name, the level at hand last: it may be of no folder, and is to be chosen all the same.
    levels = {level.name: level for level in (*shipped_levels(), *own, context.level)}
    start = ClassStart(context, context.records.players("class"), tuple(levels.values()))
    start.take_class(0)
    return start


class ClassStart(Screen):
    """Chooses a class and how it answers, and begins the lesson.  ``take_class`` reads what the class has."""

    def __init__(self, context: Context, classes: Sequence[Player], levels: Sequence[Level]) -> None:
        super().__init__(context)
        self._classes = list(classes)
        self._levels = levels
        self._chosen = 0
        self._figure = 0
        self.lesson: ClassContext | None = None
        self._known: set[Figure] = set()
        self._met: frozenset[Figure] = frozenset()
        self._text = Edited()
        self._names = Edited()
        self._refused = ""
        # Enter begins the lesson at once, for a class of last week; a first class needs a name before.
        self.focus = "begin" if self._classes else "name"

    def heading(self) -> Heading:
        return Heading("Class", "Listening together", self._last_words())

    def keys(self) -> Sequence[Key]:
        if self.lesson is None:
            return (Key("escape", "home", Pop),)
        return (
            Key("page down", "begin", self._begin),
            *((Key("a", self._all_says.lower(), self._all_at_once),) if self._all_says else ()),
            *((Key("t", "ten minutes", self._turn_ten_minutes),) if self.length.fitting else ()),
            Key("s", "the class's settings", self._open_settings),
            Key("escape", "home", Pop),
        )

    def entered(self) -> None:
        # The class's settings may have moved the volume, which is the machine's.
        self.context.take_settings()
        if self.lesson:
            self.lesson.follow_window()
        self.stale = True

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, middle, right = columns(box, [box.w * 0.3, box.w * 0.34, None], look.u(36))
        found = self._who(look, left)
        if self.lesson is None:
            return [*found, *self._first(look, middle.union(right))]
        return [*found, *self._how(look, middle), *self._what(look, right)]

    def _who(self, look: Look, box: Rect) -> list[Widget]:
        row = row_height(look)
        title, classes, name, add, refused, settings = rows(
            box,
            [look.line("lead"), None, look.u(TARGET), look.u(TARGET), look.line("small") * 2, look.u(TARGET)],
            look.u(10),
        )
        lines = [Row(one.name) for one in self._classes]
        shown: list[Widget] = (
            [ListBox("classes", classes, lines, self._chosen, self.take_class, self._to_begin, row)]
            if lines
            else [Label("none", classes, "None yet: write a name for your class.", colour="quiet")]
        )
        faulty, words = bool(self._refused), self._refused or lacking_words(self._text.text)
        field = TextField("name", name, look, self._text, self._change, self._add, "A new class", faulty=faulty)
        return [
            Label("classes title", title, "Which class", "lead", bold=True, middle=True),
            *shown,
            field,
            Button("add", add, "Add class", self._add),
            Label("refused", refused, words, "small", colour="warn", bold=True),
            *(
                [Button("settings", settings, "The class's settings", self._open_settings, key="s")]
                if self.lesson
                else []
            ),
        ]

    def _first(self, look: Look, box: Rect) -> list[Widget]:
        """A lesson explained to whoever has no class yet: a figure with its letter, and the four steps."""
        gap = look.u(10)
        high = [
            look.line("lead"),
            *(look.height(words, box.w) for words in LESSON),
            look.height(BEGIN, box.w, bold=True),
        ]
        # The words first: what they leave is for the figures.
        drawn_high = max(look.u(40), min(look.u(110), box.h - sum(high) - (len(high) + 1) * gap))
        title, figures, *steps, next_, _ = rows(box, [high[0], drawn_high, *high[1:], None], gap)
        level = self.context.level
        # The level's own first figures, under the letters that they will have in the lesson.
        shown = level.figures[:4]
        cells = columns(figures, [look.u(30), None] * len(shown), look.u(12))
        signs, drawn = cells[::2], cells[1::2]
        return [
            Label("first title", title, "Ten minutes with a class", "lead", bold=True, middle=True),
            *(Label(f"sign {sign}", place, sign, "lead", bold=True, colour="accent", middle=True)
              for sign, place in zip(LETTERS, signs, strict=False)),
            *(figures_picture(f"figure {figure}", place, level, [figure])
              for figure, place in zip(shown, drawn, strict=True)),
            *(Label(f"step {k}", place, words) for k, (words, place) in enumerate(zip(LESSON, steps, strict=True))),
            Label("first next", next_, BEGIN, bold=True),
        ]  # fmt: skip

    def _last_words(self) -> str:
        """When the class had its last lesson."""
        if self.lesson is None:
            return ""
        last = self.context.records.answers(self.lesson.player, Wanted(last=1))
        return f"Last lesson: {since_words(last[0].at, self.context.now())}" if last else "The first lesson"

    def _how(self, look: Look, box: Rect) -> list[Widget]:
        lesson = self.lesson
        assert lesson is not None
        row = row_height(look)
        answers_by = lesson.settings.answers_by
        with_teams = self._teams > 0
        length = self.length
        time = length.words
        title, levels, teams_title, teams, below, asked, told, bars, begin = rows(
            box, [look.line("lead"), None, look.line("lead"), look.u(TARGET), look.u(TARGET),
                  look.u(TARGET) if with_teams else 0, look.height(time, box.w, "small"),
                  look.u(TARGET) if length.fitting else 0, look.u(TARGET + 10)],
            look.u(8),
        )  # fmt: skip
        chosen = next((k for k, level in enumerate(self._levels) if level.name == lesson.level.name), 0)
        who = "Teams, by name" if with_teams else "Who answers"
        how: Widget = (
            TextField(
                "names", below, look, self._names, self._change_names, self._keep_names, ", ".join(TEAM_NAMES), 80
            )
            if with_teams
            else Label("told", below, TOLD[answers_by], "small", middle=True)
        )
        return [
            Label("level title", title, "Level", "lead", bold=True, middle=True),
            ListBox("levels", levels, [Row(on_the_ladder(level)) for level in self._levels], chosen, self._choose_level,
                    self._to_begin, row),
            Label("answers title", teams_title, who, "lead", bold=True, middle=True),
            Choice("answers", teams, ANSWERS_BY, answers_by, lambda value: lesson.change_settings(answers_by=value)),
            how,
            *([Choice("each beat", asked, EACH_BEAT, lesson.settings.each_beat,
                      lambda value: lesson.change_settings(each_beat=value))] if with_teams else []),
            Label("time", told, time, "small"),
            *([Choice("bars", bars, self._numbers_of_bars(length), lesson.settings.ten_minutes,
                      lambda value: lesson.change_settings(ten_minutes=value))] if length.fitting else []),
            Button("begin", begin, "Begin the lesson", self._begin, main=True, key="page down"),
        ]  # fmt: skip

    def _what(self, look: Look, box: Rect) -> list[Widget]:
        """The level's figures, those ticked that the class knows; the others are met before they are asked."""
        level = self.level
        layouts = [tile_layout(figure, spelling_in(level, figure)) for figure in level.figures]
        title, grid, told, every = rows(
            box, [look.line("lead"), None, look.height(TICKS, box.w, "small"), look.u(TARGET)], look.u(10)
        )
        ticked = frozenset(k for k, figure in enumerate(level.figures) if figure in self._known)
        unmet = len(level.figures) - len(ticked)
        words = TICKS if unmet else "All are asked from the first bar."
        chosen = min(self._figure, len(level.figures) - 1)
        cells = cells_for(look, grid, layouts)
        return [
            Label("known title", title, "The class knows", "lead", bold=True, middle=True),
            FigureGrid("known", grid, layouts, cells, chosen, self._choose_figure, self._tick, ticked),
            Label("known told", told, words, "small"),
            *([Button("all", every, self._all_says, self._all_at_once, key="a")] if self._all_says else []),
        ]

    @property
    def _all_says(self) -> str:
        """What the key for all the ticks does; nothing where the class has met every figure."""
        if len(self._known) < len(self.level.figures):
            return "All known"
        return "Not all known" if len(self._met) < len(self.level.figures) else ""

    @property
    def _teams(self) -> int:
        """How many teams answer; none where the whole room does."""
        answers_by = self.lesson.settings.answers_by if self.lesson else ""
        # The choice begins with its number, such as "3 teams".
        return int(answers_by[0]) if answers_by.endswith("teams") else 0

    @property
    def _one_beat(self) -> bool:
        """Whether one beat of each bar is asked, so that a remote is enough."""
        settings = self.lesson.settings if self.lesson else self.context.settings
        return "one beat" in (settings.answers_by, settings.each_beat if self._teams else "")

    @property
    def length(self) -> LessonLength:
        """How long the lesson takes that is chosen."""
        assert self.lesson is not None
        settings = self.lesson.settings
        polls = polls_of(self.level, self._teams, one_beat=self._one_beat, all_teams=settings.each_beat == "all teams")
        return lesson_length(self.level, polls, len(self.level.figures) - len(self._known))

    @staticmethod
    def _numbers_of_bars(length: LessonLength) -> tuple[tuple[bool, str], ...]:
        """Ten bars, or those that fit ten minutes."""
        return (False, counted(BARS, "bar")), (True, counted(length.fitting, "bar"))

    def _turn_ten_minutes(self) -> Next:
        if self.lesson:
            self.lesson.change_settings(ten_minutes=not self.lesson.settings.ten_minutes)
        return None

    @property
    def level(self) -> Level:
        return self.lesson.level if self.lesson else self.context.level

    def take_class(self, place: int) -> None:
        """Choose a class: its settings, its level, and what it answered before."""
        self._chosen = place
        if place < len(self._classes):
            self.lesson = class_context(self.context, self._classes[place])
            self._names = Edited(self.lesson.settings.teams)
            self._take_known()

    def _take_known(self) -> None:
        """Take as known the figures that the level does not bring in, and those that the class has answered."""
        if self.lesson is None:
            return
        heard = {row.heard for row in self.context.records.answers(self.lesson.player)}
        level = self.level
        new = set(level.new or level.figures)
        self._met = frozenset(one for one in level.figures if one not in new or one.count in heard)
        self._known = set(self._met)

    def _choose_level(self, place: int) -> None:
        if self.lesson:
            self.lesson.choose_level(self._levels[place])
            self._figure = 0
            self._take_known()

    def _choose_figure(self, place: int) -> None:
        self._figure = place

    def _tick(self) -> Next:
        self._known ^= {self.level.figures[self._figure]}
        return None

    def _all_at_once(self) -> Next:
        """All known; again: only what the class has met."""
        if len(self._known) == len(self.level.figures):
            self._known = set(self._met)
        else:
            self._known = set(self.level.figures)
        return None

    def _change(self, text: Edited) -> None:
        self._text, self._refused = text, ""

    def _change_names(self, text: Edited) -> None:
        self._names = text
        if self.lesson:
            # An emptied field means the usual names.
            self.lesson.change_settings(teams=text.text.strip()[:80] or ", ".join(TEAM_NAMES))

    def _keep_names(self) -> Next:
        return self._to_begin()

    def _add(self) -> Next:
        try:
            # Not as the most recent: the next start goes on with who plays, and not with a class.
            room = self.context.records.add_player(self._text.text, self.context.now(), "class", recent=False)
        except RecordsError as error:
            self._refused, self.focus = sentence(str(error)), "name"
            return None
        self._classes = [room, *self._classes]
        self._text, self.focus = Edited(), "begin"
        self.take_class(0)
        return None

    def _to_begin(self) -> Next:
        self.set_focus("begin")
        return None

    def _open_settings(self) -> Next:
        return Push(SettingsScreen(self.lesson)) if self.lesson else None

    def _begin(self) -> Next:
        lesson = self.lesson
        if lesson is None:
            return None
        length = self.length
        known = tuple(figure for figure in lesson.level.figures if figure in self._known)
        room = open_class_room(
            lesson, lesson.player, team_names(self._names.text, self._teams),
            one_beat=self._one_beat, all_teams=lesson.settings.each_beat == "all teams",
            known=known, bars=length.fitting if length.fitting and lesson.settings.ten_minutes else BARS,
        )  # fmt: skip
        for way in ("class", "paper"):
            self.context.keep_opened(way, USED)
        # With the class too, for whoever sits here next under another name.
        lesson.keep_opened("class", USED)
        # Kept, so that the next lesson begins with this class and the same choices.
        lesson.change_settings()
        # The class becomes the most recent of the classes, then who plays the most recent of all.
        lesson.records.choose_player(lesson.player)
        lesson.records.choose_player(self.context.player)
        return Replace(room)


def team_names(text: str, count: int) -> tuple[str, ...]:
    """So many different names: those that were written, with commas between, then names from the land."""
    written = [" ".join(name.split())[:LONGEST_TEAM].strip() for name in text.split(",")]
    names = dict.fromkeys(name for name in (*written, *TEAM_NAMES) if name)
    return tuple(names)[:count]
