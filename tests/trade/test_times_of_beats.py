"""Seconds from the tempo alone: a beat lasts 60 / tempo seconds, and its parts their share. Arithmetic."""

import pytest

from shared.counting import parse_bar
from shared.orchestration import Setting, arrange


def times(count: str, tempo: float, **changes: object) -> list[float]:
    setting = Setting(tempo=tempo, **{"count_in": False, **changes})  # type: ignore[arg-type]
    return [time for time, stroke in arrange(parse_bar(count), setting).timed if stroke.figure]


@pytest.mark.parametrize("tempo", [20, 60, 72, 90, 113, 120, 400])
def test_semiquavers_are_a_quarter_of_the_beat(tempo: float) -> None:
    """Sixteen semiquavers lie evenly over four beats."""
    played = times("1 e & a 2 e & a 3 e & a 4 e & a", tempo)
    assert played == pytest.approx([k * 60 / tempo / 4 for k in range(16)], abs=1e-12)


def test_a_semiquaver_at_90() -> None:
    """At 90 a minute a semiquaver lasts 166.7 ms."""
    assert times("1 e", 90)[1] == pytest.approx(0.1667, abs=5e-5)


@pytest.mark.parametrize(("count", "parts"), [("1 trip let", 3), ("1 la li", 3), ("1 ta trip ta let ta", 6)])
def test_threes_and_sixes_divide_the_beat(count: str, parts: int) -> None:
    """Triplets, compound quavers and sextuplets lie evenly in their beat."""
    assert times(count, 60) == pytest.approx([k / parts for k in range(parts)], abs=1e-12)


@pytest.mark.parametrize("tempo", [56, 80, 92])
def test_the_count_in_and_groove_last_whole_bars(tempo: float) -> None:
    """After a bar of count-in and two of groove the figures begin twelve beats later."""
    assert times("1 2 3 4", tempo, count_in=True, groove_bars=2)[0] == pytest.approx(12 * 60 / tempo)


def test_a_triplet_swing_is_two_to_one() -> None:
    """Swung to two thirds, pairs of quavers stand 2 : 1, the triplet feel."""
    first, second, third = times("1 & 2", 120, swing=200 / 3)
    assert (second - first) / (third - second) == pytest.approx(2)


@pytest.mark.parametrize("tempo", [60, 100])
def test_the_hardest_pairs_in_milliseconds(tempo: float) -> None:
    """ "1 a" and "1 let" are 83 ms apart at 60 and 50 ms at 100, far above the 2.5 % of an interval that
    listeners notice (Friberg & Sundberg, JASA 98, 1995), so the ear can tell them."""
    a, let = times("1 a", tempo)[1], times("1 let", tempo)[1]
    assert a - let == pytest.approx(5 / tempo)
    assert a - let > 3 * 0.025 * a
