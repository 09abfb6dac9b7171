"""Names of notes and rests in UK and US terms and in five other languages."""

import pytest

from shared.counting import parse_figure
from shared.names import TERMS, beat_name, note_names
from shared.spelling import spelling_from_code, spellings


@pytest.mark.parametrize(
    ("count", "uk", "us"),
    [
        ("1", "crotchet", "quarter"),
        ("(1)", "crotchet rest", "quarter rest"),
        ("1 e a", "semiquaver, quaver, semiquaver", "sixteenth, eighth, sixteenth"),
        ("(1) a", "dotted quaver rest, semiquaver", "dotted eighth rest, sixteenth"),
        ("1 ta e", "demisemiquaver, demisemiquaver, dotted quaver", "thirty-second, thirty-second, dotted eighth"),
    ],
)
def test_names_follow_the_spelling(count: str, uk: str, us: str) -> None:
    """Each value is named in order, in the terms asked for."""
    spelling = spellings(parse_figure(count))[0]
    assert (note_names(spelling), note_names(spelling, "us")) == (uk, us)


def test_other_spelling_has_other_names() -> None:
    """Names belong to a spelling, not to a figure."""
    spelling = spelling_from_code("s s -s s", parse_figure("1 e a"))
    assert note_names(spelling) == "semiquaver, semiquaver, semiquaver rest, semiquaver"


def test_dotted_crotchet_of_a_compound_beat() -> None:
    """A lone stroke on a compound beat is a dotted crotchet (Standard)."""
    assert note_names(spellings(parse_figure("1", compound=True))[0]) == "dotted crotchet"


GLOSSARY = {
    "de": ("Viertel Achtel Sechzehntel Zweiunddreissigstel", "Viertelpause Achtelpause Sechzehntelpause "
           "Zweiunddreissigstelpause", "punktierte Note"),
    "fr": ("noire croche double_croche triple_croche", "soupir demi-soupir quart_de_soupir huitième_de_soupir",
           "note pointée"),
    "es": ("negra corchea semicorchea fusa", "silencio_de_negra silencio_de_corchea silencio_de_semicorchea "
           "silencio_de_fusa", "nota con puntillo"),
    "it": ("semiminima croma semicroma biscroma", "pausa_di_semiminima pausa_di_croma pausa_di_semicroma "
           "pausa_di_biscroma", "nota puntata"),
    "nl": ("kwartnoot achtste_noot zestiende_noot tweeendertigste_noot", "kwartrust achtste_rust zestiende_rust "
           "tweeendertigste_rust", "gepuncteerde noot"),
}  # fmt: skip
"""The entries "quarter note" to "thirty-second rest" and "dotted note" of the Music Glossary of LilyPond 2.24.1, as
Debian's lilypond-doc has it; of two names for a note the first."""

OURS = str.maketrans({"ß": "ss", "ë": "e"})
"""The two letters in which we follow the spelling of today, and the glossary does not."""


@pytest.mark.parametrize("terms", GLOSSARY)
def test_names_are_those_of_the_glossary(terms: str) -> None:
    """Notes and rests, and the word for the dot."""
    notes, rests, dotted = GLOSSARY[terms]
    words = TERMS[terms]
    for theirs, ours in ((notes, words.notes), (rests, words.rests)):
        assert [name.translate(OURS) for name in ours.values()] == [name.replace("_", " ") for name in theirs.split()]
    generic = {"de": "Note", "fr": "note", "es": "nota", "it": "nota", "nl": "noot"}[terms]
    assert words.dotted[0].format(generic) == dotted


@pytest.mark.parametrize(
    ("terms", "named"),
    [
        ("de", "punktierte Achtelpause, Sechzehntel"),
        ("fr", "demi-soupir pointé, double croche"),
        ("es", "silencio de corchea con puntillo, semicorchea"),
        ("it", "pausa di croma puntata, semicroma"),
        ("nl", "gepuncteerde achtste rust, zestiende noot"),
    ],
)
def test_dots_stand_where_the_language_has_them(terms: str, named: str) -> None:
    """Before the name or after it; in French the point agrees with the masculine rest (grammar, from memory)."""
    assert note_names(spellings(parse_figure("(1) a"))[0], terms) == named
    compound = note_names(spellings(parse_figure("1", compound=True))[0], terms)
    assert compound == beat_name(compound=True, terms=terms)


def test_french_notes_are_feminine() -> None:
    """And their point with them."""
    assert beat_name(compound=True, terms="fr") == "noire pointée"
