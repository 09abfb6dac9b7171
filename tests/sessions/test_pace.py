"""From one bar to the next no round quickens by more than a small step, whoever chooses its bars."""

from collections.abc import Callable, Iterator
from itertools import pairwise

import pytest

from game.learning.coach import Coach
from game.learning.slow_practice import CLIMB
from game.learning.staircase import MOST_TEMPO_CHANGE
from game.sessions.practice.asker import Asker
from game.sessions.practice.closing import Closing
from game.sessions.practice.drill import PairDrill
from game.sessions.practice.step import StepDrill
from game.sessions.progress.plan import PlanStep, StepKind
from tests.sessions.lessons import NOW, STAGE_3, figure

PAIR = figure("1 e &"), figure("1 & a")
QUICK = PlanStep(StepKind.CONTRAST, PAIR, "", 3, "snare", STAGE_3.tempo.high)
ASKERS: dict[str, Callable[[Coach], Asker]] = {
    "drill": lambda coach: PairDrill(coach, *PAIR),
    "step": lambda coach: StepDrill(coach, QUICK, STAGE_3.figures),
    "closing round": lambda coach: Closing(coach, 3, NOW),
}


def tempos(coach: Coach, asker: Asker, bars: range, mixed: bool) -> Iterator[float]:
    """The tempi of these bars, 20 seconds apart, answered rightly, or with the pair exchanged."""
    other = dict(zip(PAIR, reversed(PAIR), strict=True)) if mixed else {}
    for bar in bars:
        now = NOW + 20 * bar
        question = asker.ask(now)
        coach.mark(question, [other.get(heard, heard) for heard in question.asked_figures], now)
        yield question.setting.tempo


@pytest.mark.parametrize("name", ASKERS)
def test_a_round_climbs_from_the_bar_before_it(name: str) -> None:
    """After bars at the level's slowest tempo, nothing jumps, though the step or the paper would be quicker."""
    coach = Coach(STAGE_3)
    slow = PlanStep(StepKind.SETTLE, PAIR, "", 1, "snare", STAGE_3.tempo.low)
    heard = [*tempos(coach, StepDrill(coach, slow, STAGE_3.figures), range(3), mixed=False)]
    heard += tempos(coach, ASKERS[name](coach), range(3, 11), mixed=False)
    assert max(heard) > STAGE_3.tempo.low
    assert all(later - earlier <= MOST_TEMPO_CHANGE for earlier, later in pairwise(heard))


@pytest.mark.parametrize("name", ["drill", "step"])
def test_a_pair_that_stays_mixed_up_is_drilled_slowly_and_comes_back_in_steps(name: str) -> None:
    """While it stays mixed up a drill or a step plays it below the level's tempi, then a little quicker each bar."""
    coach = Coach(STAGE_3)
    asker = ASKERS[name](coach)
    assert list(tempos(coach, asker, range(6), mixed=True))[-1] < STAGE_3.tempo.low
    back = list(tempos(coach, asker, range(6, 20), mixed=False))
    assert back[0] < STAGE_3.tempo.low <= back[-1]
    assert all(later - earlier <= CLIMB for earlier, later in pairwise(back))
