"""The steps of a plan as they are practised, and what is kept of a day's plans."""

import json
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest

from game.learning.coach import Coach
from game.sessions.practice.round import State
from game.sessions.practice.step import LONGEST_BAR, StepDrill, StepRound
from game.sessions.progress.day import PlanDay
from game.sessions.progress.plan import Plan, PlanStep, StepKind, plan_for
from shared.levels import find_level, shipped_levels
from tests.sessions.lessons import DAY, NOW, STAGE_3, figure
from tests.sessions.test_plan import rounds

PLAN = plan_for(STAGE_3, rounds({"1 e &": "1 & a"}, unheard=("(1) &",)), NOW, minutes=30)
KNOWN = [one for one in STAGE_3.figures if one.count != "(1) &"]


def drill(step: PlanStep, seed: int = 0) -> StepDrill:
    """A step, for a player who knows all but one figure."""
    return StepDrill(Coach(STAGE_3), step, KNOWN, seed)


@pytest.mark.parametrize("step", PLAN.steps, ids=lambda step: step.kind.value)
def test_a_step_is_what_it_says(step: PlanStep) -> None:
    """Twenty bars: the step's way round the kit, its tempo, its figures and, of a lone one, one beside it."""
    asker = drill(step)
    heard = Counter[str]()
    for _ in range(20):
        question = asker.ask(NOW)
        assert (question.setting.orchestration, question.setting.tempo) == (step.orchestration, step.tempo)
        heard.update(one.count for one in question.asked_figures)
        assert set(question.asked_figures) <= set(question.choices)
        assert len(question.choices) >= 2
    wanted = {one.count for one in step.figures}
    assert wanted <= set(heard)
    assert len(set(heard) - wanted) == (len(wanted) == 1)
    assert max(heard.values()) - min(heard.values()) <= 2


def test_a_pair_is_in_every_bar() -> None:
    """A pair drill holds both in each bar, and never the last bar again."""
    asker = drill(next(step for step in PLAN.steps if step.kind is StepKind.CONTRAST))
    questions = [asker.ask(NOW) for _ in range(30)]
    assert all(set(question.asked_figures) == set(asker.step.figures) for question in questions)
    assert all(one.bar != other.bar for one, other in pairwise(questions))


def test_a_step_asks_no_more_beats_than_were_earned() -> None:
    """Of figures met a bar ago a step asks one beat, as practice does; the others are given as notation."""
    coach = Coach(STAGE_3, begin="step by step")
    for turn in range(1):
        question = coach.ask(NOW + 10 * turn)
        coach.mark(question, question.asked_figures, NOW + 10 * turn + 5)
    known = [STAGE_3.figures[place] for place in coach.steps.open]
    settle = PlanStep(StepKind.SETTLE, tuple(known), "", 1, "snare", STAGE_3.tempo.low)
    asker = StepDrill(coach, settle, known)
    assert [len(asker.ask(NOW + 30).asked) for _ in range(5)] == [1] * 5
    for turn in range(3, 40):
        question = coach.ask(NOW + 10 * turn)
        coach.mark(question, question.asked_figures, NOW + 10 * turn + 5)
    assert {len(StepDrill(coach, settle, known, seed).ask(NOW + 500).asked) for seed in range(5)} == {4}


def test_new_figures_are_met_first_one_by_one() -> None:
    """Each is met and asked alone, between two, before it turns up anywhere else; the other beats are groove."""
    step = plan_for(STAGE_3, [], NOW).steps[0]
    asker = StepDrill(Coach(STAGE_3), step, [])
    first, second, third = (asker.ask(NOW) for _ in range(3))
    for question, new in zip((first, second), step.figures, strict=True):
        assert question.meets == (new,)
        assert question.asked_figures == (new,)
        assert len(question.choices) == 2
    assert second.meets[0] not in first.bar.figures
    assert third.meets == ()
    assert set(third.choices) == set(step.figures)


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_every_step_of_every_level_can_be_asked(level: object) -> None:
    """From an empty record each step of each level gives bars that its coach can mark."""
    for step in plan_for(level, [], NOW).steps:  # type: ignore[arg-type]
        asker = StepDrill(Coach(level), step, [])  # type: ignore[arg-type]
        for k in range(4):
            question = asker.ask(NOW + k)
            assert asker.mark(question, question.asked_figures, NOW + k + 0.5, attempt=1).score == 1


def finished_after(bar_seconds: float, minutes: int = 1) -> int:
    """How many bars a step of so many minutes has for whoever needs that long for each."""
    step = StepRound(drill(PLAN.steps[0]), lambda *_: None, NOW, minutes=minutes)
    now = NOW
    while step.state is not State.FINISHED:
        now += bar_seconds
        for one in step.question.asked_figures:
            step.sheet.pick(one)
        step.answer(now)
        step.go_on()
    return len(step.results)


@pytest.mark.parametrize(
    ("seconds", "minutes", "bars"), [(20, 1, 3), (25, 1, 3), (15, 3, 12), (3600, 2, 2 * 60 / LONGEST_BAR)]
)
def test_a_step_takes_its_minutes(seconds: float, minutes: int, bars: int) -> None:
    """It ends with the bar in which they are over; who was away for an hour has not practised for an hour."""
    assert finished_after(seconds, minutes) == bars


def test_a_step_says_what_is_left() -> None:
    """In whole minutes, until the last bar."""
    step = StepRound(drill(PLAN.steps[0]), lambda *_: None, NOW, minutes=2)
    assert step.place == "Bar 1, 2 minutes left"
    step.answer(NOW + 59)
    assert step.place == "Bar 1, 2 minutes left"
    step.go_on()
    step.answer(NOW + 119)
    assert step.place == "Bar 2, 1 minute left"


def test_what_was_done_is_kept_through_json() -> None:
    """A day begins with a plan and goes on with it, whatever is answered; a step is done when it was done."""
    day = PlanDay(STAGE_3, NOW)
    assert day.plan(15) is None
    day = replace(day, kept=json.loads(json.dumps(day.begun(15, PLAN))))
    assert day.plan(15) == Plan(STAGE_3, PLAN.steps)
    assert day.plan(25) is None
    assert day.minutes == "15"
    assert day.done == {}
    day = replace(day, kept=json.loads(json.dumps(day.finished(PLAN.steps[1], NOW))))
    assert day.done == {PLAN.steps[1].key: NOW}
    assert day.plan(15) == Plan(STAGE_3, PLAN.steps)


def test_another_day_and_another_level_have_their_own() -> None:
    """What was done yesterday stays kept, yesterday's plan does not, and no other level's is touched."""
    other = find_level("stage-2")
    kept = PlanDay(STAGE_3, NOW).begun(15, PLAN)
    kept = PlanDay(STAGE_3, NOW, kept).finished(PLAN.steps[0], NOW)
    there = PlanDay(other, NOW, kept)
    kept = there.begun(15, plan_for(other, [], NOW))
    assert PlanDay(STAGE_3, NOW, kept).plan(15) is not None
    tomorrow = PlanDay(STAGE_3, NOW + DAY, kept)
    assert (tomorrow.done, tomorrow.plan(15)) == ({}, None)
    kept = tomorrow.begun(15, PLAN)
    assert PlanDay(STAGE_3, NOW, kept).done == {PLAN.steps[0].key: NOW}
    assert PlanDay(STAGE_3, NOW, kept).plan(15) is None


@pytest.mark.parametrize("damaged", [{"plans": 3}, {"plans": {"15": [{}]}}, {"plans": {"15": 1}}, {"done": []}, 5])
def test_what_cannot_be_read_is_as_if_nothing_was_kept(damaged: object) -> None:
    """Records may be damaged, and levels change: then the plan is made anew."""
    date = next(iter(PlanDay(STAGE_3, NOW).begun(15, PLAN)))
    day = PlanDay(STAGE_3, NOW, {date: {STAGE_3.name: damaged}})
    assert (day.plan(15), day.done) == (None, {})
    assert PlanDay(STAGE_3, NOW, day.begun(15, PLAN)).plan(15) is not None


def test_a_lone_figure_has_company() -> None:
    """Of a lone figure every bar would be the same: a known one that is like it goes with it."""
    step = PlanStep(StepKind.BRING_BACK, (figure("1 e &"),), "", 2, "snare", 60)
    asker = StepDrill(Coach(STAGE_3), step, [figure("1 e &")])
    assert len({one for _ in range(5) for one in asker.ask(NOW).asked_figures}) == 2
