"""Syllables against the systems as they are published.

Takadimi: R. Hoffman, W. Pelto & J. W. White, "Takadimi: A Beat-Oriented System of Rhythm Pedagogy",
Journal of Music Theory Pedagogy 10 (1996).  French time names: the Galin-Paris-Chevé tradition.  Both
tables are from memory, and schools differ.
"""

import pytest

from shared.counting import parse_figure
from shared.syllables import SYSTEMS

SEMIQUAVERS = [
    ("1", "ta", "ta"),
    ("(1) e", "ka", "fa"),
    ("(1) &", "di", "té"),
    ("(1) a", "mi", "fé"),
    ("1 e", "ta ka", "ta fa"),
    ("1 &", "ta di", "ta té"),
    ("1 a", "ta mi", "ta fé"),
    ("(1) e &", "ka di", "fa té"),
    ("(1) e a", "ka mi", "fa fé"),
    ("(1) & a", "di mi", "té fé"),
    ("1 e &", "ta ka di", "ta fa té"),
    ("1 e a", "ta ka mi", "ta fa fé"),
    ("1 & a", "ta di mi", "ta té fé"),
    ("(1) e & a", "ka di mi", "fa té fé"),
    ("1 e & a", "ta ka di mi", "ta fa té fé"),
]

THREES = [
    ("1", "ta", "ta"),
    ("(1) trip", "ki", "té"),
    ("(1) let", "da", "ti"),
    ("1 trip", "ta ki", "ta té"),
    ("1 let", "ta da", "ta ti"),
    ("(1) trip let", "ki da", "té ti"),
    ("1 trip let", "ta ki da", "ta té ti"),
]


@pytest.mark.parametrize(("count", "takadimi", "french"), SEMIQUAVERS)
def test_semiquavers_are_spoken(count: str, takadimi: str, french: str) -> None:
    """Each figure of the semiquaver grid is spoken as the schools speak it."""
    figure = parse_figure(count)
    assert (SYSTEMS["takadimi"](figure), SYSTEMS["french"](figure)) == (takadimi, french)


@pytest.mark.parametrize(("count", "takadimi", "french"), THREES)
def test_threes_are_spoken(count: str, takadimi: str, french: str) -> None:
    """Triplets and the quavers of a compound beat are spoken alike."""
    triplet = parse_figure(count)
    compound = parse_figure(count.replace("trip", "la").replace("let", "li"), compound=True)
    for figure in (triplet, compound):
        assert (SYSTEMS["takadimi"](figure), SYSTEMS["french"](figure)) == (takadimi, french)


@pytest.mark.parametrize(("count", "compound"), [("1 ta trip ta let ta", False), ("1 ta la ta li ta", True)])
def test_six_in_a_beat_are_spoken(count: str, compound: bool) -> None:
    """Takadimi divides a beat of six as ta va ki di da ma."""
    assert SYSTEMS["takadimi"](parse_figure(count, compound)) == "ta va ki di da ma"


def test_the_beat_is_always_ta() -> None:
    """Both systems say ta for a stroke on the beat, whatever follows it."""
    for count in ("1", "1 e a", "1 trip let", "1 la li", "1 ta e"):
        for system in ("takadimi", "french"):
            assert SYSTEMS[system](parse_figure(count)).split()[0] == "ta"
