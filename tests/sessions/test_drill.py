"""A drill of two figures."""

from collections import Counter
from itertools import pairwise

import pytest

from game.learning.coach import Coach
from game.sessions.practice.drill import BARS, PairDrill
from game.sessions.practice.round import PracticeRound, State
from shared.levels import find_level
from tests.sessions.lessons import NOW, STAGE_3, figure

SHORT_LONG, LONG_SHORT = figure("1 e &"), figure("1 & a")


def drill(level_name: str = "stage-3", seed: int = 0) -> PairDrill:
    """A drill of the two figures that stage 3 introduces."""
    return PairDrill(Coach(find_level(level_name)), SHORT_LONG, LONG_SHORT, seed)


@pytest.mark.parametrize("level", ["stage-3", "stage-4"])
def test_every_bar_holds_both_and_nothing_else(level: str) -> None:
    """Forty bars: both figures on the asked beats, no third, and never the last bar again."""
    asker = drill(level)
    bars = []
    for _ in range(40):
        question = asker.ask(NOW)
        assert set(question.asked_figures) == {SHORT_LONG, LONG_SHORT}
        assert question.choices == asker.coach.level.figures
        bars.append(question.bar)
    assert all(one != other for one, other in pairwise(bars))


def test_no_order_is_favoured() -> None:
    """Over 200 bars each figure begins the bar about half of the time: within four standard errors."""
    asker = drill()
    firsts = Counter(asker.ask(NOW).bar.figures[0] for _ in range(200))
    assert abs(firsts[SHORT_LONG] - 100) < 4 * (200 * 0.25) ** 0.5


def test_the_coach_learns_from_it() -> None:
    """What is mixed up in a drill is known to the coach afterwards."""
    asker = drill()
    place = STAGE_3.figures.index(SHORT_LONG), STAGE_3.figures.index(LONG_SHORT)
    before = asker.coach.confusion()[place]
    game = PracticeRound(asker, lambda *_: None, NOW, bars=BARS)
    while game.state is not State.FINISHED:
        for _ in game.question.asked:
            game.sheet.pick(LONG_SHORT)
        game.answer(NOW + 10 * game.number)
        game.go_on()
    assert asker.coach.confusion()[place] > before
    assert len(game.results) == BARS
