"""Beams: grouped by the beat, partial beams pointing into it, broken at the half-beat where they must be.

The rules: E. Gould, Behind Bars (2011), chapter on beaming (from memory).
"""

import pytest

from shared.beaming import Beam, groups
from shared.counting import parse_figure
from shared.spelling import spelling_from_code, spellings


def beams_of(count: str, compound: bool = False) -> list[tuple[Beam, ...]]:
    """The beams of each group of a figure's usual spelling."""
    return [group.beams for group in groups(spellings(parse_figure(count, compound))[0])]


def test_outer_partial_beams_point_into_the_beat() -> None:
    """In semiquaver, quaver, semiquaver the first hook points forward and the last one back."""
    assert beams_of("1 e a") == [(Beam(1, 0, 2), Beam(2, 0, 0, 1), Beam(2, 2, 2, -1))]


def test_inner_beam_joins_neighbours() -> None:
    """Two semiquavers side by side share their second beam."""
    assert beams_of("1 & a") == [(Beam(1, 0, 2), Beam(2, 1, 2))]


@pytest.mark.parametrize(("count", "hook"), [("1 ta li", -1), ("1 la ta", 1)])
def test_middle_hook_points_to_its_division(count: str, hook: int) -> None:
    """A lone semiquaver inside the beat hooks towards the note it makes up a division with."""
    code = {"1 ta li": "e. s e", "1 la ta": "e s e."}[count]
    figure = parse_figure({"1 ta li": "1 (la) ta li", "1 la ta": "1 la ta"}[count], compound=True)
    (group,) = groups(spelling_from_code(code, figure))
    assert [beam.hook for beam in group.beams if beam.level == 2] == [hook]


def test_demisemiquaver_beams_break_at_the_half_beat() -> None:
    """Eight demisemiquavers share one beam; the second and third are broken in the middle."""
    (beams,) = beams_of("1 ta e ta & ta a ta")
    assert [(beam.level, beam.first, beam.last) for beam in beams] == [
        (1, 0, 7), (2, 0, 3), (2, 4, 7), (3, 0, 3), (3, 4, 7),
    ]  # fmt: skip


def test_semiquaver_beams_do_not_break() -> None:
    """Four semiquavers, and six in a sextuplet, share unbroken beams."""
    assert beams_of("1 e & a") == [(Beam(1, 0, 3), Beam(2, 0, 3))]
    assert beams_of("1 ta trip ta let ta") == [(Beam(1, 0, 5), Beam(2, 0, 5))]


def test_beam_reaches_over_a_rest() -> None:
    """A rest inside the beat does not break the beam."""
    (group,) = groups(spelling_from_code("s s -s s", parse_figure("1 e a")))
    assert group.beams == (Beam(1, 0, 2), Beam(2, 0, 2))


def test_crotchet_breaks_the_beam() -> None:
    """A quaver beside a crotchet takes a flag."""
    quaver, crotchet = groups(spellings(parse_figure("1 trip"))[0])
    assert (quaver.flagged, crotchet.flagged, quaver.beams) == (True, False, ())
