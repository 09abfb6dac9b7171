"""Estimates how many syllables a memory word has as it is spoken."""

import re
import unicodedata

VOWELS = "aeiouy"


def likely_syllables(text: str) -> range:
    """The numbers of syllables that a text may have, at least one; empty where it can't be told, as in other scripts.

    Hyphens part syllables, as in the shipped words.  Within a part, vowels that stand together are one syllable or
    several, and an e at the end is heard or not: spelling does not settle it, so a range is given, never a guess.
    """
    parts = [_plain(part) for part in re.findall(r"[^\W\d_]+", text)]
    # What is no plain letter without its accents is of another script, whose vowels are not in the table.
    if not parts or any(part and not part.isascii() for part in parts):
        return range(0)
    low = sum(_fewest(part) for part in parts)
    high = sum(max(1, sum(sign in VOWELS for sign in part)) for part in parts)
    return range(low, high + 1)


def _plain(part: str) -> str:
    """Small letters without their accents."""
    return "".join(sign for sign in unicodedata.normalize("NFD", part.lower()) if not unicodedata.combining(sign))


def _fewest(part: str) -> int:
    groups = re.findall(f"[{VOWELS}]+", part)
    # As in lake, waves and rained; an e that is a word's only vowel, as in the, is always heard.
    silent = len(groups) > 1 and re.search(f"[^{VOWELS}](e|es|ed)$", part) is not None
    return max(1, len(groups) - silent)
