"""Days and times as people read them, the same on pages, on paper and in the terminal; files keep ISO 8601."""

from datetime import date, datetime

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def date_words(day: date) -> str:
    """A day in words, such as 25 November 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def day_words(at: float) -> str:
    """The day of a time in epoch seconds, in this machine's time zone."""
    return date_words(datetime.fromtimestamp(at))


def time_words(at: float) -> str:
    """A time in epoch seconds, in this machine's time zone, such as 25 November 2026, 07:31."""
    return f"{day_words(at)}, {datetime.fromtimestamp(at):%H:%M}"


def since_words(at: float, now: float) -> str:
    """The day of an earlier time as people name it: today, yesterday, Tuesday, or 25 November 2026."""
    then, today = datetime.fromtimestamp(at).date(), datetime.fromtimestamp(now).date()
    days = (today - then).days
    if days <= 1:
        return "yesterday" if days == 1 else "today"
    return WEEKDAYS[then.weekday()] if days < 7 else date_words(then)
