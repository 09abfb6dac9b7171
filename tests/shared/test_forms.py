"""Charts of fills: the form, what is heard, what is written, and what makes none."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.bars import METERS
from shared.charts import DYNAMICS, Chart, ChartError
from shared.counting import parse_bar
from shared.fills import fill_of
from shared.forms import FORMS, PHRASE, FormError, drawn, made
from shared.grooves import GROOVES
from shared.levels import find_level
from shared.orchestration import Setting
from shared.playability import cautions
from tests.shared.fills import fill
from tests.shared.strategies import COMPOUND_FIGURES

FIRST, SECOND = fill("1 & 2 & 3 e & a 4", "s"), fill("1 e a 2 & 3 4 &", "ssshhmff")
SETTING = Setting(tempo=90)


@pytest.mark.parametrize(("name", "heard"), [("eight bars", 8), ("twelve bars", 12), ("sixteen bars", 16)])
def test_fills_come_at_the_end_of_phrases(name: str, heard: int) -> None:
    """Of the bars that are heard every fourth is a fill, so that one comes at bars 4, 8 and 16 where there are any."""
    chart = made(FORMS[name], [FIRST, SECOND])
    assert FORMS[name].heard == len(chart.heard) == heard
    passage = chart.arranged(replace(SETTING, count_in=False))
    assert passage.bars == heard
    fills = sorted({stroke.bar + 1 for stroke in passage.strokes if stroke.figure})
    assert fills == list(range(PHRASE, heard + 1, PHRASE))


def test_what_is_repeated_is_heard_twice() -> None:
    """A stretch between repeat signs comes again as it was, as loud as it is marked."""
    chart = made(FORMS["twelve bars"], [FIRST, SECOND])
    assert chart.heard == (0, 1, 2, 3, 0, 1, 2, 3, 4, 5, 6, 7)
    bars = [
        {(s.beat, s.at, s.instrument, s.velocity) for s in chart.arranged(SETTING).strokes if s.bar == bar}
        for bar in range(1, 13)
    ]
    assert bars[3] == bars[7] != bars[11]
    kick = [next(velocity for *_, drum, velocity in bar if drum == "kick") for bar in (bars[0], bars[8])]
    assert kick[0] / kick[1] == pytest.approx(DYNAMICS["mf"] / DYNAMICS["f"])


def test_a_fill_lands_on_a_crash() -> None:
    """With a landing the groove after a fill begins with crash and bass drum, in place of the hand's own stroke."""
    chart = made(FORMS["eight bars"], [FIRST, SECOND])
    on_one = {s.instrument for s in chart.arranged(replace(SETTING, landing=True)).strokes
              if (s.bar, s.beat, s.at) == (5, 1, Fraction(0))}  # fmt: skip
    assert on_one == {"crash", "kick"}
    assert "crash" not in {s.instrument for s in chart.arranged(SETTING).strokes}


def test_what_is_written_is_neither_swung_nor_loud_nor_repeated() -> None:
    """The written bars have exact places and the forces of their strokes, whatever the setting."""
    loose = Setting(tempo=90, swing=66, feel=1.0, click=True, landing=True)
    passage = made(FORMS["sixteen bars"], [FIRST, SECOND]).written(loose)
    assert (passage.bars, passage.figure_bar) == (8, 0)
    assert {s.velocity for s in passage.strokes if s.figure} == {0.8}
    assert not {"sticks", "click", "crash"} & {s.instrument for s in passage.strokes}


@settings(max_examples=25)
@given(
    st.sampled_from(tuple(FORMS.values())), st.sampled_from(tuple(METERS.values())), st.integers(50, 130),
    st.integers(0, 99), st.sampled_from("RL"), st.sampled_from(tuple(GROOVES)),
)  # fmt: skip
def test_drawn_charts_can_be_played(form: object, meter: object, tempo: int, seed: int, lead: str, groove: str) -> None:
    """Drawn fills are of the figures given, no two alike, playable; and the same seed draws the same chart."""
    figures = COMPOUND_FIGURES[1:8] if meter.compound else find_level("stage-4").figures  # type: ignore[attr-defined]
    chart = drawn(form, meter, figures, tempo, seed, lead)  # type: ignore[arg-type]
    assert chart == drawn(form, meter, figures, tempo, seed, lead)  # type: ignore[arg-type]
    fills = [one for one in chart.fills if one]
    assert {figure for one in fills for figure in one.figures if figure} <= set(figures)
    assert len({one.figures for one in fills}) == len(fills)
    assert not [caution for one in fills for caution in cautions(one, tempo, lead)]
    passage = chart.arranged(Setting(tempo=tempo, groove=groove, lead=lead, landing=True))
    spots = [(s.bar, s.beat, s.at, s.instrument) for s in passage.strokes]
    assert len(spots) == len(set(spots))


def test_what_makes_no_form() -> None:
    """Too few fills, a fill of two bars, no figure with a stroke: each says so in a line."""
    with pytest.raises(FormError, match="eight bars: give 2 fills of one bar; found 1"):
        made(FORMS["eight bars"], [FIRST])
    with pytest.raises(FormError, match="give 2 fills of one bar"):
        made(FORMS["eight bars"], [FIRST, fill_of([parse_bar("1 2 3 4")] * 2)])
    with pytest.raises(FormError, match="no figure of 4/4 with a stroke"):
        drawn(FORMS["eight bars"], METERS["4/4"], COMPOUND_FIGURES, 80, 1)


BAR = FIRST.bars[0]


@pytest.mark.parametrize(
    ("parts", "fault"),
    [
        ({"fills": (FIRST,)}, "one for each bar"),
        ({"fills": (FIRST, SECOND)}, "with that bar's figures"),
        ({"repeats": ((1, 0),)}, "stretches one after the other of bars 0 to 1"),
        ({"repeats": ((0, 2),)}, "stretches one after the other"),
        ({"repeats": ((0, 1), (1, 1))}, "stretches one after the other"),
        ({"dynamics": ((0, "loud"),)}, "dynamic 'loud' at bar 1: choose from p, mf, f"),
        ({"dynamics": ((2, "f"),)}, "dynamic 'f' at bar 3"),
    ],
)
def test_what_makes_no_chart(parts: dict[str, object], fault: str) -> None:
    """Fills, repeats and dynamics that do not belong to the bars are refused with what would do."""
    with pytest.raises(ChartError, match=fault):
        Chart((BAR, BAR), **parts)  # type: ignore[arg-type]
