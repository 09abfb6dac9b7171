"""The state that pages and commands share: the records, the player, settings, level, sound and clock.

The window and the game in the terminal stand on this one service.
"""

import time
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from audio.sound import Sound
from game.data_folder import kept_sounds, own_levels
from game.records import Player, Records, RecordsError, Round, Settings, Wanted
from game.records.players import UNNAMED
from game.sessions.clock import SteadyClock
from game.sessions.hearing.listening import USUAL, Listening, as_heard
from game.sessions.home.habits import opened
from game.sessions.practice.scoring import RULE_NUMBER
from game.wording import DAY_SECONDS
from shared.levels import Level, LevelError, find_level
from shared.orchestration import Setting

if TYPE_CHECKING:
    from game.learning import Answer
    from game.learning.coach import Coach
    from game.sessions.exam.outlook import Readiness
    from game.sessions.practice.round import PracticeRound
    from game.sessions.progress.standing import Standing
    from game.sessions.pupils.task import SetTask

FIRST_LEVEL = "stage-1"

PIECE_SECONDS = 0.006
"""Seconds of each frame for work in pieces, whose result a page shows later; the last piece may go over them."""

ROOMS = {"own": "", "dry": "dry", "room": "room", "hall": "hall"}
"""The name of a room of ``audio``, by that of the setting; the kit's own has an empty one."""

CLOSED = "closing rounds"
"""The name under which the days of passed closing rounds are kept."""

TASK = "task"
"""The name under which the task is kept that a teacher set for a pupil."""

OPENED = "opened ways"
"""The name under which the ways that a player opens from the first page are kept."""


@dataclass
class Service:
    """Everything a game needs, in a window or a terminal: records, player, level, settings, sound, clock and seeds.

    ``player``, ``level`` and ``settings`` change for all pages at once.

    ``now`` gives seconds since the epoch and never runs back; ``seed`` a number for a new round: tests fix both.
    ``notice`` is what the player should be told, such as that records could not be opened.
    """

    records: Records
    settings: Settings
    player: Player
    level: Level
    sound: Sound
    now: Callable[[], float]
    seed: Callable[[], int]
    data_folder: Path
    notice: str = ""

    @classmethod
    def start(
        cls, records: Records, player: Player, level: str | None, now: Callable[[], float], seed: Callable[[], int],
        folder: Path,
    ) -> Self:  # fmt: skip
        """Let a player play on their level, or on the one that is named.  Raises ``LevelError`` of a named one."""
        settings, notice = records.settings(player), records.opening.notice or ""
        sound = Sound(
            kit=settings.kit, volume=settings.volume, latency=settings.calibration / 1000, room=ROOMS[settings.room],
            folder=kept_sounds(folder),
        )  # fmt: skip
        first = find_level(FIRST_LEVEL)
        service = cls(records, settings, player, first, sound, SteadyClock(now), seed, folder, notice)
        # First the player's own level; one that was named takes its place for this time, and is not kept as theirs.
        service.choose_player(player)
        if level:
            service.level = service.counted(find_level(level, service.own_levels))
        return service

    @property
    def own_levels(self) -> Path:
        """Where the player's own level files lie; the folder need not exist."""
        return own_levels(self.data_folder)

    def change_settings(self, **changes: Any) -> None:
        """Change settings and keep them; the sound follows at once."""
        self.settings = replace(self.settings, **changes)
        self.records.save_settings(self.player, self.settings)
        self.tune()

    def take_settings(self) -> None:
        """Take the settings as they are kept: another page may have changed those of the machine."""
        self.settings = self.records.settings(self.player)
        self.tune()

    def tune(self) -> None:
        """Let the sound follow the settings."""
        self.sound.volume = self.settings.volume
        self.sound.latency = self.settings.calibration / 1000
        self.sound.use_kit(self.settings.kit, ROOMS[self.settings.room])

    def heard(self, asked: Setting, listening: Listening = USUAL) -> Setting:
        """The setting in which this player hears a bar for which ``asked`` is asked."""
        return as_heard(asked, self.level, self.settings, listening)

    def choose_player(self, player: Player) -> None:
        """Let another player play: with their settings and their level."""
        self.player = player
        self.records.choose_player(player)
        self.settings = self.records.settings(player)
        self.tune()
        try:
            self.level = self.counted(find_level(self.settings.level, self.own_levels))
        except LevelError as error:
            # A level of their own that is gone or damaged must not keep anybody from playing.
            self.notice = str(error)
            self.level = self.counted(find_level(FIRST_LEVEL))

    def counted(self, level: Level) -> Level:
        """A level with this player's, or class's, words of the count, where these have chosen any."""
        return level.counted_in(self.settings.counting)

    def choose_counting(self, words: str) -> None:
        """Have other words shown for those of the count, or the level's own with an empty text."""
        self.change_settings(counting=words)
        try:
            self.level = self.counted(find_level(self.level.name, self.own_levels))
        except LevelError:
            # The level at hand may have been named by its path: what its own words were is read at the next start.
            self.level = replace(self.level, count=words)

    def choose_level(self, level: Level) -> None:
        """Play on another level from now on."""
        self.level = self.counted(level)
        self.change_settings(level=level.name)

    def choose_beginning(self, begin: str) -> None:
        """Let the level at hand go on in one of the ``BEGINNINGS`` for this player."""
        self.change_settings(beginnings={**self.settings.beginnings, self.level.name: begin})

    def exam_day(self, level: Level) -> date | None:
        """The day of the real exam on a level, where the player gave one; it may be past."""
        told = self.settings.exam_days.get(level.name)
        return date.fromisoformat(told) if told else None

    def choose_exam_day(self, level: Level, day: date | None) -> None:
        """Keep the day of the real exam on a level, or forget it with None."""
        days = {name: told for name, told in self.settings.exam_days.items() if name != level.name}
        self.change_settings(exam_days=days | ({level.name: day.isoformat()} if day else {}))

    def coach(self, begin: str = "at once", level: Level | None = None) -> "Coach":
        """The coach of this player on a level (theirs), who knows every answer to its figures in the records.

        ``begin`` is how the level begins for the player: see ``Coach``.
        """
        from game.learning.coach import Coach  # numpy is slow to load: after the first picture

        coach = Coach(level or self.level, self.seed(), begin)
        for _ in coach.living_through(self._known(coach.level, self.now())):
            pass
        return coach

    def _known(self, level: Level, now: float) -> "Iterator[list[Answer]]":
        """This player's answers to a level's figures, from the records, in parts; none is later than ``now``."""
        return self.records.known(self.player, [figure.count for figure in level.figures], now)

    def standing(self, level: Level) -> "Standing | None":
        """How firmly this player holds a level's figures; None where none was ever answered."""
        for _ in self.working_out(level):
            pass
        return self.kept_standing(level)

    def working_out(self, level: Level) -> Iterator[None]:
        """Work out, a small piece at each step, how firmly this player holds a level, and how ready they are.

        Both are kept, and taken again until there is a new answer; readiness also goes stale after a day, and when the
        exam's day is changed.
        """
        player, now, day = self.player, self.now(), self.exam_day(level)
        if not self._newest(level):
            return
        ready, held = self.kept_readiness(level), self.up_to_date(level, self.kept_standing(level))
        if held and ready and 0 <= now - ready.at < DAY_SECONDS and ready.day == (day.isoformat() if day else ""):
            return
        marks = [exam.mark for exam in self.records.exams(player, level.name) if exam.mark is not None]
        failed = bool(marks) and marks[-1] < level.exam.pass_mark
        # Kept for the player of the first step, even where another one plays by the last.
        found, ready = yield from self._worked_out(level, self._known(level, now), now, day)
        self.records.keep_derived(player, f"standing {level.name}", found.kept())
        ready = replace(ready, failed=failed)
        self.records.keep_derived(player, f"readiness {level.name}", ready.kept())

    def _worked_out(
        self, level: Level, parts: "Iterator[list[Answer]]", now: float, day: date | None
    ) -> "Generator[None, None, tuple[Standing, Readiness]]":
        """Standing and readiness at a time, from a player's answers in parts: a small piece at each step."""
        from game.learning.coach import Coach  # numpy is slow to load: after the first picture
        from game.sessions.exam.outlook import answers_to, forecast_of, readiness_of
        from game.sessions.progress.standing import heard_times, standing

        heard, answers, last = [0] * len(level.figures), 0, now

        def counted() -> "Iterator[list[Answer]]":
            nonlocal answers, last
            for part in parts:
                for place, times in enumerate(heard_times(level, part)):
                    heard[place] += times
                answers += answers_to(level, part)
                last = part[-1].at if part else last
                yield part

        # A coach of just these answers: later ones of the same log would be held back to a later moment than these.
        coach = Coach(level, self.seed())
        yield from coach.living_through(counted())
        found = standing(level, coach, tuple(heard), last, now)
        yield
        today = forecast_of(coach, now)
        yield
        return found, readiness_of(level, answers, now, today, day, forecast_of(coach, now, day) if day else None)

    def up_to_date(self, level: Level, kept: "Standing | None") -> bool:
        """Whether a kept standing takes in every answer to the level's figures, on whatever level it was given."""
        newest = self._newest(level)
        # As ``known`` tells it: no answer is later than now, even where the clock was set back since.
        return not newest or (kept is not None and kept.last == min(newest[0].at, self.now()))

    def _newest(self, level: Level) -> "list[Answer]":
        """The last answer by ear to a figure of a level, alone in a list that is empty where there is none."""
        counts = [figure.count for figure in level.figures]
        return self.records.answers(self.player, Wanted(heard=counts, last=1, ability="hearing"))

    def readiness(self, level: Level) -> str:
        """How ready the player is for a level's exam, in words; empty before that was worked out."""
        ready = self.kept_readiness(level)
        return ready.words(self.now()) if ready else ""

    def kept_readiness(self, level: Level) -> "Readiness | None":
        """The readiness for a level's exam that was worked out last, without looking at newer answers."""
        from game.sessions.exam.outlook import Readiness

        return Readiness.from_kept(self.records.derived(self.player, f"readiness {level.name}"))

    def kept_standing(self, level: Level) -> "Standing | None":
        """The standing on a level that was worked out last, without looking at newer answers."""
        from game.sessions.progress.standing import Standing

        return Standing.from_kept(level, self.records.derived(self.player, f"standing {level.name}"))

    def task(self, player: Player | None = None) -> "SetTask | None":
        """The task that was set last for this player, or another, though it may be done or over."""
        from game.sessions.pupils.task import SetTask  # not needed for the first picture

        return SetTask.from_kept(self.records.derived(player or self.player, TASK))

    def set_task(self, player: Player, task: "SetTask | None") -> None:
        """Set a task for a player in place of any other, or none."""
        self.records.keep_derived(player, TASK, task.kept() if task else None)

    def task_answers(self, task: "SetTask", player: Player | None = None) -> "list[Answer]":
        """The answers to a task's level since it was set."""
        wanted = Wanted(level=task.level, since=task.at, ability="hearing")
        return self.records.answers(player or self.player, wanted)

    def opened_ways(self, player: Player | None = None) -> dict[str, Any]:
        """The ways in that this player, or another, opened from the first page, and the lessons of a class.

        As they are kept: see ``sessions.home.habits``.
        """
        found = self.records.derived(player or self.player, OPENED)
        return found if isinstance(found, dict) else {}

    def keep_opened(self, way: str, times: float = 1.0) -> None:
        """Keep that a way in was opened, or used so that it counts as so many ``times``."""
        try:
            self.records.keep_derived(self.player, OPENED, opened(self.opened_ways(), way, self.now(), times))
        except RecordsError:
            # Only the order of buttons hangs on it: where the disk is full, the page that was asked for says so.
            return

    def closed(self) -> dict[str, float]:
        """When the closing round of each level was last passed, in seconds since the epoch."""
        found = self.records.derived(self.player, CLOSED)
        return {str(name): float(at) for name, at in found.items()} if isinstance(found, dict) else {}

    def keep_closed(self, level: Level, at: float) -> None:
        """Keep that a level's closing round was passed."""
        self.records.keep_derived(self.player, CLOSED, {**self.closed(), level.name: at})

    def keep(self, question: str, answers: "tuple[Answer, ...]") -> None:
        """Keep the answers of this player to one bar, whose question has that name."""
        self.records.append(self.player, question, answers)

    def keep_round(self, finished: "PracticeRound") -> Round | None:
        """Keep a finished round; returns the best of those before that can be compared with it."""
        kept = Round(
            self.level.name, finished.started, self.now(), finished.beats, finished.right, finished.heard,
            finished.score, finished.bars, 1 + finished.second_tries, RULE_NUMBER,
        )  # fmt: skip
        best = self.records.best(self.player, self.level.name, like=kept)
        self.records.save_round(self.player, kept, finished.id)
        return best

    def go_on_in_memory(self, reason: str) -> None:
        """Play on with records that go when the program ends; ``reason`` is told."""
        # What can still be read goes along, so that the coach knows the player as before.
        carried = self.records.to_memory(reason)
        self.records.close()
        self.records = carried
        # What could be read of the file may lack even the player.
        if carried.player_with_uuid(self.player.uuid) is None:
            self.player = carried.add_player(self.player.name, self.now(), self.player.kind, self.player.uuid)
        self.notice = carried.opening.notice or ""

    def close(self) -> None:
        """Let go of the sound device and the records."""
        self.sound.close()
        self.records.close()


def goes_on(work: Iterator[None]) -> bool:
    """Do pieces of some work for ``PIECE_SECONDS``; returns whether any are left."""
    until = time.perf_counter() + PIECE_SECONDS
    return any(time.perf_counter() > until for _ in work)


def found_or_added(records: Records, name: str | None, now: float) -> tuple[Player, bool]:
    """The player of that name, else who played last, else a new player; and whether the player is new."""

    def look() -> Player | None:
        return records.player_named(name) if name else records.most_recent_player("player")

    if found := look():
        return found, False
    try:
        return records.add_player(name or UNNAMED, now), True
    except RecordsError:
        # Another window that opened at the same moment has added its own since: both then play as that one.
        if found := look():
            return found, False
        raise
