"""Ten minutes of practice by keys, in which two figures are taken for each other until the ear has learned them."""

import pytest

from game.learning.question import Reason
from game.screens.home.home import Home
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.reveal import Reveal
from shared.figures import Figure
from tests.screens.window import Opened, Window

PAIR = ("1 e a", "1 & a")
BARS, MIXED = 40, 20
"""Forty bars of about fifteen seconds; in the first half the two are taken for each other."""


def said(window: Window, mixed: bool) -> list[Figure]:
    """What is said to the bar at hand: all of it right, or the pair exchanged."""
    figures = {figure.count: figure for figure in window.context.level.figures}
    other = dict(zip(PAIR, reversed(PAIR), strict=True)) if mixed else {}
    return [figures[other.get(figure.count, figure.count)] for figure in window.top.round.question.asked_figures]


def practised(window: Window) -> list[tuple[bool, Reason]]:
    """Practise for ten minutes: for each bar whether both of the pair were asked, and why it came."""
    told = []
    for number in range(BARS):
        assert isinstance(window.top, Practice)
        question = window.top.round.question
        asked = {figure.count for figure in question.asked_figures}
        told.append((asked.issuperset(PAIR), question.reason))
        window.clock.now += 10
        window.say(*said(window, mixed=number < MIXED))
        window.press("return")
        assert isinstance(window.top, Reveal)
        window.clock.now += 5
        window.press("return")
        window.frames(2)
        if not isinstance(window.top, Practice):
            window.press("return")
            window.frames(2)
    return told


def _counts(reason: Reason) -> set[str]:
    return {figure.count for figure in reason.figures}


@pytest.fixture
def told(opened: Opened) -> list[tuple[bool, Reason]]:
    """The bars of ten minutes on stage 4."""
    window = opened((1024, 640), level="stage-4")
    window.show(open_practice(window.context), Home(window.context))
    with window.unseen():
        return practised(window)


def test_mixed_up_pair_comes_back_and_eases_off(told: list[tuple[bool, Reason]]) -> None:
    """While mixed up the two come back together in most bars, with the reason said; once right they ease off.

    Of eight figures in bars of four, two that were chosen blindly would meet in about one bar of five.
    """
    together = [both for both, _ in told]
    assert sum(together[4:MIXED]) >= 0.75 * (MIXED - 4)
    while_mixed = [reason for _, reason in told[4:MIXED]]
    assert sum(reason.kind == "mixed up" and set(PAIR) <= _counts(reason) for reason in while_mixed) >= 12
    assert sum(together[-10:]) <= 6
    assert not any(reason.kind == "mixed up" for _, reason in told[-10:])
