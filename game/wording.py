"""Numbers, days and times as people read them, the same on pages, on paper and in the terminal; files keep ISO 8601."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta, tzinfo

from shared.difference import NUMBERS
from shared.levels import Level, kept_names, ladder_place

PLAY_LIGHTLY = "Play lightly, and rest if a hand hurts."
"""The caution wherever a player is to play."""


def counted(number: int, noun: str) -> str:
    """So many of something: 1 bar, 2 bars.  ``noun`` is one of them, and takes an s for more."""
    return f"1 {noun}" if number == 1 else f"{number} {noun}s"


def how_often(times: int) -> str:
    """A number of times in words: once, twice, 3 times."""
    return {1: "once", 2: "twice"}.get(times, f"{times} times")


def sentence(words: str) -> str:
    """An error's line as a sentence of its own: with a capital, and a full stop."""
    whole = words[:1].upper() + words[1:]
    return whole if whole.endswith((".", "!", "?")) or not whole else f"{whole}."


def numbered(places: Sequence[int]) -> str:
    """Places counted from 0 by their numbers from 1: 2, or 1 and 3, or 1, 2 and 4."""
    return " and ".join(", ".join(str(place + 1) for place in places).rsplit(", ", 1))


def number_word(number: int) -> str:
    """A small number as a word, a larger one in digits: no, one, ten, 11."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def in_words(number: int, noun: str) -> str:
    """So many of something, small numbers as words: one bar, three bars, no bars, 11 bars."""
    return f"{number_word(number)} {noun}" if number == 1 else f"{number_word(number)} {noun}s"


# Our own, since strftime's follow the system's language, and would stand in English sentences.
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


DAY_SECONDS = 86_400.0


def local_day(at: float, zone: tzinfo | None = None) -> date:
    """The calendar day of a time in epoch seconds, where None stands for this machine's time zone."""
    return datetime.fromtimestamp(at, zone).date()


def date_words(day: date) -> str:
    """A day in words, such as 25 November 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def weekday_words(day: date) -> str:
    """A day with its weekday, such as Wednesday, 25 November 2026."""
    return f"{WEEKDAYS[day.weekday()]}, {date_words(day)}"


def day_words(at: float) -> str:
    """The day of a time in epoch seconds, in this machine's time zone."""
    return date_words(local_day(at))


def time_words(at: float) -> str:
    """A time in epoch seconds, in this machine's time zone, such as 25 November 2026, 07:31."""
    return f"{day_words(at)}, {datetime.fromtimestamp(at):%H:%M}"


def monday_of(day: date) -> date:
    """The Monday of a day's week, by which a week is named, as weeks of ISO 8601 begin."""
    return day - timedelta(days=day.weekday())


# Beyond a week a weekday could be this one or the last: the date says which.
def since_words(at: float, now: float) -> str:
    """The day of an earlier time as people name it: today, yesterday, Tuesday, or 25 November 2026."""
    then = local_day(at)
    days = (local_day(now) - then).days
    # A time that lies ahead, after the clock was set back, counts as today.
    if days <= 1:
        return "yesterday" if days == 1 else "today"
    return WEEKDAYS[then.weekday()] if days < 7 else date_words(then)


def on_the_ladder(level: Level) -> str:
    """A level's title in a list: with its number on the ladder; a level beside it may have the same title, and none."""
    place = ladder_place(level.name)
    return f"{place}  {level.title}" if place else level.title


def about_words_of(level: Level) -> str:
    """What a level is about; of one that is kept beside the ladder, why it is still there."""
    if level.name not in kept_names():
        return level.about
    return f"{level.about} Kept beside the ladder for old bests and exams: its figures come on the ladder too."
