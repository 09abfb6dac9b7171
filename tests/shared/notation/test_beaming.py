"""Beams: grouped by the beat, partial beams pointing into it, broken at the half-beat where they must be.

The rules: E. Gould, Behind Bars (2011), chapter on beaming (from memory).
"""

from fractions import Fraction

import pytest

from shared.counting import parse_figure
from shared.notation.beaming import Beam, groups
from shared.spelling import spelling_from_code, spellings
from tests.shared.strategies import ALL_SPELLINGS


def beams_of(count: str, compound: bool = False) -> list[tuple[Beam, ...]]:
    """The beams of each group of a figure's usual spelling."""
    return [group.beams for group in groups(spellings(parse_figure(count, compound))[0])]


def test_outer_partial_beams_point_into_the_beat() -> None:
    """In semiquaver, quaver, semiquaver the first hook points forward and the last one back."""
    assert beams_of("1 e a") == [(Beam(1, 0, 2), Beam(2, 0, 0, 1), Beam(2, 2, 2, -1))]


def test_inner_beam_joins_neighbours() -> None:
    """Two semiquavers side by side share their second beam."""
    assert beams_of("1 & a") == [(Beam(1, 0, 2), Beam(2, 1, 2))]


@pytest.mark.parametrize(("count", "code", "hook"), [("1 (la) ta li", "e. s e", -1), ("1 la ta", "e s e.", 1)])
def test_middle_hook_points_to_its_division(count: str, code: str, hook: int) -> None:
    """A lone semiquaver inside the beat hooks towards the note it makes up a division with."""
    (group,) = groups(spelling_from_code(code, parse_figure(count, compound=True)))
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


@pytest.mark.parametrize(
    ("count", "code", "hook"),
    [("1 e & a ta", "s t -t s t t", Beam(3, 1, 1, -1)), ("1 ta e & a", "t t s t -t s", Beam(3, 3, 3, 1)),
     ("1 e & ta a ta", "s t -t t t t t", Beam(3, 1, 1, -1))],
)  # fmt: skip
def test_partial_beam_lies_under_the_beam_outside_it(count: str, code: str, hook: Beam) -> None:
    """Beside the break of the second beam, a partial third beam stays under its own half of it."""
    (group,) = groups(spelling_from_code(code, parse_figure(count)))
    assert [beam for beam in group.beams if beam.level == 3 and beam.hook] == [hook]


def test_partial_beams_are_only_where_no_beam_can_be() -> None:
    """A partial beam is within the beam outside it, and a note that has its level is only near beyond a rest."""
    for group in (group for spelling in ALL_SPELLINGS for group in groups(spelling)):
        for beam in (beam for beam in group.beams if beam.hook):
            neighbour = beam.first + beam.hook
            outside = [b for b in group.beams if b.level == beam.level - 1 and b.first <= beam.first <= b.last]
            assert all(b.hook == beam.hook or b.first <= neighbour <= b.last for b in outside), group
            note = group.notes[beam.first]
            edge = note.end if beam.hook > 0 else note.at
            assert group.notes[neighbour].beams < beam.level or edge != Fraction(1, 2), group


def test_lone_note_at_the_half_beat_joins_the_beam() -> None:
    """A semiquaver that alone follows the half-beat continues the second beam: its own would point back over it."""
    (group,) = groups(spelling_from_code("t t t t s -s", parse_figure("1 ta e ta &")))
    assert [(beam.level, beam.first, beam.last) for beam in group.beams] == [(1, 0, 4), (2, 0, 4), (3, 0, 3)]


def test_middle_hook_of_a_triplet_points_to_its_division() -> None:
    """In semiquavers of a triplet too a lone one inside hooks to the note that it shares a quaver with."""
    for count, code, hook in (("1 (trip) ta let", "e. s e", -1), ("1 trip ta", "e s e.", 1)):
        (group,) = groups(spelling_from_code(code, parse_figure(count)))
        assert [beam.hook for beam in group.beams if beam.level == 2] == [hook]
