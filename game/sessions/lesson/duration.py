"""How long a lesson takes: hearings, polls, key presses, reveals and what is met."""

from shared.levels import Level

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


def lesson_words(seconds: float) -> str:
    """How long a lesson of ten bars takes, and where that is more than ten minutes, how many bars fit into ten."""
    told = f"Ten bars, each heard twice: about {round(seconds / 60)} minutes."
    fitting = int(600 // (seconds / BARS))
    return told if round(seconds / 60) <= 10 else f"{told} In ten minutes: {fitting}."


def lesson_seconds(level: Level, polls: float, unmet: int = 0) -> float:
    """The seconds of a lesson of ten bars with so many ``polls`` a bar; ``unmet`` figures of the level are new."""
    before = HEARINGS * (hearing_seconds(level) + PRESS) + polls * (POLL + PRESS) + BEFORE_COLLECTING * PRESS
    # No more than one in three bars, and two before the first one.
    met = min(unmet, 1 + BARS // 3)
    return BARS * (before + REVEAL) + met * MEETING
