"""The home page: who plays, on which level, how firm its figures are, the one next thing to do, and the ways in."""

import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import takewhile
from pathlib import Path
from typing import Any

from pygame import Rect, Surface

from game.records import Player, RecordsError, Round
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.home.first_start import FirstStart
from game.screens.home.ways import (
    CLOSING,
    DEMO,
    PRACTICE,
    RECORDINGS,
    SETTINGS,
    WAYS,
    Way,
    pair_practice,
    recording_way,
)
from game.screens.notices.restore import RestoreOffer
from game.service import goes_on
from game.sessions.exam.day import FARTHEST, days_until
from game.sessions.home.aim import Aim, AimKind, next_aim, task_aim
from game.sessions.home.habits import in_order, main_way, taught
from game.sessions.practice.scoring import points_of
from game.sessions.progress.standing import Standing
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.lettering import lacking_words
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Push, Quit
from game.widgets.notation import draw_row, tile_layout
from game.widgets.skyline import LEAST_HEIGHT, LEGEND, Skyline, hills_of
from game.widgets.text_field import TextField
from game.wording import about_words_of, counted, in_words, on_the_ladder, sentence
from shared.levels import (
    Level,
    LevelError,
    kept_names,
    ladder_place,
    read_own,
    shipped_levels,
    shipped_names,
    spelled,
)

MAIN, AIR = 88, 8
"""The least height of the main way in, in units, and the air around its words where larger type makes it higher."""

WAY, WAY_GAP = 58, 12
"""The least height of a way in, in units: its title and a few words; and the gap between two."""

ACROSS, SMALL_ACROSS = 3, 4
"""How many ways in stand side by side: those opened most, with a few words, and the others."""

OWN_SECONDS = 0.006
"""How long a frame reads a teacher's own levels: with the standing of one, most of what it has."""

MOST_PLAYERS = 5
"""So many names are seen at once; the others are scrolled to, and found by typing among the pupils."""

LAST_ROUNDS = 3
"""How many of the last rounds are told."""


class Home(Screen):
    """The first page."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.players: list[Player] = []
        self.levels: list[Level] = []
        self._writing: str | None = None
        self._text = Edited()
        self._refused = ""
        self._standings: dict[str, Standing] = {}
        self.unread: list[Level] = []
        self._work: Iterator[None] = iter(())
        self._behind: set[str] = set()
        self._aim: Aim | None = None
        self._last = self._waits = ""
        self._prepares = False
        self._lessons: list[dict[str, Any]] = []
        self._drawn = False
        self._own: Iterator[tuple[str, Level | LevelError]] = iter(())
        self.focus = self._way_focused = "practice"

    def heading(self) -> Heading:
        return Heading("Drumlin", left="Rhythm figures by ear", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        if self._writing:
            # Letters belong to the name meanwhile: the foot tells the one key that is left.
            leave = "no new player" if self._writing == "new" else "leave the name as it was"
            return (Key("escape", leave, self._stop_writing),)
        return (
            Key("n", "new player", lambda: self._write("new", "")),
            Key("r", "rename", lambda: self._write("rename", self.context.player.name)),
            Key(SETTINGS.key, "settings", partial(self._open, SETTINGS)),
            *self._demo_keys(),
            Key("q", "close", Quit),
            # The first nine by their digit; Page down and the list reach the others.
            *(Key(str(place + 1), "level", partial(self._choose_level, place), shown=False) for place in range(9)),
            Key("page down", "next level", partial(self._step_level, 1), shown=False),
            Key("page up", "level before", partial(self._step_level, -1), shown=False),
        )

    def _demo_keys(self) -> tuple[Key, ...]:
        return (Key(DEMO.key, "demo", partial(self._open, DEMO)),)

    def dropped(self, path: Path) -> Next:
        """A level file goes where the levels are, a recording to the page that reads it."""
        if path.suffix.lower() in RECORDINGS:
            return Push(recording_way(self.context, path))
        if path.suffix.lower() != ".toml":
            return None
        levels = next(way for way in WAYS if way.name == "level-files").open(self.context)
        levels.dropped(path)
        return Push(levels)

    def _open(self, way: Way) -> Next:
        page = way.open(self.context)
        self.context.keep_opened(way.name)
        return Push(page)

    def entered(self) -> None:
        # Before anything was pressed here, and after what made another way in the main one: Enter does what is large.
        main = self._arranged()[0].name
        if self.focus == self._way_focused or not self.players:
            self.focus = main
        self._way_focused = main
        self._list_players()
        self.levels = [self.context.counted(level) for level in shipped_levels()]
        # A teacher's own levels come frame by frame (``_read_own``); the one at hand can't wait for that.
        if self.context.level.name not in shipped_names():
            # A level of the player's own, or a file that was named at the start: it is shown as the one at hand.
            self.levels.append(self.context.level)
        self._own = read_own(self.context.own_levels)
        self._forget()
        self._drawn = False
        self.stale = True

    def _list_players(self) -> None:
        """List who can play, a new one first, and the others where they were.

        The first list of a window has them as they played last; from then on nobody's name moves under a hand.
        """
        places = {player.id: place for place, player in enumerate(self.players)}
        self.players = sorted(self.context.records.players("player"), key=lambda one: places.get(one.id, -1))

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002
        # The page is shown first: to work out a standing, the coach may have to replay a long log.
        if not self._drawn:
            self._drawn = True
            return []
        if self.unread and not goes_on(self._work):
            self._tell_one(self.unread.pop(0))
        self._read_own()
        return []

    def body(self, look: Look, box: Rect) -> list[Widget]:
        left, right = columns(box, [box.w * 0.34, None], look.u(56))
        # The right side first, so that Tab begins at what most people want.
        return [*self._right(look, right), *self._left(look, left)]

    # Who plays, and the level

    def _left(self, look: Look, box: Rect) -> list[Widget]:
        row = row_height(look)
        shown = max(1, min(MOST_PLAYERS, len(self.players)))
        words = self._refused or (lacking_words(self._text.text) if self._writing else "")
        told = [look.height(words, box.w, "small", bold=True)] if words else []
        who, players, buttons, *refused, what, levels = rows(
            box,
            [look.line("lead"), row * shown, look.u(TARGET), *told, look.line("lead"), None],
            look.u(8),
        )
        # None of them is chosen where a class, which is not in this list, was at work last.
        chosen = next((k for k, player in enumerate(self.players) if player == self.context.player), 0)
        return [
            Label("who", who, "Who plays", "lead", bold=True, middle=True),
            ListBox(
                "players", players, [Row(player.name) for player in self.players], chosen, self._choose_player,
                self._to_practice, row,
            ),
            *self._name_widgets(look, buttons),
            *(Label("refused", low, words, "small", colour="warn", bold=True, middle=True) for low in refused),
            Label("what", what, "Level", "lead", bold=True, middle=True),
            ListBox(
                "levels", levels, [self._level_row(level) for level in self.levels], self._chosen_level,
                self._choose_level, self._to_practice, row,
            ),
        ]  # fmt: skip

    def _name_widgets(self, look: Look, box: Rect) -> list[Widget]:
        if self._writing:
            field = TextField(
                "name", box, look, self._text, self._change_text, self._take_name, "A name, then Enter",
                faulty=bool(self._refused),
            )  # fmt: skip
            return [field]
        add, rename = columns(box, [None, None], look.u(16))
        return [
            Button("add", add, "New player", lambda: self._write("new", "")),
            Button("rename", rename, "Rename", lambda: self._write("rename", self.context.player.name)),
        ]

    def _level_row(self, level: Level) -> Row:
        return Row(on_the_ladder(level), self._remark(level))

    def _is_begun(self, level: Level, standing: Standing) -> bool:
        """Whether a figure that the level brings in was heard: old friends are heard on other levels too."""
        new = {figure.count for figure in level.new or level.figures}
        # One stroke is counted 1 in crotchet beats and in beats of three: the first level must not begin the eighth.
        for other in takewhile(lambda other: other.name != level.name, self.levels):
            if other.meter.compound != level.meter.compound:
                new -= {figure.count for figure in other.figures}
        return any(times for figure, times in zip(standing.figures, standing.heard, strict=True) if figure in new)

    def _is_behind(self, level: Level) -> bool:
        """Whether a level was begun and its figures were answered since, on another one."""
        kept = self._standings.get(level.name)
        return kept is not None and self._is_begun(level, kept) and not self.context.up_to_date(level, kept)

    def _is_passed_by(self, level: Level) -> bool:
        """Whether nothing is to be brought back there: it was not begun, or what is known of it is older than it is."""
        kept = self._standings.get(level.name)
        return level.name in self._behind or (kept is not None and not self._is_begun(level, kept))

    def _remark(self, level: Level) -> str:
        """How a level stands, in a word or two."""
        standing, now = self._standings.get(level.name), self.context.now()
        if standing is None or not self._is_begun(level, standing):
            return "kept" if level.name in kept_names() else ""
        if sunk := len(standing.sunk(now)):
            return f"{sunk} to bring back"
        if standing.holds(now):
            return "holds"
        firm = sum(standing.firm(now))
        return f"{firm} of {len(standing.figures)} firm" if firm else "begun"

    def _choose_player(self, place: int) -> None:
        self.context.choose_player(self.players[place])
        self._forget()

    def _choose_level(self, place: int) -> None:
        self.context.choose_level(self.levels[place])
        self._forget()

    @property
    def _chosen_level(self) -> int:
        """The place of the level at hand in the list."""
        return next((k for k, level in enumerate(self.levels) if level.name == self.context.level.name), 0)

    def _step_level(self, step: int) -> None:
        self._choose_level(min(max(0, self._chosen_level + step), len(self.levels) - 1))

    def _forget(self) -> None:
        """Let what is told of player and level be looked up again.

        What was kept is told at once; what must be worked out anew comes after painting, a level at a time.
        """
        context, self._aim = self.context, None
        kept = {level.name: context.kept_standing(level) for level in self.levels}
        self._standings = {name: found for name, found in kept.items() if found}
        shipped = shipped_names()
        others = [level for level in self.levels if level.name != context.level.name and level.name in shipped]
        self._behind = {level.name for level in others if self._is_behind(level)}
        # The level at hand in any case, for its standing changes with each answer; of the others those that answers
        # on another level have changed, and those never worked out.
        missing = (level for level in others if level.name in self._behind or level.name not in self._standings)
        self.unread = [context.level, *missing]
        self._work = context.working_out(context.level)
        self._last = self._last_results()
        self._waits = self._waiting_riddle()
        self._lessons = [context.opened_ways(room) for room in context.records.players("class")]
        day = bool(context.exam_day(context.level))
        self._prepares = day or bool(context.records.exams(context.player, context.level.name))

    def _tell_one(self, level: Level) -> None:
        """Tell how a level stands that was worked out; from the first one on, the next thing to do is known."""
        found = self.context.kept_standing(level)
        if found:
            self._standings[level.name] = found
        self._behind.discard(level.name)
        if self.unread:
            self._work = self.context.working_out(self.unread[0])
        context = self.context
        day = context.exam_day(context.level)
        # Close to an exam its level comes before what has sunk elsewhere.
        near = day is not None and 0 <= days_until(day, context.now()) <= FARTHEST
        others = [one for one in self.levels if one.name != context.level.name]
        passed_by = [one.name for one in others if near or self._is_passed_by(one)]
        self._aim = self._task_aim() or next_aim(
            self.levels, context.level, self._standings, context.closed(), context.now(), passed_by
        )
        self.stale = True

    def _task_aim(self) -> Aim | None:
        """What a teacher has set for this player, while it is neither done nor over."""
        context = self.context
        task = context.task()
        level = next((level for level in self.levels if task and level.name == task.level), None)
        # Its level may be a file of the teacher's own that was changed since.
        if task is None or level is None or not {figure.count for figure in level.figures}.issuperset(task.figures):
            return None
        answers = context.task_answers(task)
        return task_aim(level, task, task.right(answers)) if task.stands(answers, context.now()) else None

    def _to_practice(self) -> Next:
        self.set_focus("practice")
        return None

    def _write(self, what: str, text: str) -> Next:
        self._writing, self._text, self._refused, self.focus = what, Edited.selected_whole(text), "", "name"
        return None

    def _change_text(self, text: Edited) -> None:
        self._text, self._refused = text, ""

    def _stop_writing(self) -> Next:
        self._writing, self._refused, self.focus = None, "", "players"
        return None

    def _take_name(self) -> Next:
        records = self.context.records
        try:
            if self._writing == "new":
                self.context.choose_player(records.add_player(self._text.text, self.context.now()))
            else:
                self.context.player = records.rename_player(self.context.player, self._text.text)
        except RecordsError as error:
            self._refused, self.focus = sentence(str(error)), "name"
            return None
        self._list_players()
        self._forget()
        return self._stop_writing()

    def _read_own(self) -> None:
        """Read a teacher's own levels, as many as a frame has time for: there may be thousands."""
        # By a stopwatch and not by the page's time, which a test may let stand still: it is work that is measured.
        until = time.perf_counter() + OWN_SECONDS
        for _, found in self._own:
            self.stale = True
            if isinstance(found, LevelError):
                self.context.notice = f"{found.faults[0]} (drumlin levels check lists all faults)"
            elif found.name == self.context.level.name:
                # Already in the list, since it is played on; it keeps its place among the others.
                self.levels = [level for level in self.levels if level.name != found.name] + [found]
            else:
                self.levels.append(self.context.counted(found))
                kept = self.context.kept_standing(found)
                self._standings |= {found.name: kept} if kept else {}
                self._behind |= {found.name} if self._is_behind(found) else set()
            if time.perf_counter() > until:
                break

    # The level at hand, and the ways in

    def _right(self, look: Look, box: Rect) -> list[Widget]:
        level = self.context.level
        first, *rest = self._arranged()
        lines = -(-(len(rest) - ACROSS) // SMALL_ACROSS)
        # Only where there are hills to be read.
        legend_words = LEGEND if level.name in self._standings else ""
        # A low window in large type has no room for all: first what the level is about gives way, then the hills' key.
        for about_words, key_words in ((about_words_of(level), legend_words), ("", legend_words), ("", "")):
            about_high = look.height(about_words, box.w) if about_words else 1
            legend_high = look.height(key_words, box.w, "small") if key_words else 0
            title, about, hills, below, last, notice, main, others = rows(
                box,
                [look.line("title"), about_high, None, look.line() + legend_high,
                 self._last_height(look, box.w), self._notice_height(look, box.w), self._main_height(look),
                 self._way_height(look) + lines * look.u(TARGET + WAY_GAP)],
                look.u(10),
            )  # fmt: skip
            if hills.h >= look.u(LEAST_HEIGHT):
                break
        told, legend = rows(below, [look.line(), None])
        return [
            Label("title", title, level.title, "title", bold=True, middle=True),
            Label("about", about, about_words),
            self._skyline(hills),
            Label("told", told, self._told(), bold=True, middle=True),
            Label("legend", legend, key_words, "small", colour="quiet"),
            Label("last", last, self._last_line(), middle=True),
            Label("notice", notice, self._notice(), "small", colour="warn", bold=True),
            *self._main(look, main, first),
            *self._others(look, others, rest),
        ]

    def _skyline(self, box: Rect) -> Skyline:
        """The hills of the level at hand, each with its figure; behind them the other levels of the ladder."""
        level, now = self.context.level, self.context.now()
        layouts = [tile_layout(figure, spelling) for figure, spelling in spelled(level).items()]
        behind = [self._mean(other) for other in self.levels if ladder_place(other.name)]
        return Skyline("skyline", box, hills_of(level, self._standings.get(level.name), now), layouts, behind)

    def _mean(self, level: Level) -> float:
        standing = self._standings.get(level.name)
        firmness = standing.firmness(self.context.now()) if standing else []
        return sum(firmness) / len(firmness) if firmness else 0.0

    def _told(self) -> str:
        """The hills in words, for those who can't see them."""
        level, now = self.context.level, self.context.now()
        standing = self._standings.get(level.name)
        if standing is None:
            return (
                f"{in_words(len(level.figures), 'figure').capitalize()}, none of them heard yet." if self._aim else ""
            )
        firm, sunk = sum(standing.firm(now)), len(standing.sunk(now))
        back = f", {sunk} to bring back" if sunk else ""
        return f"{firm} of {counted(len(standing.figures), 'figure')} firm{back}."

    def _main(self, look: Look, box: Rect, way: Way) -> list[Widget]:
        """The next thing to do, beside the figures it is about."""
        aim = self._aim
        if aim is None or way.name != PRACTICE.name:
            # For whoever teaches the class is the main way in, and there is no aim to tell.
            return [self._way(way, box, main=True)]
        button, figures = columns(box, [None, box.w * 0.36], look.u(16))
        return [
            Button("practice", button, aim.title, self._begin, main=True, about=aim.why, key=way.key),
            Picture("aim", figures, partial(self._draw_aim, aim)),
        ]

    def _begin(self) -> Next:
        """Begin just what the page says."""
        aim = self._aim
        if aim and aim.level != self.context.level.name:
            self._choose_level(next(k for k, level in enumerate(self.levels) if level.name == aim.level))
        task = self.context.task() if aim and aim.kind is AimKind.TASK else None
        if task and task.figures:
            level = self.context.level
            pair = [figure for figure in level.figures if figure.count in task.figures]
            return self._open(replace(PRACTICE, open=partial(pair_practice, figures=pair)))
        if aim and aim.kind is AimKind.CLOSE:
            return self._open(CLOSING)
        return self._open(PRACTICE)

    def _draw_aim(self, aim: Aim, canvas: Surface, look: Look, box: Rect) -> None:
        level = next(one for one in self.levels if one.name == aim.level)
        spelling = {figure.count: (figure, spelled) for figure, spelled in spelled(level).items()}
        layouts = [tile_layout(*spelling[count]) for count in aim.figures if count in spelling]
        draw_row(canvas, look, box, layouts)

    def _others(self, look: Look, box: Rect, ways: Sequence[Way]) -> list[Widget]:
        """The pages opened most, large and with a few words; under it all the rest."""
        gap = look.u(WAY_GAP)
        large, small = rows(box, [self._way_height(look), None], gap)
        cells = grid(large, ACROSS, ACROSS, gap)
        small_cells = grid(small, len(ways) - ACROSS, SMALL_ACROSS, gap, tallest=look.u(TARGET))
        return [
            *(self._way(way, cell) for way, cell in zip(ways, cells, strict=False)),
            *(self._way(way, cell, short=True) for way, cell in zip(ways[ACROSS:], small_cells, strict=True)),
        ]

    @staticmethod
    def _main_height(look: Look) -> int:
        return max(look.u(MAIN), look.line("lead") + look.line("small") + look.u(AIR))

    @staticmethod
    def _way_height(look: Look) -> int:
        return max(look.u(WAY), look.line() + look.line("small") + look.u(AIR))

    def _arranged(self) -> list[Way]:
        """The main way in, then the others by how often this player opens them; each keeps its key."""
        named = {way.name: way for way in WAYS}
        kept, now = self.context.opened_ways(), self.context.now()
        main = main_way(kept, now)
        rest = [name for name in named if name != main]
        return [named[main], *(named[name] for name in in_order(rest, taught(kept, self._lessons, now), now, ACROSS))]

    def _way(self, way: Way, box: Rect, main: bool = False, short: bool = False) -> Button:
        about = "" if short else way.about
        act = self._begin if way.name == PRACTICE.name else partial(self._open, way)
        return Button(way.name, box, way.title, act, main=main, about=about, key=way.key)

    def _notice(self) -> str:
        return " ".join(filter(None, (self.context.notice, self.context.sound.notice)))

    def _notice_height(self, look: Look, width: int) -> int:
        return look.height(self._notice(), width, "small", bold=True) if self._notice() else 1

    def _last_height(self, look: Look, width: int) -> int:
        return max(look.line(), look.height(self._last_line(), width))

    def _last_line(self) -> str:
        """The forecast of the level's exam for whoever prepares for it, else the last rounds; a riddle that waits."""
        told = (self._prepares and self.context.readiness(self.context.level)) or self._last
        return " ".join(filter(None, (told, self._waits)))

    def _waiting_riddle(self) -> str:
        riddles = self.context.records.riddles(self.context.player)
        return f"A riddle from {riddles[0].asker} waits in your fills (B)." if riddles else ""

    def _last_results(self) -> str:
        """The last rounds on the level with the best of their kind, and a better one of an older rule as such."""
        records, player, level = self.context.records, self.context.player, self.context.level
        rounds = records.rounds(player, level.name, last=LAST_ROUNDS)
        if not rounds:
            return ""
        # Points of an older rule beside those of today would look like a worse or better day.
        last = [one for one in rounds if one.rule == rounds[-1].rule]
        best, ever = records.best(player, level.name, like=last[-1]), records.best(player, level.name)
        if not best or not ever:
            return ""
        points, highest = points_in_words(last), points_in_words([best])
        told = f"Last round: {points}. Best: {highest}."
        if len(last) > 1:
            told = f"Last rounds: {points}. Best: {highest}."
        return told if ever.rule == best.rule else f"{told} By the earlier rule: {points_in_words([ever])}."


def points_in_words(rounds: Sequence[Round]) -> str:
    """The points of some rounds; what all of them could have earned is told once."""
    earned, possible = zip(*(points_of(one.score, one.beats) for one in rounds), strict=True)
    if len(set(possible)) == 1:
        return f"{', '.join(map(str, earned))} of {possible[0]} points"
    return ", ".join(f"{points} of {most}" for points, most in zip(earned, possible, strict=True)) + " points"


def first_screens(context: Context) -> list[Screen]:
    """The stack that a start begins with: home, and over it the first start's pages where they are new.

    Where the records were lost and a backup is there, it is offered first.
    """
    home, opening = Home(context), context.records.opening
    if opening.backup:
        first = FirstStart(context)
        return [home, first, RestoreOffer(context, opening.backup, opening.set_aside is not None, first)]
    return [home] if context.settings.first_start_done else [home, FirstStart(context)]
