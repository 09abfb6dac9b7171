"""A task that a teacher sets for a pupil: two figures or a whole level, until a day or until it is done."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from game.learning import Answer
from game.learning.evidence import first_tries
from game.sessions.progress.mixups import MixUp
from game.wording import local_day, weekday_words
from shared.levels import Level

DAYS = 7
"""How many days a task stands: until the next lesson (common practice, no source)."""

PAIR_RIGHT, LEVEL_RIGHT = 20, 40
"""How many right answers make a task done: as many as there are beats in a drill of two, or in ten bars."""


@dataclass(frozen=True)
class SetTask:
    """A task on a level: two figures (counts), or none for all of it.

    Set ``by`` a name, which may be empty, ``at`` seconds since the epoch; it stands up to and with the day ``until``.
    """

    level: str
    figures: tuple[str, ...]
    by: str
    at: float
    until: date

    def kept(self) -> dict[str, Any]:
        """As JSON can hold it: see ``from_kept``."""
        until = self.until.isoformat()
        return {"level": self.level, "figures": list(self.figures), "by": self.by, "at": self.at, "until": until}

    @staticmethod
    def from_kept(kept: Any) -> "SetTask | None":
        """The task that was kept; None where there is none, or it can't be read."""
        try:
            figures = tuple(map(str, kept["figures"]))
            until = date.fromisoformat(kept["until"])
            return SetTask(str(kept["level"]), figures, str(kept["by"]), float(kept["at"]), until)
        except (KeyError, TypeError, ValueError):
            return None

    @property
    def wanted(self) -> int:
        """How many right answers make it done."""
        return PAIR_RIGHT if self.figures else LEVEL_RIGHT

    def right(self, answers: Iterable[Answer]) -> int:
        """How many answers by ear to its figures were right at once since it was set."""
        asked = (row for row in first_tries(answers) if row.at >= self.at and row.level == self.level)
        return sum(row.said == row.heard for row in asked if not self.figures or row.heard in self.figures)

    def stands(self, answers: Iterable[Answer], now: float) -> bool:
        """Whether it is neither over nor done."""
        return local_day(now) <= self.until and self.right(answers) < self.wanted


def following(level: Level, mixed: Sequence[MixUp], task: SetTask | None, by: str, now: float) -> SetTask | None:
    """The task to be set in place of another: first the largest mix-up, then each other, then the level; then none.

    Where there is none so far it is the first of these, so that one key steps through what the coach proposes.
    """
    # Either way round is one pair.
    both = [{one.heard, one.said} for one in mixed]
    pairs = dict.fromkeys(tuple(figure.count for figure in level.figures if figure in pair) for pair in both)
    offered: list[tuple[str, ...]] = [*pairs, ()]
    # One on another level, or of figures that are not mixed up any more, gives way to the first.
    here = task.figures if task and task.level == level.name else None
    place = offered.index(here) + 1 if here in offered else 0
    if place == len(offered):
        return None
    return SetTask(level.name, offered[place], by, now, local_day(now) + timedelta(days=DAYS))


def task_words(task: SetTask, level: Level) -> str:
    """What is to be done, in a few words; ``level`` is that of the task."""
    if not task.figures:
        return f"all of {level.title}"
    return " and ".join(map(level.as_shown, task.figures))


def until_words(task: SetTask, right: int) -> str:
    """By whom it was set, until when, and how far it is, for the pupil."""
    far = f"{right} of {task.wanted} right"
    if not task.by:
        return f"Set until {weekday_words(task.until)}: {far}."
    return f"Set by {task.by} until {weekday_words(task.until)}: {far}."


def state_words(task: SetTask, level: Level, right: int, now: float) -> str:
    """How a pupil's task stands, for the teacher: also that it is done, or over."""
    what = task_words(task, level)
    if right >= task.wanted:
        return f"Task done: {what}."
    if local_day(now) > task.until:
        return f"Task over: {what}, {right} of {task.wanted} right."
    return f"Task until {weekday_words(task.until)}: {what}, {right} of {task.wanted} right so far."


def class_words(task: SetTask, level: Level, done: int, pupils: int) -> str:
    """How the task stands that was set for all pupils of a class."""
    return f"Task until {weekday_words(task.until)}: {task_words(task, level)}, done by {done} of {pupils}."
