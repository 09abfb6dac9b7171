"""Every stroke has an exact time: beats are 60 / tempo seconds long."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.bars import METERS, Bar
from shared.instruments import INSTRUMENTS
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke, TempoError
from tests.shared.strategies import BARS, SETTINGS

TEMPI = st.one_of(st.integers(20, 400).map(float), st.floats(20, 400))


def passage(*strokes: Stroke, tempo: float = 120.0, bars: int = 1) -> Passage:
    return Passage(METERS["4/4"], tempo, bars, 0, strokes)


@given(TEMPI, st.integers(0, 9), st.integers(1, 4), st.fractions(0, 1, max_denominator=24).filter(lambda at: at < 1))
def test_times_are_exact(tempo: float, bar: int, beat: int, at: Fraction) -> None:
    """A stroke's time is its place in beats times 60 / tempo, rounded once."""
    stroke = Stroke(bar, beat, at, "snare", 0.8)
    exact = (4 * bar + beat - 1 + at) * 60 / Fraction(tempo)
    assert passage(stroke, tempo=tempo).time_of(stroke) == float(exact)


@given(TEMPI)
def test_beats_and_bars_last_what_the_tempo_says(tempo: float) -> None:
    """Beat, bar and passage lengths agree."""
    music = passage(tempo=tempo, bars=3)
    assert music.beat_seconds == 60 / tempo
    assert music.seconds == pytest.approx(music.time_of_beat(3, 1), rel=1e-12)
    assert music.time_of_beat(1, 2) - music.time_of_beat(1, 1) == pytest.approx(music.beat_seconds)


@given(BARS, SETTINGS)
def test_strokes_lie_in_their_order(bar: Bar, setting: Setting) -> None:
    """Strokes stand in the order they are written, and timed strokes in the order they sound."""
    music = arrange(bar, setting)
    assert all(music.position(one) <= music.position(two) for one, two in pairwise(music.strokes))
    assert all(one[0] <= two[0] for one, two in pairwise(music.timed))
    assert len(music.timed) == len(music.strokes)


def test_strokes_together_keep_the_order_of_the_kit() -> None:
    """Strokes at one time come in the order of the table of instruments, so that files are always the same."""
    names = ("kick", "snare", "closed-hat", "click")
    strokes = [Stroke(0, 1, Fraction(0), name, 0.5) for name in reversed(names)]
    order = [stroke.instrument for stroke in passage(*strokes).strokes]
    assert order == sorted(names, key=list(INSTRUMENTS).index)


def test_feel_never_reaches_before_the_start() -> None:
    """The first stroke is never moved to before the passage begins."""
    stroke = Stroke(0, 1, Fraction(0), "snare", 0.8, moved=-0.004)
    later = Stroke(0, 2, Fraction(0), "snare", 0.8, moved=-0.004)
    music = passage(stroke, later)
    assert music.time_of(stroke) == 0
    assert music.time_of(later) == pytest.approx(0.496)


def test_accents_are_loud() -> None:
    """An accent is a stroke of nearly full velocity."""
    assert Stroke(0, 1, Fraction(0), "snare", 1.0).accent
    assert not Stroke(0, 1, Fraction(0), "snare", 0.8).accent


@pytest.mark.parametrize("tempo", [20, 400])
def test_the_limits_may_be_played(tempo: float) -> None:
    """20 and 400 beats a minute are the slowest and the fastest there are."""
    assert passage(tempo=tempo).beat_seconds == 60 / tempo


@pytest.mark.parametrize("tempo", [19.99, 400.01, 0, -80, float("inf"), float("nan")])
def test_other_tempi_are_refused(tempo: float) -> None:
    """Any other tempo is refused with the range, as a setting too."""
    with pytest.raises(TempoError, match="choose from 20 to 400 beats a minute"):
        passage(tempo=tempo)
    with pytest.raises(TempoError):
        Setting(tempo=tempo)
