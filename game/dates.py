"""Days and times as people read them, the same on pages, on paper and in the terminal; files keep ISO 8601."""

from datetime import date, datetime, tzinfo

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


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


def since_words(at: float, now: float) -> str:
    """The day of an earlier time as people name it: today, yesterday, Tuesday, or 25 November 2026."""
    then = local_day(at)
    days = (local_day(now) - then).days
    if days <= 1:
        return "yesterday" if days == 1 else "today"
    return WEEKDAYS[then.weekday()] if days < 7 else date_words(then)
