"""Every counting system has something sensible to say for every figure."""

import pytest

from shared.counting import parse_figure
from shared.syllables import SYSTEMS, kodaly
from tests.shared.strategies import ALL_FIGURES


@pytest.mark.parametrize("system", ["takadimi", "french"])
def test_a_syllable_for_each_stroke(system: str) -> None:
    """Systems that name places of the beat say one syllable a stroke, and nothing for silence."""
    for figure in ALL_FIGURES:
        assert len(SYSTEMS[system](figure).split()) == len(figure.onsets)


@pytest.mark.parametrize("system", ["takadimi", "french"])
def test_syllables_tell_the_grid_figures_apart(system: str) -> None:
    """Within one grid, down to four or six places, no two figures are spoken alike."""
    spoken: dict[tuple[str, str], str] = {}
    for figure in ALL_FIGURES:
        if figure.grid.divisions != 8:
            key = (figure.grid.name, SYSTEMS[system](figure))
            assert spoken.setdefault(key, figure.count) == figure.count


def test_number_counting_is_the_count() -> None:
    """Counting in numbers is the language of the project itself."""
    assert all(SYSTEMS["number"](figure) == figure.count for figure in ALL_FIGURES)


@pytest.mark.parametrize(
    ("count", "spoken"),
    [
        ("1", "ta"),
        ("1 &", "ti ti"),
        ("1 e & a", "ti ka ti ka"),
        ("1 & a", "ti ti ka"),
        ("1 e &", "ti ka ti"),
        ("1 a", "tim ka"),
        ("(1)", "(sh)"),
        ("(1) &", "(s) ti"),
        ("1 trip let", "tri o la"),
    ],
)
def test_kodaly_by_length(count: str, spoken: str) -> None:
    """Kodály-style syllables follow the lengths (common practice, no source; schools differ)."""
    assert kodaly(parse_figure(count)) == spoken


@pytest.mark.parametrize(
    ("count", "spoken"),
    [("1", "tai"), ("1 la", "ti ta"), ("1 li", "ta ti"), ("1 la li", "ti ti ti"), ("1 (la) ta li", "tim ka ti"),
     ("1 ta la ta li ta", "ti ka ti ka ti ka"), ("(1) la", "(s) ta")],
)  # fmt: skip
def test_kodaly_in_compound_beats(count: str, spoken: str) -> None:
    """The same lengths have the same names; the whole dotted crotchet is tai (common practice, no source)."""
    assert kodaly(parse_figure(count, compound=True)) == spoken


def test_kodaly_leaves_demisemiquavers_unsaid() -> None:
    """Schools share no syllables for demisemiquavers, so none are shown."""
    assert kodaly(parse_figure("1 ta e")) == ""
