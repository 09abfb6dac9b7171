"""Fills: figures on beats, each stroke on a drum; what makes none; how one is kept, turned and heard."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.bars import METERS
from shared.counting import parse_bar, parse_figure
from shared.fills import (
    DRUMS,
    FORCES,
    Fill,
    FillBeat,
    FillError,
    FillStroke,
    as_values,
    fill_of,
    from_values,
)
from shared.orchestration import Setting
from tests.shared.fills import fill
from tests.shared.strategies import COMPOUND_FIGURES, SIMPLE_FIGURES

STROKES = st.one_of(
    st.just(FillStroke(force="ghost")),
    st.builds(
        FillStroke,
        st.lists(st.sampled_from(DRUMS), min_size=1, max_size=3, unique=True).map(tuple),
        st.sampled_from([force for force in FORCES if force != "ghost"]),
        st.sampled_from([None, "R", "L"]),
    ),
)


@st.composite
def fills(draw: Any) -> Fill:
    """Any fill of any meter."""
    meter = draw(st.sampled_from(tuple(METERS.values())))
    beats: list[FillBeat | None] = []
    for _ in range(meter.beats * draw(st.integers(1, 2))):
        figure = draw(st.none() | st.sampled_from(COMPOUND_FIGURES if meter.compound else SIMPLE_FIGURES))
        beats.append(figure and FillBeat(figure, tuple(draw(STROKES) for _ in figure.onsets)))
    return Fill(meter, tuple(beats), draw(st.sampled_from(["natural", "alternating"])))


@given(fills())
def test_a_fill_is_read_back_from_what_is_kept(one: Fill) -> None:
    """What JSON can hold of a fill gives the same fill again."""
    assert from_values(as_values(one)) == one


@given(fills(), st.sampled_from("RL"))
def test_every_stroke_sounds_at_its_place(one: Fill, lead: str) -> None:
    """Each stroke is heard on its drums at its exact place; where the fill has no figure the groove is heard."""
    size = one.meter.beats
    heard = list(one.strokes(Setting(lead=lead)))
    figures = {(s.bar * size + s.beat - 1, s.at, "snare" if s.instrument == "ghost" else s.instrument) for s in heard
               if s.figure}  # fmt: skip
    assert figures == {(p.beat, p.at, drum) for p in one.placed(lead) for drum in p.stroke.drums}
    assert {s.bar * size + s.beat - 1 for s in heard if not s.figure} == set(range(len(one.beats))) - set(one.played)
    assert all(hand in "RL" for p in one.placed(lead) for _, hand in p.hands)


def test_hands_follow_the_sticking() -> None:
    """The natural rule leaves out unplayed strokes; alternating hands skip the foot; a chosen hand is kept."""
    natural = fill("1 e a 2 & 3 4", "s")
    assert [hand for p in natural.placed() for _, hand in p.hands] == ["R", "L", "L", "R", "R", "R", "R"]
    turned = fill("1 e & a 2 3 4", "skss sss", sticking="alternating")
    assert [p.hands for p in turned.placed()][:4] == [
        (("snare", "R"),), (), (("snare", "L"),), (("snare", "R"),),
    ]  # fmt: skip
    chosen = fill("1 & 2 3 4", "s", hands="L")
    assert {hand for p in chosen.placed() for _, hand in p.hands} == {"L"}


def test_two_drums_at_once_take_both_hands() -> None:
    """The hands do not cross for it: the left one takes what stands further left, for a left-hander mirrored."""
    both = fill("1 2 3 4", "[fs]")
    assert both.placed()[0].hands == (("snare", "L"), ("floor-tom", "R"))
    assert both.placed("L")[0].hands == (("snare", "R"), ("floor-tom", "L"))


def test_another_figure_keeps_the_drums_of_strokes_that_stay() -> None:
    """A stroke at the same place stays where it was; a new one goes where the beat begins."""
    changed = fill("1 & 2 3 4", "hfsss").with_figure(0, parse_figure("1 e &"))
    beat = changed.beats[0]
    assert beat
    assert [stroke.drums for stroke in beat.strokes] == [("high-tom",), ("high-tom",), ("floor-tom",)]
    assert changed.with_figure(0, None).count == "(1) 2 3 4"


def test_ways_round_the_kit() -> None:
    """Down the kit: snare, high tom, mid tom, floor tom, beat by beat of the fill, wherever it begins."""
    late = fill_of([parse_bar("1 & 2 & 3 & 4 &")], beats=[2, 3], way="down the kit")
    assert late.count == "(1) (2) 3 & 4 &"
    assert [p.stroke.drums[0] for p in late.placed()] == ["snare", "snare", "high-tom", "high-tom"]
    assert [p.hands[0][1] for p in late.placed()] == ["R", "R", "R", "R"]


def test_a_ghost_note_that_leaves_the_snare_is_plain() -> None:
    """Ghost notes are the snare drum's: on another drum the stroke becomes a plain one."""
    assert FillStroke(force="ghost").on("floor-tom") == FillStroke(("floor-tom",))
    strokes = list(fill("1 e & a 2 3 4", "Sggg sss").strokes(Setting()))
    assert [(s.instrument, s.velocity) for s in strokes[:2]] == [("snare", 1.0), ("ghost", 0.4)]


@pytest.mark.parametrize(
    ("make", "fault"),
    [
        (lambda: FillStroke(("bell",)), "drums bell: choose from kick, floor-tom"),
        (lambda: FillStroke(()), "drums none"),
        (lambda: FillStroke(force="loud"), "force 'loud': choose from ghost, plain, accent"),
        (lambda: FillStroke(("kick",), "ghost"), "ghost notes are played on the snare drum alone"),
        (lambda: FillStroke(hand="F"), "hand 'F': give R, L or None"),
        (lambda: FillBeat(parse_figure("1 &"), ()), "1 & has 2 strokes; found 0"),
        (lambda: Fill(METERS["4/4"], (None,) * 3), "3 beats of 4/4: a fill has 1 or 2 bars"),
        (lambda: Fill(METERS["4/4"], (None,) * 4, "free"), "sticking 'free': choose from natural"),
        (lambda: Fill(METERS["6/8"], (FillBeat(parse_figure("1"), (FillStroke(),)), None)), "beat 1: 1 is no figure"),
        (lambda: fill_of([]), "found none"),
        (lambda: fill("1 2 3 4", "s").with_stroke(0, 1, FillStroke()), "beat 1 has no stroke 2"),
        (lambda: from_values({}), "it needs meter, sticking and beats"),
        (lambda: from_values({"meter": "4/4", "sticking": "natural", "beats": 4}), "it needs meter"),
        (
            lambda: from_values(
                {"meter": "2/4", "sticking": "natural", "beats": [{"figure": "zz", "strokes": []}] * 2}
            ),
            "a fill that can't be read: character 1, 'zz'",
        ),
    ],
)
def test_what_makes_no_fill(make: Any, fault: str) -> None:
    """Each is refused in one line that says what was found and what would do."""
    with pytest.raises(FillError, match=fault) as caught:
        make()
    assert "\n" not in str(caught.value)


def test_a_fill_of_two_bars_has_each_bar_alone() -> None:
    """Its bars, its length, and each bar as a fill of its own."""
    two = fill_of([parse_bar("1 2 3 4"), parse_bar("1 e a 2 & 3 4")])
    assert (two.length, two.bars[1].count, two.bar(1).count) == (2, "1 e a 2 & 3 4", "1 e a 2 & 3 4")
    assert [p.at for p in two.bar(1).placed()][:3] == [Fraction(0), Fraction(1, 4), Fraction(3, 4)]
