"""Note names in UK and US terms."""

import pytest

from shared.counting import parse_figure
from shared.spelling import note_names, spelling_from_code, spellings


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
