"""The figures of the semiquaver grid and the triplet, with the hands that play them.

The rows are common practice, no source.
"""

from fractions import Fraction

import pytest

from shared.bars import SINGLE_BEATS, Bar
from shared.counting import parse_figure
from shared.figures import COMPOUND_GRIDS, SIMPLE_GRIDS, Figure
from shared.spelling import spellings
from shared.sticking import natural
from tests.shared.strategies import SEMIQUAVER_FIGURES

SEMIQUAVERS = [
    ("(1)", "....", "-q", ""),
    ("1", "x...", "q", "R"),
    ("(1) e", ".x..", "-s e.", "L"),
    ("(1) &", "..x.", "-e e", "R"),
    ("(1) a", "...x", "-e. s", "L"),
    ("1 e", "xx..", "s e.", "RL"),
    ("1 &", "x.x.", "e e", "RR"),
    ("1 a", "x..x", "e. s", "RL"),
    ("(1) e &", ".xx.", "-s s e", "LR"),
    ("(1) e a", ".x.x", "-s e s", "LL"),
    ("(1) & a", "..xx", "-e s s", "RL"),
    ("1 e &", "xxx.", "s s e", "RLR"),
    ("1 e a", "xx.x", "s e s", "RLL"),
    ("1 & a", "x.xx", "e s s", "RRL"),
    ("(1) e & a", ".xxx", "-s s s s", "LRL"),
    ("1 e & a", "xxxx", "s s s s", "RLRL"),
]
"""Count, picture, usual spelling, and the natural sticking of a right-hander."""

TRIPLETS = [
    ("(1) trip", "(1) la", ".x.", "-e q", "L"),
    ("(1) let", "(1) li", "..x", "-q e", "R"),
    ("1 trip", "1 la", "xx.", "e q", "RL"),
    ("1 let", "1 li", "x.x", "q e", "RR"),
    ("(1) trip let", "(1) la li", ".xx", "-e e e", "LR"),
    ("1 trip let", "1 la li", "xxx", "e e e", "RLR"),
]
"""Count as a triplet and in compound time, picture, usual spelling, sticking."""


def figure_from(picture: str, compound: bool = False) -> Figure:
    return Figure(tuple(Fraction(k, len(picture)) for k, sign in enumerate(picture) if sign == "x"), compound)


def hands_of(figure: Figure, lead: str = "R") -> str:
    meter = SINGLE_BEATS["3/8" if figure.compound else "1/4"]
    return "".join(natural(Bar(meter, (figure,)), lead)[0])


@pytest.mark.parametrize(("count", "picture", "spelling", "hands"), SEMIQUAVERS)
def test_a_figure_of_semiquavers(count: str, picture: str, spelling: str, hands: str) -> None:
    """Count, onsets, usual spelling and sticking agree with the trade."""
    figure = figure_from(picture)
    assert figure.count == count
    assert parse_figure(count) == figure
    assert spellings(figure)[0].code == spelling
    assert hands_of(figure) == hands


@pytest.mark.parametrize(("triplet", "compound", "picture", "spelling", "hands"), TRIPLETS)
def test_a_figure_in_three(triplet: str, compound: str, picture: str, spelling: str, hands: str) -> None:
    """Triplets and compound quavers have the same onsets, spelling but for the tuplet, and hands."""
    for count, figure in ((triplet, figure_from(picture)), (compound, figure_from(picture, compound=True))):
        assert figure.count == count
        assert parse_figure(count) == figure
        assert spellings(figure)[0].code == spelling
        assert hands_of(figure) == hands


def test_the_grid_has_sixteen_figures() -> None:
    """Fifteen sets of onsets and the rest: the table above is the whole grid."""
    assert {figure_from(picture) for _, picture, _, _ in SEMIQUAVERS} == set(SEMIQUAVER_FIGURES)
    assert len(SEMIQUAVERS) == len(SEMIQUAVER_FIGURES) == 16


def test_left_handers_swap() -> None:
    """A left-hander plays "1 e a" L R R, and every other row with the hands changed over."""
    assert hands_of(parse_figure("1 e a"), "L") == "LRR"
    for count, _, _, hands in SEMIQUAVERS:
        assert hands_of(parse_figure(count), "L") == hands.translate(str.maketrans("RL", "LR"))


def test_the_lead_hand_keeps_the_beat() -> None:
    """In "1 e a" the leading hand has the beat, the other e and a (common practice, no source)."""
    played = natural(Bar(SINGLE_BEATS["1/4"], (parse_figure("1 e a"),)))[0]
    places = parse_figure("1 e a").onsets
    assert dict(zip(places, played, strict=True)) == {
        Fraction(0): "R",
        Fraction(1, 4): "L",
        Fraction(3, 4): "L",
    }


def test_a_lone_compound_stroke_is_dotted() -> None:
    """A stroke alone on a dotted-crotchet beat is written as a dotted crotchet."""
    assert spellings(parse_figure("1", compound=True))[0].code == "q."


def test_grids_divide_as_their_notes_do() -> None:
    """Four semiquavers, eight demisemiquavers, three and six in a tuplet; in compound time three and six."""
    assert {grid.name: grid.divisions for grid in (*SIMPLE_GRIDS, *COMPOUND_GRIDS)} == {
        "semiquaver": 4,
        "triplet": 3,
        "sextuplet": 6,
        "demisemiquaver": 8,
        "compound quaver": 3,
        "compound semiquaver": 6,
    }


def test_the_hardest_pairs_are_a_twelfth_apart() -> None:
    """ "1 a" and "1 let", and their like, differ by 1/12 of a beat: 83 ms at 60, 50 ms at 100. Arithmetic."""
    pairs = [("1 a", "1 let"), ("1 e a", "1 trip let"), ("(1) e a", "(1) trip let"), ("1 e & a", "1 trip ta let")]
    for one, two in pairs:
        onsets = zip(parse_figure(one).onsets, parse_figure(two).onsets, strict=True)
        assert max(abs(a - b) for a, b in onsets) == Fraction(1, 12)
