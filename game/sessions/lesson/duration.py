"""How long a lesson takes: hearings, polls, key presses, reveals and what is met; and how many bars fit ten minutes."""

from dataclasses import dataclass

from game.wording import number_word
from shared.levels import Level

MINUTES = 10
"""The minutes that a lesson is to take."""

BARS, HEARINGS = 10, 2
"""The bars of a lesson, and how often each is heard before hands are collected."""

POLL, PRESS = 5.0, 0.5
"""Seconds of a show of hands and of a key press (judged by trying, no source)."""

REVEAL, MEETING = 15.0, 25.0
"""Seconds of a reveal, both figures in turn with the sentence and a word of the teacher's; and of meeting a figure."""

RINGING = 1.0
"""Seconds in which a hearing rings out, and the teacher draws breath."""

BEFORE_COLLECTING = 3
"""Key presses besides hearings and polls: collect, reveal, next bar."""


def hearing_seconds(level: Level) -> float:
    """The seconds of a hearing at the level's middle tempo: a bar of count-in, its usual groove, the bar."""
    bars = 2 + sum(level.groove_bars) / len(level.groove_bars)
    # A beat lasts 60 s over the middle tempo, which is half the sum of the two: hence 120 over their sum.
    return bars * level.meter.beats * 120 / (level.tempo.low + level.tempo.high) + RINGING


def polls_of(level: Level, teams: int, *, one_beat: bool, all_teams: bool) -> int:
    """The most polls of a bar: one for each beat, or for each beat and team."""
    return 1 if one_beat else level.meter.beats * (teams if all_teams and teams else 1)


def lesson_seconds(level: Level, polls: float, unmet: int = 0, bars: int = BARS) -> float:
    """The seconds of a lesson of so many bars with so many ``polls`` each; ``unmet`` figures of the level are new."""
    before = HEARINGS * (hearing_seconds(level) + PRESS) + polls * (POLL + PRESS) + BEFORE_COLLECTING * PRESS
    # No more than one in three bars, and two before the first one.
    met = min(unmet, 1 + bars // 3)
    return bars * (before + REVEAL) + met * MEETING


@dataclass(frozen=True)
class LessonLength:
    """How long ten bars take, in whole minutes.

    Where that is more than ten, ``fitting`` bars fit ten minutes, and ``why`` says what takes the time; else 0.
    """

    minutes: int
    fitting: int = 0
    why: str = ""

    @property
    def words(self) -> str:
        """It in a sentence or two."""
        told = f"Ten bars, each heard twice: about {self.minutes} minutes"
        if not self.fitting:
            return f"{told}."
        return f"{told}, as {self.why}. Ten minutes hold {number_word(self.fitting)}."


def lesson_length(level: Level, polls: int, unmet: int = 0) -> LessonLength:
    """The length of a lesson: see ``lesson_seconds``."""
    seconds, limit = lesson_seconds(level, polls, unmet), MINUTES * 60
    minutes = round(seconds / 60)
    if minutes <= MINUTES:
        return LessonLength(minutes)
    plain = lesson_seconds(level, min(polls, level.meter.beats))
    # What each of three adds to a lesson that fits: the largest of them is what a teacher would change first.
    reasons = {
        "every team is asked on each beat": lesson_seconds(level, polls) - plain,
        "new figures are met first": seconds - lesson_seconds(level, polls),
        "its bars are slow": plain - limit,
    }
    fitting = max([bars for bars in range(1, BARS) if lesson_seconds(level, polls, unmet, bars) <= limit], default=1)
    return LessonLength(minutes, fitting, max(reasons, key=lambda reason: reasons[reason]))
