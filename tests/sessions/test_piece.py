"""A finished round can be heard as one piece: what was missed is left out of it."""

from dataclasses import replace

from game.learning.coach import Coach
from game.sessions.practice.piece import piece
from game.sessions.practice.round import BarResult
from shared.levels import find_level
from shared.orchestration import Setting

NOW = 1_700_000_000.0


def results(orchestrations: tuple[str, ...]) -> list[BarResult]:
    """Three answered bars, of each the last beat missed."""
    coach, found = Coach(replace(find_level("stage-4"), orchestrations=orchestrations), seed=2), []
    for turn in range(3):
        question = coach.ask(NOW + turn)
        said = (*question.asked_figures[:-1], None)
        right = coach.mark(question, said, NOW + turn).right
        found.append(BarResult(question, said, right, 1, (0,) * len(right)))
    return found


def test_a_round_is_a_chart_with_its_missed_beats_left_out() -> None:
    """The bars stand in the order in which they were asked; the beats that were missed are gaps."""
    played = results(("snare",))
    chart = piece(played)
    assert chart.bars == tuple(result.question.bar for result in played)
    assert chart.gaps == {(0, 3), (1, 3), (2, 3)}
    passage = chart.arranged(Setting())
    assert not [stroke for stroke in passage.strokes if stroke.figure and stroke.beat == 4]


def test_of_a_fill_only_the_fill_is_figures() -> None:
    """The beats on which a fill only had the groove have no figure of their own: the groove goes on under them."""
    chart = piece(results(("fill-2",)))
    assert all(bar.figures[0].is_rest and bar.figures[1].is_rest for bar in chart.bars)
    assert {beat for _, beat in chart.gaps} == {3}
    assert {stroke.beat for stroke in chart.arranged(Setting()).strokes if stroke.figure} <= {3}
