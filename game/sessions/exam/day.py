"""The day of the real exam, as a candidate gives it, and the day on which another mock exam makes sense."""

import re
from datetime import date, datetime, time

from game.sessions import SessionError
from game.wording import MONTHS, local_day, weekday_words

MOST_DAYS_AHEAD = 731
"""A day farther off than two years is a slip of the pen."""

AFTER_A_FAIL, AFTER_A_PASS = 5, 7
"""Days until the next mock exam: a plan's days of practice, or a week to see whether it holds.

Common practice, no source; never the same day, as what was just heard is not yet known (Soderstrom & Bjork 2015).
"""

FARTHEST = 14
"""Days before an exam from which all is for it: a plan reaches to it, and what sank on other levels waits.

Common practice, no source.
"""

WOULD_DO = "write it like 9 December or 9/12"
"""The advice on a text that names no day."""

_YEAR_FIRST = re.compile(r"(?P<year>\d{4})-(?P<month>\d{1,2})-(?P<day>\d{1,2})")
_DAY_FIRST = re.compile(
    r"(?P<day>\d{1,2})(?:st|nd|rd|th)?[ ./-]+(?P<month>[a-z]+|\d{1,2})(?:[ ,./-]+(?P<year>\d{4}))?\.?"
)
_MONTH_FIRST = re.compile(r"(?P<month>[a-z]+) +(?P<day>\d{1,2})(?:st|nd|rd|th)?(?:[ ,]+(?P<year>\d{4}))?")


def day_from(text: str, now: float) -> date:
    """The day that a text names, day before month where both are numbers; without a year the next such day.

    Raises ``SessionError`` for a text that names no day, and for a day that is past or more than two years off.
    """
    written = text.strip().lower()
    # The year first only with four digits, so that no form can be mistaken for another: 9/12 is always the ninth.
    found = next(
        (match for form in (_YEAR_FIRST, _DAY_FIRST, _MONTH_FIRST) if (match := form.fullmatch(written))), None
    )
    month = _month(found["month"]) if found else 0
    if not found or not month:
        raise SessionError(f"the day: found {text.strip()!r}; {WOULD_DO}")
    today = local_day(now)
    year = int(found["year"] or today.year)
    try:
        day = date(year, month, int(found["day"]))
        if not found["year"] and day < today:
            day = date(year + 1, month, int(found["day"]))
    except ValueError:
        raise SessionError(f"the day: there is no {text.strip()} in the calendar; {WOULD_DO}") from None
    if day < today:
        raise SessionError(f"the day: {weekday_words(day)} is past; give one from today on")
    if (day - today).days > MOST_DAYS_AHEAD:
        raise SessionError(f"the day: {weekday_words(day)} is more than two years off; look at the year")
    return day


def _month(written: str) -> int:
    """The number of a month that is written as a number, a name or its first letters; 0 for none."""
    if written.isdecimal():
        return int(written)
    fits = [number for number, name in enumerate(MONTHS, 1) if name.lower().startswith(written)]
    return fits[0] if len(fits) == 1 else 0


def held_at(day: date) -> float:
    """A time of that day in seconds since the epoch: its noon, in this machine's time zone."""
    # Noon, and not the day's beginning: no change of the clocks or of the time zone by an hour makes it another day.
    return datetime.combine(day, time(12)).timestamp()


def days_until(day: date, now: float) -> int:
    """How many days off a day is: 0 today, below 0 where it is past."""
    return (day - local_day(now)).days


def until_words(days: int) -> str:
    """So many days from today, in words."""
    return {0: "today", 1: "tomorrow"}.get(days, f"in {days} days")


def next_mock(now: float, passed: bool, exam: date | None) -> date | None:
    """The day for the next mock exam after one that was sat at ``now``; None where the real one comes before."""
    wait = AFTER_A_PASS if passed else AFTER_A_FAIL
    left = days_until(exam, now) if exam else -1
    if left >= 0:
        # The day before the exam is the last: nothing can be learned from one on the day itself.
        wait = min(wait, left - 1)
    return date.fromordinal(local_day(now).toordinal() + wait) if wait > 0 else None
