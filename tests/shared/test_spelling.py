"""How figures are spelled: the usual way, the other ways, and what is refused."""

from fractions import Fraction

import pytest

from shared.counting import parse_figure
from shared.figures import Figure
from shared.spelling import SpellingError, spelling_from_code, spellings
from tests.shared.strategies import ALL_FIGURES, ALL_SPELLINGS


def test_six_grids_hold_316_sounds() -> None:
    """The figures run through here are all that six grids can hold: 316 crotchet beats, 64 dotted ones."""
    assert len({figure.onsets for figure in ALL_FIGURES}) == 316
    assert sum(figure.compound for figure in ALL_FIGURES) == 64


def test_every_spelling_sounds_as_its_figure() -> None:
    """The notes of a spelling begin at the figure's onsets, and its values fill the beat without a gap."""
    for spelling in ALL_SPELLINGS:
        assert tuple(value.at for value in spelling.notes) == spelling.figure.onsets, spelling
        ends = [Fraction(0), *(value.end for value in spelling.values)]
        assert [value.at for value in spelling.values] == ends[:-1], spelling
        assert ends[-1] == 1, spelling


def test_written_lengths_fill_the_written_beat() -> None:
    """Written values add up to the beat: shrunk by the tuplet in a crotchet, as they are in a dotted one."""
    for spelling in ALL_SPELLINGS:
        beat = Fraction(3, 2) if spelling.figure.compound else Fraction(1)
        actual, normal = spelling.tuplet or (1, 1)
        assert sum(value.crotchets for value in spelling.values) * normal / actual == beat, spelling


def test_spellings_differ() -> None:
    """No figure has the same spelling twice."""
    for figure in ALL_FIGURES:
        codes = [spelling.code for spelling in spellings(figure)]
        assert len(codes) == len(set(codes)), figure


def test_rests_keep_to_the_divisions() -> None:
    """No rest after the first stroke crosses a half or a third of the beat, and none is dotted."""
    for spelling in ALL_SPELLINGS:
        onsets = spelling.figure.onsets
        division = Fraction(1, 3 if spelling.figure.grid.divisions % 3 == 0 else 2)
        for value in spelling.values:
            if value.rest and onsets and value.at > onsets[0]:
                assert not value.dots, spelling
                assert value.at // division == (value.end - Fraction(1, 100)) // division, spelling


def test_usual_spelling_comes_first() -> None:
    """The reveal shows the usual spelling unless the level says otherwise."""
    assert [s.code for s in spellings(parse_figure("1 e a"))] == ["s e s", "s s -s s"]


def test_crossing_the_half_beat_needs_semiquaver_ends() -> None:
    """A note may be held over the half-beat from one semiquaver to another, not from a demisemiquaver."""
    held = Figure((Fraction(1, 4), Fraction(3, 4)))
    cut = Figure((Fraction(3, 8), Fraction(5, 8)))
    assert spellings(held)[0].code == "-s e s"
    assert spellings(cut)[0].code == "-s -t t -t s."


@pytest.mark.parametrize("code", ["s e s", "  s   e s "])
def test_code_finds_its_spelling(code: str) -> None:
    """A code is read whatever the spaces between its words."""
    assert spelling_from_code(code, parse_figure("1 e a")).code == "s e s"


@pytest.mark.parametrize("code", ["e s s", "s e", "x", "", "s e s s"])
def test_wrong_code_is_refused_with_the_right_ones(code: str) -> None:
    """A code that writes another sound, or nothing, is refused in one line that lists what would do."""
    with pytest.raises(SpellingError) as fault:
        spelling_from_code(code, parse_figure("1 e a"))
    assert str(fault.value) == f"{code!r} does not write '1 e a'; choose from s e s, s s -s s"
