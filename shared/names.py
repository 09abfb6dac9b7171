"""Note names in UK and US terms."""

from shared.spelling import Spelling, Value

NAMES = {
    "uk": {"q": "crotchet", "e": "quaver", "s": "semiquaver", "t": "demisemiquaver"},
    "us": {"q": "quarter", "e": "eighth", "s": "sixteenth", "t": "thirty-second"},
}
"""The word for each letter of a spelling code, by terms."""


def value_name(value: Value, terms: str = "uk") -> str:
    """One note or rest in words, such as ``dotted quaver`` or ``eighth rest``."""
    words = ("dotted" if value.dots else "", NAMES[terms][value.letter], "rest" if value.rest else "")
    return " ".join(word for word in words if word)


def note_names(spelling: Spelling, terms: str = "uk") -> str:
    """A spelling in words, such as ``semiquaver, quaver, semiquaver``; ``terms`` is ``uk`` or ``us``.

    Notes of a tuplet are named as they are written.
    """
    return ", ".join(value_name(value, terms) for value in spelling.values)
