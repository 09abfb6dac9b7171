"""Writing bars of one's own, and keeping them."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.sessions.bars.writing import blank, draft_of, kept, opened
from shared.bars import METERS, Bar
from shared.counting import CountError, parse_bar
from shared.figures import Figure
from shared.levels import vocabulary
from shared.orchestration import ORCHESTRATIONS, Setting
from tests.sessions.lessons import figure

FOUR = METERS["4/4"]


@st.composite
def bars(draw: st.DrawFn) -> Bar:
    meter = draw(st.sampled_from(tuple(METERS.values())))
    fitting = [one for one in vocabulary().figures if one.compound == meter.compound]
    return Bar(meter, tuple(draw(st.sampled_from(fitting)) for _ in range(meter.beats)))


SETTINGS = st.builds(
    Setting,
    orchestration=st.sampled_from(tuple(ORCHESTRATIONS)),
    tempo=st.floats(20, 400),
    groove_bars=st.integers(0, 3),
    lead=st.sampled_from("RL"),
    swing=st.integers(50, 75),
    click=st.booleans(),
)


def test_empty_beats_are_silent() -> None:
    """A bar with one figure sounds on that beat alone."""
    draft = blank(FOUR).with_figure(2, figure("1 e a"))
    assert draft.bar.count == "(1) (2) 3 e a (4)"
    assert draft.text == "(1) (2) 3 e a"


@given(bars())
def test_figures_and_count_say_the_same(bar: Bar) -> None:
    """A bar put together by figures and the same bar typed are one."""
    put = blank(bar.meter)
    for beat, one in enumerate(bar.figures):
        put = put.with_figure(beat, one)
    typed = blank(bar.meter).with_count(bar.count)
    assert put.bar == typed.bar == bar
    assert (put.text, typed.fault) == (bar.count, "")


@given(bars())
def test_typing_never_loses_a_beat(bar: Bar) -> None:
    """At every letter the beats typed so far are there, or those of the last good count."""
    draft = blank(bar.meter)
    for end in range(1, len(bar.count) + 1):
        before = draft
        draft = draft.with_count(bar.count[:end])
        assert draft.text == bar.count[:end]
        assert not draft.fault or draft.figures == before.figures
    assert draft.bar == bar


@given(st.text(max_size=60))
def test_any_text_is_a_draft(text: str) -> None:
    """Whatever is typed is kept as typed; its fault is one line."""
    draft = blank(FOUR).with_count("1 & 2").with_count(text)
    assert draft.text == text
    assert len(draft.figures) == 4
    assert "\n" not in draft.fault


def test_a_fault_names_word_and_place() -> None:
    """The word that no drummer counts is named, and the bar stays as it was."""
    draft = blank(FOUR).with_count("1 e a 2 &").with_count("1 e a 2 & 3 x")
    assert "character 13, 'x'" in draft.fault
    assert draft.figures[:2] == (figure("1 e a"), figure("1 &"))


def test_too_many_beats_are_told() -> None:
    """A fifth beat in 4/4 is refused in words that name the meter."""
    assert "4/4 has 4 beats; found 5" in blank(FOUR).with_count("1 2 3 4 5").fault


def test_another_meter_keeps_what_fits() -> None:
    """From 4/4 to 3/4 the first three beats stay; in 6/8 none of them can."""
    draft = blank(FOUR).with_count("1 e a 2 & 3 4")
    assert draft.in_meter(METERS["3/4"]).bar.count == "1 e a 2 & 3"
    assert draft.in_meter(METERS["6/8"]).is_empty


@given(bars(), SETTINGS)
def test_a_kept_bar_opens_as_it_was(bar: Bar, setting: Setting) -> None:
    """Through JSON and back: the bar, its meter, and every way it is played."""
    values = json.loads(json.dumps(kept(bar, setting)))
    assert opened(bar.count, values, Setting()) == (bar, setting)


@pytest.mark.parametrize(
    "values", [{}, {"tempo": 9000}, {"swing": "much"}, {"orchestration": "no such"}, {"groove_bars": 7}, {"lead": "X"}]
)
def test_unusable_values_are_as_usual(values: dict[str, object]) -> None:
    """A value from elsewhere that can't be is left at the usual one."""
    assert opened("1 2 3 4", values, Setting(tempo=66)) == (parse_bar("1 2 3 4"), Setting(tempo=66))


def test_an_unreadable_count_is_refused() -> None:
    """A kept count that is no count raises, so that the list can say so."""
    with pytest.raises(CountError):
        opened("once upon a time", {}, Setting())


def test_opening_again_fills_the_text() -> None:
    """The count field of a bar that is opened again holds its count."""
    assert draft_of(Bar(FOUR, (Figure(()),) * 4)).text == "(1) (2) (3) (4)"
