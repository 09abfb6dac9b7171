"""Mix-ups counted by hand."""

import pytest

from game.sessions.progress.mixups import mix_ups, mixed_pairs, tally
from tests.sessions.lessons import DAY, NOW, STAGE_3, answer, figure


def test_mix_ups_are_counted_by_direction() -> None:
    """Three of four and one of two: the more frequent direction comes first; skips are no mix-up."""
    rows = [answer("1 e &", "1 & a")] * 3 + [answer("1 e &", "1 e &")]
    rows += [answer("1 & a", "1 e &"), answer("1 & a", None)]
    found = mix_ups(STAGE_3.figures, rows)
    assert [(row.heard.count, row.said.count, row.times, row.answers) for row in found] == [
        ("1 e &", "1 & a", 3, 4),
        ("1 & a", "1 e &", 1, 2),
    ]


def test_of_mix_ups_as_frequent_the_larger_share_comes_first() -> None:
    """Once in one answer weighs more than once in two."""
    rows = [answer("1", "1 &"), answer("1", "1"), answer("1 e &", "1 & a")]
    assert [row.heard.count for row in mix_ups(STAGE_3.figures, rows)] == ["1 e &", "1"]


def test_figures_of_other_levels_are_left_out() -> None:
    """What the level does not hold is no mix-up of it."""
    assert mix_ups(STAGE_3.figures, [answer("1 e a", "1 e &"), answer("1 e &", "1 e a")]) == ()


def test_a_class_counts_in_shares() -> None:
    """Three hands of twelve are a quarter of a room."""
    rows = [answer("1 e &", "1 & a", share=0.25), answer("1 e &", "1 e &", share=0.75)]
    assert [(row.times, row.answers) for row in mix_ups(STAGE_3.figures, rows)] == [(0.25, 1.0)]


def test_pairs_pool_both_directions_and_fade() -> None:
    """Four mix-ups of four weeks ago weigh 4 x 1/4 = 1, less than two of today, pooled from both directions."""
    old = [answer("1", "1 &", NOW - 28 * DAY)] * 4
    new = [answer("1 e &", "1 & a"), answer("1 & a", "1 e &"), answer("1 & a", "1 & a")]
    first, second = mixed_pairs(STAGE_3, old + new, NOW)
    assert (first.names, first.mixed, first.right, first.answers) == ("1 e & and 1 & a", 2, 1, 3)
    assert (first.weight, second.weight) == pytest.approx((2.0, 1.0))
    assert second.names == f"{figure('1')} and {figure('1 &')}"


def test_only_first_tries_by_ear_are_counted() -> None:
    """A second try, told that the first was wrong, and what was read, say nothing of what the ear mixes up."""
    first = [answer("1 e &", "1 & a"), answer("1 e &", "1 e &")]
    others = [answer("1 e &", said, attempt=2) for said in ("1", "1 & a")] + [answer("1 & a", "1", ability="reading")]
    assert mix_ups(STAGE_3.figures, first + others) == mix_ups(STAGE_3.figures, first)
    assert mixed_pairs(STAGE_3, first + others, NOW) == mixed_pairs(STAGE_3, first, NOW)


def test_tallies_are_whole_where_they_can_be() -> None:
    """Nobody understands 3.56 of 39 answers: parts of a room are told in whole numbers, as about so many."""
    assert (tally(3.0), tally(2.96), tally(3.56)) == ("3", "3", "about 4")
