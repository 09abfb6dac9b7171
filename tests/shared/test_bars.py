"""A bar holds one figure of the right kind for each beat of its meter."""

from fractions import Fraction

import pytest
from hypothesis import given

from shared.bars import METERS, SINGLE_BEATS, Bar, BarError, Meter, meter_for
from shared.figures import Figure
from tests.shared.strategies import BARS

PAIR = Figure((0, Fraction(1, 2)))


@given(BARS)
def test_onsets_lie_inside_the_bar_in_order(bar: Bar) -> None:
    """Strokes come in time order, each within its own beat, and none is lost."""
    onsets = list(bar.onsets())
    assert onsets == sorted(set(onsets))
    assert all(0 <= beat < bar.meter.beats and 0 <= at < 1 for beat, at in onsets)
    assert len(onsets) == sum(len(figure.onsets) for figure in bar.figures)


@given(BARS)
def test_the_count_counts_every_beat(bar: Bar) -> None:
    """The numbers of a bar's count run from 1 to the number of its beats."""
    numbers = [int(word.strip("()")) for word in bar.count.split() if word.strip("()").isdigit()]
    assert numbers == list(range(1, bar.meter.beats + 1))


@pytest.mark.parametrize("meter", [*METERS.values(), *SINGLE_BEATS.values()], ids=str)
def test_beats_fill_the_written_bar(meter: Meter) -> None:
    """A bar lasts exactly what its time signature says: 12/8 is twelve quavers, six crotchets."""
    over, under = map(int, meter.name.split("/"))
    assert meter.beats * meter.crotchets_in_beat == Fraction(4 * over, under)


def test_a_meter_is_found_by_its_beats() -> None:
    """Three dotted-crotchet beats are 9/8; five beats are no meter here."""
    assert meter_for(3, compound=True).name == "9/8"
    assert meter_for(1, compound=False).name == "1/4"
    with pytest.raises(BarError, match="no meter has 5 beats"):
        meter_for(5, compound=False)


def test_changed_figures_leave_the_rest() -> None:
    """Only the named beats change."""
    bar = Bar(METERS["3/4"], (PAIR, PAIR, PAIR))
    changed = bar.with_figures({1: Figure(())})
    assert changed.count == "1 & (2) 3 &"
    assert bar.count == "1 & 2 & 3 &"


@pytest.mark.parametrize(
    ("meter", "figures", "words"),
    [
        ("4/4", (PAIR,) * 3, "4 beats; found 3 figures"),
        ("6/8", (PAIR, PAIR), "figure 1, '1 &', belongs to the other kind of beat; 6/8 is felt in dotted crotchets"),
    ],
)
def test_refuses_what_does_not_fit(meter: str, figures: tuple[Figure, ...], words: str) -> None:
    """Too few beats, or beats of the other kind, are refused by name."""
    with pytest.raises(BarError, match=words):
        Bar(METERS[meter], figures)
