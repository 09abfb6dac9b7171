"""Checks of single values that come from files or forms, each with words for the values that fit."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from math import isfinite
from typing import Any
from unicodedata import category

from shared.counting import CountError, words_shown


@dataclass(frozen=True)
class Check:
    """A check of a value: ``fits`` decides, ``wanted`` describes in words the values that fit."""

    fits: Callable[[Any], bool]
    wanted: str

    def fault(self, name: str, value: object) -> str | None:
        """The fault of the value of that name, in words; None where it fits."""
        return None if self.fits(value) else self.told(name, value)

    def told(self, name: str, value: object) -> str:
        """The fault of a value that does not fit, in words."""
        return f"{name} is {str(value)[:40]!r}; use {self.wanted}"


def remembering(fits: Callable[[str], bool]) -> Callable[[Any], bool]:
    """The same check of texts, its results kept: a long history has a few texts again and again."""
    remembered = lru_cache(maxsize=10_000)(fits)
    return lambda value: isinstance(value, str) and remembered(value)


def one_of(*words: str) -> Check:
    """One of these words."""
    return Check(lambda value: isinstance(value, str) and value in words, "one of " + ", ".join(words))


def number(low: float, high: float) -> Check:
    """A finite number in this range, both ends included."""

    def fits(value: Any) -> bool:
        # To Python True is 1.  The comparison also refuses NaN, which is neither above nor below anything.
        return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high

    return Check(fits, f"a number from {low:g} to {high:g}")


def whole(low: int, high: int) -> Check:
    """A whole number in this range, both ends included."""

    def fits(value: Any) -> bool:
        return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high

    return Check(fits, f"a whole number from {low} to {high}")


_UNSEEN = "\u034f\u115f\u1160\u2800\u3164\uffa0"
"""Letters and marks that show nothing.  Source: Unicode's Default_Ignorable_Code_Point, and the empty Braille cell."""

_JOINERS = "\u200c\u200d"


def is_visible(value: str) -> bool:
    """Whether every character shows, and none turns the line around.

    The two joiners, which some scripts need between letters, may stand there.
    """
    # At either end a joiner has nothing to join: there it would only make two names look alike.
    inner = value[1:-1].replace(_JOINERS[0], "").replace(_JOINERS[1], "")
    return not any(category(sign) == "Cf" or sign in _UNSEEN for sign in value[:1] + inner + value[-1:])


def is_plain(value: str) -> bool:
    """Whether a text holds no control character and no half of a character."""
    return not any(category(character) in ("Cc", "Cs") for character in value)


def text(longest: int, shortest: int = 1) -> Check:
    """A text of one line, not empty unless ``shortest`` is 0."""

    fits = remembering(lambda value: shortest <= len(value) <= longest and is_plain(value))
    return Check(fits, f"a text of {shortest} to {longest} characters")


def optional(check: Check) -> Check:
    """None, or a value that the check takes."""
    return Check(lambda value: value is None or check.fits(value), f"null or {check.wanted}")


def _is_table_of_texts(value: Any) -> bool:
    short = text(200)
    return isinstance(value, dict) and len(value) <= 200 and all(map(short.fits, [*value, *value.values()]))


def _is_day(value: str) -> bool:
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return True


def _is_table_of_days(value: Any) -> bool:
    return _is_table_of_texts(value) and all(map(_is_day, value.values()))


def _is_json(value: Any, levels: int = 50) -> bool:
    """Whether JSON can hold the value and give it back: finite, whole characters, not nested without end."""
    if isinstance(value, dict):
        # Bounded, so that neither this check nor the encoder comes near Python's limit of recursion.
        return levels > 0 and all(_is_json(part, levels - 1) for pair in value.items() for part in pair)
    if isinstance(value, list):
        return levels > 0 and all(_is_json(part, levels - 1) for part in value)
    if isinstance(value, str):
        return not any(category(character) == "Cs" for character in value)
    return value is None or isinstance(value, int) or (isinstance(value, float) and isfinite(value))


def _is_counting(value: Any) -> bool:
    if not isinstance(value, str) or not text(80, 0).fits(value):
        return False
    try:
        words_shown(value)
    except CountError:
        return False
    return True


ANYTHING = Check(_is_json, "plain JSON, nested no deeper than 50")
TABLE = Check(lambda value: isinstance(value, dict) and _is_json(value), "a table")
COUNT_WORDS = Check(_is_counting, "a text of words for e & a trip let la li ta, without digits and brackets")
SWITCH = Check(lambda value: isinstance(value, bool), "true or false")
TEXTS = Check(_is_table_of_texts, "a table of short texts")
DAYS = Check(_is_table_of_days, "a table of days like 2026-12-09")
# Up to the year 5138, so that a time in milliseconds is refused.
TIME = Check(number(0, 1e11).fits, "a time in seconds since 1970")
