"""Names of notes and rests in UK and US terms and in five other languages.

German, French, Spanish, Italian and Dutch after the Music Glossary of LilyPond 2.24, which has both notes and rests;
German ß for its ss, and Dutch ë, as the languages are spelled today (from memory).  How an adjective agrees is grammar:
the French point goes with the feminine note and the masculine rest.
"""

from dataclasses import dataclass

from shared.spelling import Spelling, Value


@dataclass(frozen=True)
class Terms:
    """The words of one language: ``title`` is its name in it, ``short`` its code.

    ``notes`` and ``rests`` go by the letters of a spelling code; ``dotted`` says where the word for a dotted note
    or rest stands.
    """

    short: str
    title: str
    notes: dict[str, str]
    rests: dict[str, str]
    dotted: tuple[str, str]


def _terms(short: str, title: str, notes: str, rests: str, dotted_note: str, dotted_rest: str = "") -> Terms:
    """The terms of one language; ``notes`` and ``rests`` are names parted by bars, from crotchet to demisemiquaver."""
    # Strict, so that a language with a word too few fails when it is imported, not when a pupil meets that note.
    sounding, silent = (dict(zip("qest", words.split("|"), strict=True)) for words in (notes, rests))
    return Terms(short, title, sounding, silent, (dotted_note, dotted_rest or dotted_note))


TERMS = {
    "uk": _terms(
        "UK", "UK English", "crotchet|quaver|semiquaver|demisemiquaver",
        "crotchet rest|quaver rest|semiquaver rest|demisemiquaver rest", "dotted {}",
    ),
    "us": _terms(
        "US", "US English", "quarter|eighth|sixteenth|thirty-second",
        "quarter rest|eighth rest|sixteenth rest|thirty-second rest", "dotted {}",
    ),
    "de": _terms(
        "DE", "Deutsch", "Viertel|Achtel|Sechzehntel|Zweiunddreißigstel",
        "Viertelpause|Achtelpause|Sechzehntelpause|Zweiunddreißigstelpause", "punktierte {}",
    ),
    "fr": _terms(
        "FR", "Français", "noire|croche|double croche|triple croche",
        "soupir|demi-soupir|quart de soupir|huitième de soupir", "{} pointée", "{} pointé",
    ),
    "es": _terms(
        "ES", "Español", "negra|corchea|semicorchea|fusa",
        "silencio de negra|silencio de corchea|silencio de semicorchea|silencio de fusa", "{} con puntillo",
    ),
    "it": _terms(
        "IT", "Italiano", "semiminima|croma|semicroma|biscroma",
        "pausa di semiminima|pausa di croma|pausa di semicroma|pausa di biscroma", "{} puntata",
    ),
    "nl": _terms(
        "NL", "Nederlands", "kwartnoot|achtste noot|zestiende noot|tweeëndertigste noot",
        "kwartrust|achtste rust|zestiende rust|tweeëndertigste rust", "gepuncteerde {}",
    ),
}  # fmt: skip
"""The languages to choose from, by the name under which the choice is kept."""


def value_name(value: Value, terms: str = "uk") -> str:
    """One note or rest in words, such as ``dotted quaver``, ``eighth rest`` or ``demi-soupir``."""
    words = TERMS[terms]
    name = (words.rests if value.rest else words.notes)[value.letter]
    # False and True pick from the pair (note, rest), since the adjective agrees with its noun.
    return words.dotted[value.rest].format(name) if value.dots else name


def beat_name(compound: bool, terms: str = "uk") -> str:
    """The note that lasts one beat, such as ``dotted crotchet`` where beats are ``compound``."""
    words = TERMS[terms]
    return words.dotted[0].format(words.notes["q"]) if compound else words.notes["q"]


def metronome_mark(tempo: float, compound: bool, terms: str = "uk") -> str:
    """A tempo in beats a minute as it stands at the head of printed music, such as ``crotchet = 60``."""
    return f"{beat_name(compound, terms)} = {tempo:.0f}"


def note_names(spelling: Spelling, terms: str = "uk") -> str:
    """A spelling in words, such as ``semiquaver, quaver, semiquaver``; ``terms`` is a key of ``TERMS``.

    Notes of a tuplet are named as they are written.
    """
    return ", ".join(value_name(value, terms) for value in spelling.values)
