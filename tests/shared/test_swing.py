"""Swing that turns no figure into another."""

from fractions import Fraction

import pytest

from shared.bars import METERS, Bar
from shared.counting import parse_bar, parse_figure
from shared.figures import Figure
from shared.levels import shipped_levels
from shared.orchestration import Setting, arrange
from shared.swing import SAFE, STRAIGHT, SWINGS, safe_swings
from tests.sampling import some


def figures(*counts: str) -> tuple[Figure, ...]:
    return tuple(map(parse_figure, counts))


def test_triplet_beside_a_pair_forbids_swing() -> None:
    """A fully swung pair is heard as the triplet's outer strokes (2 : 1; Friberg & Sundström 2002)."""
    assert safe_swings(figures("1 &", "1 let")) == (STRAIGHT,)


def test_pair_alone_swings_freely() -> None:
    """Where nothing else has two strokes, every swing is on offer."""
    assert safe_swings(figures("1", "1 &", "(1)")) == SWINGS


def test_late_semiquaver_allows_little_swing() -> None:
    """Beside 1 a only a little swing is on offer."""
    assert safe_swings(figures("1 &", "1 a")) == (50, 57)


def test_swung_semiquaver_beside_a_triplet_forbids_swing() -> None:
    """A little swing moves e by a twenty-eighth of a beat, nearly half the way to the triplet's second (arithmetic)."""
    assert safe_swings(figures("1 e", "1 trip")) == (STRAIGHT,)
    assert safe_swings(figures("1 e", "1 a")) == SWINGS


def test_beats_of_three_do_not_swing() -> None:
    """A dotted-crotchet beat has no pair."""
    assert safe_swings((parse_figure("1 la li", True), parse_figure("1 li", True))) == (STRAIGHT,)


@pytest.mark.parametrize("level", some(2, shipped_levels()), ids=lambda level: level.name)
def test_swung_bars_stay_themselves(level) -> None:  # type: ignore[no-untyped-def]
    """By every swing a level offers, each beat that is played is nearest to its own figure, and clearly so."""
    seconds = 60 / 80
    for swing in safe_swings(level.figures):
        for figure in level.figures:
            for other in level.figures:
                bar = Bar(METERS[level.meter.name], (figure, other) * (level.meter.beats // 2))
                passage = arrange(bar, Setting(tempo=80, swing=swing, count_in=False))
                sounded = [passage.time_of(stroke) / seconds for stroke in passage.strokes if stroke.beat == 1]
                assert nearest(sounded, level.figures) == figure


def nearest(sounded: list[float], choices: tuple[Figure, ...]) -> Figure:
    """The figure whose furthest stroke is nearest to where strokes sounded."""
    alike = [figure for figure in choices if len(figure.onsets) == len(sounded)]
    return min(alike, key=lambda f: max((abs(float(a) - b) for a, b in zip(f.onsets, sounded, strict=True)), default=0))


def test_safe_share_is_under_half() -> None:
    """Half the way to another figure is where the nearer one changes; swing stays well before it."""
    assert SAFE < Fraction(1, 2)


def test_swing_still_moves_what_it_may() -> None:
    """The off-beat of a swung bar of quavers comes late, by two thirds of the beat at 67 %."""
    passage = arrange(parse_bar("1 & 2 & 3 & 4 &"), Setting(tempo=60, swing=67, count_in=False))
    assert [round(time, 2) for time, _ in passage.timed] == [0, 0.67, 1, 1.67, 2, 2.67, 3, 3.67]
