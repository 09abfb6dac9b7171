"""Variations: one step from the fill, of allowed figures, playable, none twice."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from shared.counting import parse_bar
from shared.figures import Figure
from shared.fills import WAYS, Fill, FillBeat, FillStroke, fill_of
from shared.likeness import bars_apart
from shared.playability import cautions
from shared.variations import DISPLACED, EXCHANGED, LEFT_OUT, MOVED, STEPS, TURNED, Variation, fills_apart, variations
from tests.shared.fills import fill
from tests.shared.strategies import SEMIQUAVER_FIGURES

FIGURES = st.lists(
    st.sampled_from([figure for figure in SEMIQUAVER_FIGURES if figure.onsets]), min_size=2, max_size=8, unique=True
)


@st.composite
def cases(draw: Any) -> tuple[Fill, list[Figure], list[Fill], int]:
    """A fill of some figures, those figures, fills that are kept, and a tempo."""
    figures = draw(FIGURES)
    beats = st.lists(st.none() | st.sampled_from(figures), min_size=4, max_size=4)
    made = [_fill(draw(beats), draw(st.sampled_from(tuple(WAYS)))) for _ in range(3)]
    return made[0], figures, made[1:], draw(st.integers(50, 140))


def _fill(figures: list[Figure | None], way: str) -> Fill:
    beats = [figure and FillBeat(figure, (FillStroke(),) * len(figure.onsets)) for figure in figures]
    return Fill(parse_bar("1 2 3 4").meter, tuple(beats)).round_the_kit(way)


def _is_one_step(before: Fill, found: Variation) -> bool:
    """Whether the step that is named leads from one fill to the other, and nothing else was changed."""
    after, changed = (
        found.fill,
        [k for k, (a, b) in enumerate(zip(before.beats, found.fill.beats, strict=True)) if a != b],
    )
    same_figures = before.figures == after.figures
    match found.step:
        case "exchanged":
            return len(changed) == 1 and not same_figures
        case "turned round":
            own = [before.beats[k] for k in before.played]
            return len(changed) == 1 or [after.beats[k] for k in after.played] == own[::-1]
        case "displaced":
            own, now = ([one.beats[k] for k in one.played] for one in (before, after))
            return now in (own[-1:] + own[:-1], own[1:] + own[:1])
        case "moved":
            return same_figures
        case _:
            (place,) = changed
            old, new = before.beats[place], after.beats[place]
            return bool(old and new and len(new.strokes) == len(old.strokes) - 1
                        and set(new.figure.onsets) < set(old.figure.onsets))  # fmt: skip


@given(cases())
def test_variations_keep_their_promises(case: tuple[Fill, list[Figure], list[Fill], int]) -> None:
    """None twice and none that is kept already, all by one step, of allowed figures, on played beats, playable."""
    one, allowed, kept, tempo = case
    found = variations(one, allowed, tempo, kept)
    beats = [variation.fill.beats for variation in found]
    assert len(set(beats)) == len(beats)
    assert not {one.beats, *(other.beats for other in kept)} & set(beats)
    for variation in found:
        assert _is_one_step(one, variation), variation.says
        assert variation.fill.played == one.played
        assert {figure for figure in variation.fill.figures if figure} <= {*allowed, *filter(None, one.figures)}
        assert cautions(variation.fill, tempo) == ()
        assert variation.novelty > 0
    assert found == variations(one, allowed, tempo, kept)


def test_each_kind_of_step_is_offered_and_named() -> None:
    """The five kinds come in turn, each with a name that says what was done."""
    one = fill("1 e a 2 & 3 e & a 4 & a", "m")
    allowed = [*filter(None, one.figures), *parse_bar("1 & 2 a 3 4").figures]
    found = variations(one, allowed, 80, most=100)
    assert [variation.step for variation in found[:5]] == list(STEPS)
    says = {variation.step: {other.says for other in found if other.step == variation.step} for variation in found}
    assert "1 & a on beat 2" in says[EXCHANGED]
    assert {"beat 1 turned round", "beats turned round"} <= says[TURNED]
    assert says[DISPLACED] == {"a beat later", "a beat earlier"}
    assert {"on the snare", "beat 1 on the floor tom"} <= says[MOVED]
    assert "beat 1 without its e" in says[LEFT_OUT]


def test_figures_of_another_kind_of_beat_are_passed_over() -> None:
    """A player whose level is in twos varies a fill in threes by its own figures, and none of the level's."""
    threes = fill_of([parse_bar("1 la li 2 la li")])
    own = [figure for figure in threes.figures if figure]
    assert variations(threes, [*parse_bar("1 & a 2 e a 3 & 4").figures, *own], 60) == variations(threes, own, 60) != ()


def test_nothing_is_offered_where_nothing_is_played() -> None:
    """A fill whose beats all go on with the groove has no variations."""
    empty = fill_of([parse_bar("1 2 3 4")], beats=[])
    assert variations(empty, [parse_bar("1 2 3 4").figures[0]], 80) == ()


@given(cases())
def test_the_distance_of_fills_is_one(case: tuple[Fill, list[Figure], list[Fill], int]) -> None:
    """It is 0 from a fill to itself, the same there and back, and greater than 0 to another."""
    one, _, (other, _), _ = case
    assert fills_apart(one, one) == 0
    assert fills_apart(one, other) == fills_apart(other, one)
    assert (fills_apart(one, other) == 0) == (one.beats == other.beats)


def test_a_displaced_bar_is_nearer_than_an_exchanged_one() -> None:
    """The same figures a beat later are nearer than four others, and a row against a longer one stands at its end."""
    bar = parse_bar("1 e a 2 & 3 e & a 4").figures
    later = (bar[-1], *bar[:-1])
    assert 0 < bars_apart(bar, later) < bars_apart(bar, parse_bar("1 a 2 e 3 & a 4 a").figures)
    assert bars_apart((None, None, None, None, *bar), bar) == 0
