"""Charts: bars in a row as one piece, with the groove under them and some beats left out."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.bars import METERS, Bar
from shared.charts import Chart, ChartError
from shared.counting import parse_bar
from shared.notation.page import lay_out_bar
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from tests.shared.strategies import bars_of

BARS = tuple(parse_bar(bar) for bar in ("1 e a 2 & 3 (4) &", "1 2 trip let 3 e & a 4", "1 & a 2 3 & 4 e"))
SETTING = Setting(tempo=90, seed=4)


def figure_onsets(chart: Chart, setting: Setting) -> list[tuple[int, int, Fraction]]:
    passage = chart.arranged(setting)
    strokes = [stroke for stroke in passage.strokes if stroke.figure]
    return sorted((stroke.bar - passage.figure_bar, stroke.beat - 1, stroke.at) for stroke in strokes)


def test_every_stroke_stands_in_its_bar() -> None:
    """The figures of each bar sound in it, in order and at their exact places; one count-in comes before all."""
    passage = Chart(BARS).arranged(SETTING)
    assert (passage.bars, passage.figure_bar, passage.tempo) == (4, 1, 90)
    wanted = [(number, beat, at) for number, bar in enumerate(BARS) for beat, at in bar.onsets()]
    assert figure_onsets(Chart(BARS), SETTING) == sorted(wanted)
    assert {stroke.bar for stroke in passage.strokes if stroke.instrument == "sticks"} == {0}
    assert Chart(BARS).arranged(replace(SETTING, count_in=False)).bars == 3


def test_the_groove_goes_on_under_all_bars() -> None:
    """Hi-hat quavers and the bass drum on one and three lie under every bar; no snare but the figures' own."""
    passage = Chart(BARS).arranged(SETTING)
    for bar in (1, 2, 3):
        own = [stroke for stroke in passage.strokes if stroke.bar == bar]
        hats = [(stroke.beat, stroke.at) for stroke in own if stroke.instrument == "closed-hat"]
        assert hats == [(beat, at) for beat in (1, 2, 3, 4) for at in (Fraction(0), Fraction(1, 2))]
        assert [stroke.beat for stroke in own if stroke.instrument == "kick"] == [1, 3]
        assert all(stroke.figure for stroke in own if stroke.instrument == "snare")


def test_gaps_are_left_out_and_can_be_filled() -> None:
    """A missed beat has the groove alone; filled again it sounds, and on the page it is an empty beat until then."""
    chart = Chart(BARS, frozenset({(0, 1), (2, 3)}))
    whole = figure_onsets(Chart(BARS), SETTING)
    assert figure_onsets(chart, SETTING) == [place for place in whole if place[:2] not in {(0, 1), (2, 3)}]
    assert figure_onsets(chart.filled([(0, 1)]), SETTING) == [place for place in whole if place[:2] != (2, 3)]
    assert chart.filled(chart.gaps) == Chart(BARS)
    assert chart.figures(0) == (BARS[0].figures[0], None, *BARS[0].figures[2:])
    hats = [s for s in chart.arranged(SETTING).strokes if s.instrument == "closed-hat"]
    assert hats == [s for s in Chart(BARS).arranged(SETTING).strokes if s.instrument == "closed-hat"]
    for bar in range(3):
        assert lay_out_bar(chart.meter, chart.figures(bar)).beats


def test_lines_of_a_page() -> None:
    """Bars stand so many in a line, in order, the last line as long as is left."""
    assert [list(line) for line in Chart(BARS).systems(2)] == [[0, 1], [2]]
    assert [list(line) for line in Chart(BARS).systems(9)] == [[0, 1, 2]]
    threes = Chart(BARS * 2, phrase=3)
    assert [list(line) for line in threes.systems(2)] == [[0, 1], [2], [3, 4], [5]]
    assert [list(line) for line in threes.systems(6)] == [[0, 1, 2, 3, 4, 5]]
    with pytest.raises(ChartError, match="0 bars in a line; write at least 1"):
        list(Chart(BARS).systems(0))


@pytest.mark.parametrize(
    ("bars", "gaps", "fault"),
    [
        ((), (), "at least one bar; found none"),
        ((BARS[0], parse_bar("1 2 3")), (), "bar 2: found 3/4 in a chart of 4/4; write one meter"),
        (BARS, {(3, 0)}, "gap at bar 4, beat 1: the chart has 3 bars of 4 beats"),
        (BARS, {(0, 4)}, "gap at bar 1, beat 5: the chart has 3 bars of 4 beats"),
    ],
)
def test_what_makes_no_chart(bars: tuple[Bar, ...], gaps: set[tuple[int, int]], fault: str) -> None:
    """No bars, two meters, or a gap where no beat is, are refused with the place."""
    with pytest.raises(ChartError, match=fault):
        Chart(bars, frozenset(gaps))


@given(
    st.sampled_from(tuple(METERS.values())).flatmap(lambda meter: st.lists(bars_of(meter), min_size=1, max_size=4)),
    st.sampled_from(tuple(ORCHESTRATIONS)),
    st.integers(0, 3),
)
def test_no_instrument_sounds_twice_at_once(bars: list[Bar], orchestration: str, seed: int) -> None:
    """In any meter and any way round the kit every bar's figures sound, and nothing is struck twice at a place."""
    setting = Setting(orchestration, 100, seed=seed, groove_bars=2)
    passage = Chart(tuple(bars)).arranged(setting)
    spots = [(stroke.bar, stroke.beat, stroke.at, stroke.instrument) for stroke in passage.strokes]
    assert len(spots) == len(set(spots))
    assert passage.bars == 1 + len(bars)
    for number, bar in enumerate(bars):
        alone = arrange(bar, replace(setting, groove_bars=0, count_in=False, seed=seed + number))
        own = {(s.beat, s.at, s.instrument, s.velocity) for s in passage.strokes if s.bar == 1 + number and s.figure}
        assert own == {(s.beat, s.at, s.instrument, s.velocity) for s in alone.strokes if s.figure}
    assert passage == Chart(tuple(bars)).arranged(setting)
