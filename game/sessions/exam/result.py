"""Works out the result of a mock exam from its kept rows: mark, grade band and each beat."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from math import ceil
from typing import Any

from game.learning.evidence import said_to
from game.sessions import SessionError
from game.sessions.exam.playing_part import PlayingResult, playing_result
from game.wording import counted
from shared.counting import parse_figure
from shared.figures import Figure
from shared.levels import ExamRules

BANDS = (("distinction", "distinction_mark"), ("merit", "merit_mark"), ("pass", "pass_mark"))
"""The grade bands, the highest first, with the rule that each begins at."""

BELOW = "below the pass mark"
"""The band below all others."""

UNGRADED = "Hardly a played beat could be read, so there is no grade."

UNREAD = "What was asked in this exam can't be read here; only its mark is known."

NOT_THE_BOARD = "This is practice, not the exam board's word."


@dataclass(frozen=True)
class BeatResult:
    """One asked beat: ``question`` and ``beat`` count from 1; ``said`` is None where it was left open."""

    question: int
    beat: int
    heard: Figure
    said: Figure | None
    hearings: int

    @property
    def right(self) -> bool:
        """Whether the figure was named."""
        return self.said == self.heard


@dataclass(frozen=True)
class Taken:
    """``heard`` was taken for ``said`` so many times in the exam."""

    heard: Figure
    said: Figure
    times: int


@dataclass(frozen=True)
class ExamResult:
    """A finished exam.  ``title`` is the level's; ``rules`` those of the day.

    The mark counts the beats that were heard; the ``playing`` part stands beside it.
    """

    title: str
    rules: ExamRules
    beats: tuple[BeatResult, ...]
    playing: PlayingResult | None = None

    @property
    def right(self) -> int:
        """How many beats were named right."""
        return sum(beat.right for beat in self.beats)

    @property
    def mark(self) -> float:
        """The share of the asked beats that were right, from 0 to 1."""
        return self.right / len(self.beats) if self.beats else 0.0

    @property
    def graded(self) -> bool:
        """Whether there is a grade: none comes of what was heard alone where bars were to be played, too."""
        return self.playing is None or not self.playing.hardly_read

    def words(self) -> str:
        """The outcome in a sentence or two."""
        right = f"{self.right} of {counted(len(self.beats), 'beat')} right"
        return f"{right}: {self.band}." if self.graded else f"{right} by ear. {UNGRADED}"

    @property
    def band(self) -> str:
        """The grade band by the level's marks."""
        reached = (name for name, rule in BANDS if self.right >= self.needed(rule))
        return next(reached, BELOW) if self.beats else BELOW

    def needed(self, rule: str) -> int:
        """The fewest right beats that reach a mark of the rules, such as ``pass_mark``."""
        return needed(getattr(self.rules, rule), len(self.beats))

    @property
    def short_of(self) -> tuple[str, int] | None:
        """The next band up and how many more right beats it would have taken; None at the top."""
        above = [(name, self.needed(rule)) for name, rule in BANDS if self.right < self.needed(rule)]
        # The bands run from the highest down: the last of those out of reach is the nearest.
        return (above[-1][0], above[-1][1] - self.right) if above else None

    @property
    def mix_ups(self) -> tuple[Taken, ...]:
        """The figures that were taken for others, the most frequent first, then in the order of first happening."""
        said = said_to((beat.heard, beat.said, 1) for beat in self.beats)
        taken = [Taken(h, s, round(times)) for (h, s), times in said.items() if s is not None and s != h]
        return tuple(sorted(taken, key=lambda one: -one.times))


def needed(mark: float, beats: int) -> int:
    """The fewest right beats of so many that reach a mark (0 to 1); a hair of rounding is forgiven."""
    # 0.55 of 20 beats is a hair more than 11 in floats, and must not ask for 12.
    return ceil(mark * beats - 1e-9)


def result_of(rules: Mapping[str, Any], detail: Iterable[Mapping[str, Any]]) -> ExamResult:
    """The result of an exam from its kept rules and detail.  Raises ``SessionError`` where these can't be read."""
    try:
        found = _read(rules, detail)
        # Worked out once for trial: a kept value of the wrong type would otherwise fail only where a page tells it.
        found.short_of, found.playing and found.playing.words()
    # A history of another machine can hold any shape: whatever breaks while it is taken apart is the same mistake.
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError):
        raise SessionError(UNREAD) from None
    return found


def _read(rules: Mapping[str, Any], detail: Iterable[Mapping[str, Any]]) -> ExamResult:
    # The kept rules hold the title too, and those of a later version may hold more.
    known = {one.name for one in fields(ExamRules)}
    detail, compound = list(detail), bool(rules["compound"])
    heard = [row for row in detail if "playing" not in row]
    beats = [beat for number, row in enumerate(heard, 1) for beat in _beats(number, row, compound)]
    kept_rules = ExamRules(**{k: v for k, v in rules.items() if k in known})
    return ExamResult(str(rules["title"]), kept_rules, tuple(beats), playing_result(detail, compound))


def _beats(number: int, row: Mapping[str, Any], compound: bool) -> list[BeatResult]:
    return [
        BeatResult(
            question=number,
            beat=place + 1,
            heard=parse_figure(heard, compound),
            said=parse_figure(said, compound) if said else None,
            hearings=row["hearings"],
        )
        for place, heard, said in zip(row["asked"], row["heard"], row["said"], strict=True)
    ]
