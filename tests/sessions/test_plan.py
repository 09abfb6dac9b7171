"""Plans, with their order worked by hand."""

from dataclasses import replace
from itertools import chain

import numpy as np
import pytest

from game.learning import Answer
from game.sessions.progress.plan import Plan, StepKind, contrast_steps, plan_for, way
from game.sessions.progress.progress import confusion_table
from game.wording import local_day
from shared.levels import find_level
from tests.sampling import some
from tests.sessions.lessons import DAY, NOW, STAGE_3, answer


def rounds(wrong: dict[str, str], days: int = 6, unheard: tuple[str, ...] = ()) -> list[Answer]:
    """Six days with four answers a day to each figure, the last yesterday; ``wrong`` ones always mixed up."""
    heard = [figure.count for figure in STAGE_3.figures if figure.count not in unheard]
    return [
        answer(count, wrong.get(count, count), NOW - day * DAY + 60 * k + 5 * place)
        for day in range(days, 0, -1)
        for k in range(4)
        for place, count in enumerate(heard)
    ]


def kinds(plan: Plan) -> list[StepKind]:
    """What the steps are for, in their order."""
    return [step.kind for step in plan.steps]


def test_a_beginner_meets_the_new_figures_first() -> None:
    """Without a record: the level's two new figures, then a round, the easiest way."""
    plan = plan_for(STAGE_3, [], NOW)
    assert kinds(plan) == [StepKind.MEET, StepKind.ROUND]
    assert plan.steps[0].figures == STAGE_3.new
    assert {(step.orchestration, step.tempo) for step in plan.steps} == {("snare", 60.0)}


def test_the_order_of_a_plan() -> None:
    """One pair always mixed up, one figure never heard, a half-hour: all steps in their order, with a break."""
    answers = rounds({"1 e &": "1 & a"}, unheard=("(1) &",))
    plan = plan_for(STAGE_3, answers, NOW, minutes=30)
    assert kinds(plan) == [StepKind.SETTLE, StepKind.CONTRAST, StepKind.BRING_BACK, StepKind.MEET, StepKind.ROUND]
    settle, contrast, back, meet, everything = plan.steps
    assert "1 e &" not in settle.names(STAGE_3).split(", ")
    assert contrast.names(STAGE_3) == "1 e &, 1 & a"
    assert contrast.why.startswith("Mixed up 24 times in 48 answers.")  # 6 days x 4, of 6 x 8
    assert "1 e &" in back.names(STAGE_3).split(", ")
    assert meet.names(STAGE_3) == "(1) &"
    assert everything.figures == STAGE_3.figures
    assert plan.minutes == 1 + 3 + 2 + 2 + 3


def test_pairs_come_by_what_weighs_now() -> None:
    """After the map's largest, (1) & with 9 of 9: six of four weeks ago (6 x 1/4) come after two of today (2).

    A single slip is not planned.
    """
    rows = [answer("1", "1 &", NOW - 28 * DAY)] * 6 + [answer("1", "1", NOW - 28 * DAY)]
    rows += [answer("1 e &", "1 & a"), answer("1 e &", "1 & a"), answer("1 e &", "1 e &")]
    rows += [answer("(1) &", "1 e & a", NOW - 50 * DAY)] * 9 + [answer("1", "1 e & a")]
    steps = contrast_steps(STAGE_3, rows, NOW)
    assert [step.names(STAGE_3) for step in steps] == ["(1) &, 1 e & a", "1 e &, 1 & a", "1, 1 &"]
    assert ["Of all pairs" in step.why for step in steps] == [True, False, False]
    # One alone comes first of the others, and the last says that it is next.
    assert ["comes first" in step.why for step in steps] == [False, True, False]


def test_the_largest_of_the_map_is_planned_however_short_the_plan() -> None:
    """One mix-up has the largest share of its row, others happened oftener: in ten minutes the largest comes first."""
    often = [answer("1", "1 &" if k < 9 else "1", NOW - k * 60) for k in range(100)]
    oftener = [answer("1 e & a", "1 e &" if k < 8 else "1 e & a", NOW - k * 60) for k in range(100)]
    rare = [answer("(1) &", "1 & a" if k < 3 else "(1) &", NOW - 20 * DAY) for k in range(20)]
    plan = plan_for(STAGE_3, [*rare, *often, *oftener], NOW, minutes=10)
    table = confusion_table(STAGE_3, [*rare, *often, *oftener]).shares.copy()
    np.fill_diagonal(table, 0)
    heard, said = np.unravel_index(table.argmax(), table.shape)
    first = next(step for step in plan.steps if step.kind is StepKind.CONTRAST)
    assert set(first.figures) == {STAGE_3.figures[heard], STAGE_3.figures[said]}


def test_nothing_new_waits_behind_two_that_are_not_settled() -> None:
    """At most two figures are new at a time: where two were met and are not settled, the plan meets none."""
    met = replace(answer("1", "1"), met=("1", "1 &"), choices=("1", "1 &"))
    assert StepKind.MEET not in kinds(plan_for(STAGE_3, [met], NOW))
    assert StepKind.MEET in kinds(plan_for(STAGE_3, [], NOW))


def test_the_round_asks_nothing_unmet() -> None:
    """A round of the plan holds what was asked before or is met by the plan, and nothing else."""
    plan = plan_for(STAGE_3, [], NOW)
    assert plan.steps[-1].figures == plan.steps[0].figures


def test_a_level_never_heard_is_begun_however_near_its_exam() -> None:
    """Who has heard figures of other levels alone is shown the new ones, and the round asks them."""
    elsewhere = [answer("1 trip let", "1 trip let", NOW - DAY)]
    plan = plan_for(STAGE_3, elsewhere, NOW, exam=local_day(NOW + DAY))
    assert kinds(plan) == [StepKind.MEET, StepKind.ROUND]
    assert plan.steps[-1].figures == STAGE_3.new


def test_answers_from_a_clock_that_was_ahead_count_as_now() -> None:
    """The clock was set back by a day: a plan of any length asks what was asked, and has no empty round."""
    ahead = [answer(*pair, NOW + DAY) for pair in (("1 e &", "1 & a"), ("1", "1 &"), ("(1) &", "1 e & a"))] * 5
    for minutes in range(5, 31):
        plan = plan_for(STAGE_3, ahead, NOW, minutes)
        assert {"1 e &", "1", "(1) &"} <= {figure.count for figure in plan.steps[-1].figures}, minutes


def test_at_most_three_pairs() -> None:
    """Five pairs mixed up: the first three are planned."""
    wrong = {"1": "1 &", "1 &": "(1) &", "(1) &": "1 e & a", "1 e & a": "1 e &", "1 e &": "1 & a"}
    assert len(contrast_steps(STAGE_3, rounds(wrong), NOW)) == 3


def test_what_was_overcome_is_left() -> None:
    """Mix-ups of more than sixty days ago are no longer planned, however many."""
    assert contrast_steps(STAGE_3, [answer("1 e &", "1 & a", NOW - 61 * DAY)] * 500, NOW) == ()


@pytest.mark.parametrize(
    ("share", "orchestration", "tempo"),
    [
        (0.0, "snare", 60),
        (0.59, "snare", 60),
        (0.6, "snare", 72),
        (0.8, "down-the-kit", 84),
        (0.9, "kick-and-snare", 96),
    ],
)
def test_the_way_gets_harder_by_thirds(share: float, orchestration: str, tempo: float) -> None:
    """Stage 3, 60 to 96 beats a minute: 60, 72, 84, 96; its three orchestrations follow."""
    assert way(STAGE_3, share) == (orchestration, tempo)


def test_a_short_plan_keeps_the_pair_and_the_round() -> None:
    """Five minutes hold a settling minute and the round; seven the pair as well."""
    answers = rounds({"1 e &": "1 & a"})
    assert kinds(plan_for(STAGE_3, answers, NOW, minutes=5)) == [StepKind.SETTLE, StepKind.ROUND]
    assert kinds(plan_for(STAGE_3, answers, NOW, minutes=7)) == [StepKind.SETTLE, StepKind.CONTRAST, StepKind.ROUND]


def test_a_break_after_ten_minutes() -> None:
    """1 + 3 + 3 + 3 minutes make ten: then a break, then the rest."""
    wrong = {"1": "1 &", "(1) &": "1 e & a", "1 e &": "1 & a"}
    plan = plan_for(STAGE_3, rounds(wrong), NOW, minutes=20)
    assert kinds(plan)[:5] == [StepKind.SETTLE, *[StepKind.CONTRAST] * 3, StepKind.BREAK]
    assert sum(step.minutes for step in plan.steps[:4]) == 10


@pytest.mark.parametrize("minutes", some(2, [5, 10, 13, 15, 17, 20, 25]))
def test_a_plan_takes_no_more_than_its_minutes(minutes: int) -> None:
    """With everything mixed up that can be, the break counted, a day's plan ends in time."""
    wrong = {"1": "1 &", "(1) &": "1 e & a", "1 e &": "1 & a"}
    plan = plan_for(STAGE_3, rounds(wrong), NOW, minutes=minutes)
    assert plan.minutes <= minutes
    assert plan.steps[-1].kind is StepKind.ROUND


def test_plans_defer() -> None:
    """Every plan puts the teacher first and says when to stop."""
    words = " ".join(plan_for(STAGE_3, [], NOW).notes)
    assert "teacher's advice comes before" in words
    assert "see a doctor" in words


def test_a_plan_is_played_as_the_level_is() -> None:
    """Whatever the record, tempo and orchestration are the level's."""
    level = find_level("stage-7")
    for step in chain(plan_for(level, [], NOW).steps, plan_for(STAGE_3, rounds({}), NOW).steps):
        ours = level if step.figures[0].compound else STAGE_3
        assert step.orchestration in ours.orchestrations
        assert ours.tempo.low <= step.tempo <= ours.tempo.high
