"""How hard bars are made: each axis from its plain end, one small step at a time, held down by mistakes."""

from dataclasses import replace
from itertools import pairwise
from random import Random

import pytest

from game.learning import Answer, Question
from game.learning.coach import Coach
from game.learning.question import Reason
from game.learning.reasons import DEMANDS, EASED
from game.learning.staircase import (
    FEELS,
    FREELY,
    MOST_TEMPO_CHANGE,
    ONCE,
    REMEMBERED,
    RIGHT,
    TEMPO_STEP,
    TWO_BARS,
    UNCOUNTED,
    WRONG,
    Staircase,
)
from shared.levels import find_level, ladder_names
from tests.sampling import some

NOW = 1_700_000_000.0
LEVEL = find_level("stage-3")
BEATS = 4


def climbed(bars: int, stairs: Staircase | None = None) -> Staircase:
    """The places after so many bars without a mistake, each played where the player stands."""
    stairs = stairs or Staircase(LEVEL)
    for _ in range(bars):
        stairs = stairs.answered(BEATS, BEATS, LEVEL.tempo.low + TEMPO_STEP * stairs.tempo)
    return stairs


def places(stairs: Staircase) -> tuple[int, int, int, int]:
    return stairs.tempo, stairs.kit, stairs.groove, stairs.feel


def row(bar: float, beat: int, right: bool = True, **changes: object) -> Answer:
    plain = Answer(NOW + bar, LEVEL.name, "4/4", f"bar {bar}", beat, "1", "1" if right else "1 &", 1.0, "snare", 60.0)
    return replace(plain, **changes)  # type: ignore[arg-type]


def untold(question: Question) -> Question:
    """A question, and the one after it, without their reasons."""
    then = question.then and untold(question.then)
    return replace(question, reason=Reason(""), then=then)


def test_every_axis_begins_at_its_plain_end() -> None:
    """Before any answer a bar is played slowly, the first way round the kit, with least groove and exactly."""
    for seed in range(20):
        setting = Staircase(LEVEL).setting(Random(seed), plain=False)
        assert setting.tempo == LEVEL.tempo.low
        assert (setting.orchestration, setting.groove_bars, setting.feel) == ("snare", 0, 0.0)


def test_one_axis_moves_at_a_time() -> None:
    """Bars without a mistake move one axis by one step each, until all are at the top; feel is the last to open."""
    way = [climbed(bars) for bars in range(40)]
    for before, after in pairwise(way):
        assert sum(abs(a - b) for a, b in zip(places(before), places(after), strict=True)) <= 1
    top = places(way[-1])
    assert top == (12, 2, 1, len(FEELS) - 1)
    assert all(stairs.feel == 0 or places(stairs)[:3] == top[:3] for stairs in way)
    assert places(climbed(5)) != places(climbed(40))


def test_a_wrong_beat_weighs_four_right_ones() -> None:
    """Steps balance at four right beats in five (Kaernbach 1991): up x p = down x (1 - p)."""
    assert RIGHT * 0.8 == pytest.approx(-WRONG * 0.2)
    high = climbed(20)
    held = high
    for _ in range(30):
        held = held.answered(4, 5, 100)
    assert places(held) == places(high)


def test_memory_opens_after_all_else() -> None:
    """With every axis at its top each step of memory takes five bars without a mistake, and all mistakes in five one
    step back.
    """
    top = next(stairs for stairs in map(climbed, range(40)) if stairs.memory == ONCE)
    assert places(top) == (12, 2, 1, len(FEELS) - 1)
    assert [climbed(bars, top).memory for bars in (4, 5, 9, 10, 14, 15, 30)] == [
        ONCE, UNCOUNTED, UNCOUNTED, TWO_BARS, TWO_BARS, REMEMBERED, REMEMBERED,
    ]  # fmt: skip
    low = climbed(5, top)
    for _ in range(2):
        low = low.answered(0, BEATS, LEVEL.tempo.high)
    assert low.memory == ONCE
    assert places(low) == places(top)


def test_what_is_heard_again_climbs_nothing_in_memory() -> None:
    """Bars heard twice open no step of memory and do none, and a class, whose teacher plays, is never asked so."""
    top = climbed(17)
    assert top.memory == FREELY
    assert climbed(1, top).memory == ONCE
    for rows in (
        [row(1, beat, tempo=LEVEL.tempo.high, hearings=2) for beat in range(BEATS)],
        [row(1, beat, tempo=LEVEL.tempo.high, kind="class") for beat in range(BEATS)],
    ):
        assert top.after(rows).memory == FREELY
        assert climbed(1, top).after(rows * 6) == climbed(1, top).after(rows)
        assert climbed(1, top).after(rows).on_the_way == climbed(1, top).on_the_way


def test_without_a_count_in_there_is_a_pulse() -> None:
    """Where no sticks count in, a groove or a click says where the beats lie: silence would make figures ambiguous."""
    for name in ladder_names():
        level = find_level(name)
        setting = Staircase(level).setting(Random(1), plain=False, memory=UNCOUNTED)
        assert not setting.count_in
        assert setting.click or setting.groove_bars
        assert Staircase(level).setting(Random(1), plain=False, memory=ONCE).count_in


def test_the_coach_asks_from_memory_once_everything_holds() -> None:
    """Answered without a mistake it asks one hearing, no count-in and two bars, and says so where each begins."""
    coach, memories, told = Coach(find_level("stage-1"), seed=3), [], {}
    for turn in range(80):
        question = coach.ask(NOW + 10 * turn)
        memories.append(question.memory)
        told.setdefault(question.memory, question.reason.words)
        assert question.memory == FREELY or coach.holds(NOW + 10 * turn)
        assert (question.then is not None) == (question.memory == TWO_BARS)
        if question.then:
            assert question.then.id != question.id
            assert question.then.bar.count != question.bar.count
            assert replace(question.then.setting, seed=0) == replace(question.setting, seed=0)
            coach.mark(question, question.asked_figures, NOW + 10 * turn + 5)
            question = question.then
        coach.mark(question, question.asked_figures, NOW + 10 * turn + 6)
    assert sorted(set(memories)) == [FREELY, ONCE, UNCOUNTED, TWO_BARS]
    assert memories == sorted(memories)
    assert {memory: told[memory] for memory in DEMANDS} == DEMANDS
    wrong = [None] * len(question.asked)
    for turn in range(80, 90):
        question = coach.ask(NOW + 10 * turn)
        if question.memory < TWO_BARS:
            break
        coach.mark(question, wrong, NOW + 10 * turn + 5)
        coach.mark(question.then, wrong, NOW + 10 * turn + 6)
    assert question.reason.words == EASED[question.memory]


def test_mistakes_go_back_to_the_plain_end() -> None:
    """Each bar of mistakes goes one step down, and there is nothing below the plain end."""
    stairs = climbed(15)
    for _ in range(60):
        below = stairs.answered(0, BEATS, 80)
        assert sum(places(stairs)) - sum(places(below)) == (1 if sum(places(stairs)) else 0)
        stairs = below
    assert places(stairs) == (0, 0, 0, 0)


def test_tempo_goes_by_at_most_six() -> None:
    """From bar to bar the tempo changes by at most six beats a minute, on the way to a new figure and back too."""
    for name in ladder_names():
        level, random = find_level(name), Random(2)
        stairs, last = Staircase(level), None
        for bar in range(60):
            setting = stairs.setting(random, plain=bar % 13 in (9, 10))
            assert level.tempo.low <= setting.tempo <= level.tempo.high
            assert last is None or abs(setting.tempo - last) <= MOST_TEMPO_CHANGE == 6
            last = setting.tempo
            right = 2 if random.random() < 0.1 else 4
            stairs = stairs.answered(right, 4, setting.tempo)


def test_what_was_made_plain_earns_no_step() -> None:
    """Right answers to bars slower than the player's place don't go on to harder ones; mistakes still count."""
    stairs = climbed(15)
    assert places(stairs.answered(4, 4, LEVEL.tempo.low)) == places(stairs)
    assert places(stairs.answered(0, 4, LEVEL.tempo.low)) != places(stairs)


@pytest.mark.parametrize("change", [{"level": "stage-2"}, {"kind": "exam"}, {"attempt": 2}, {"ability": "reading"}])
def test_other_rows_move_nothing(change: dict[str, object]) -> None:
    """Answers on easier levels, in exams, second tries and reading leave every place as it was."""
    rows = [row(bar, beat, **change) for bar in range(30) for beat in range(BEATS)]
    assert Staircase(LEVEL).after(rows) == Staircase(LEVEL)


def test_a_bar_with_given_beats_moves_nothing() -> None:
    """A bar of which only some beats are asked belongs to a new figure: its tempo is noted, and no more."""
    after = Staircase(LEVEL).after([row(1, 0), row(1, 1)])
    assert after == replace(Staircase(LEVEL), played=60.0)
    fill = [row(1, 2, orchestration="fill-2"), row(1, 3, orchestration="fill-2")]
    assert Staircase(LEVEL).after(fill).on_the_way > 0


def test_rows_of_a_class_count_by_shares() -> None:
    """Where three quarters of the hands are right on each beat, a bar counts as three beats right and one wrong."""
    rows = [
        row(1, beat, right, share=share, kind="class")
        for beat in range(BEATS)
        for right, share in ((True, 0.75), (False, 0.25))
    ]
    assert Staircase(LEVEL).after(rows).on_the_way == pytest.approx(3 * RIGHT + WRONG)


def test_a_replay_stands_at_the_same_place() -> None:
    """The settings that a replayed coach asks in are those of the coach that lived through the answers.

    Only the reason may differ: whoever begins anew is told what is asked of the memory.
    """
    coach, rows, random = Coach(LEVEL, seed=5), [], Random(1)
    for turn in range(60):
        question = coach.ask(NOW + 10 * turn)
        picks = [figure if random.random() < 0.9 else None for figure in question.asked_figures]
        rows += coach.mark(question, picks, NOW + 10 * turn + 5).answers
    assert question.setting.tempo > LEVEL.tempo.low
    again = Coach.replay(LEVEL, rows, seed=5)
    assert untold(again.ask(NOW + 700)) == untold(coach.ask(NOW + 700))


@pytest.mark.parametrize("name", some(3, ladder_names()))
def test_the_coach_climbs_in_small_steps(name: str) -> None:
    """From an empty record, answered without a mistake, every level of the ladder climbs by at most six a bar."""
    coach, tempi = Coach(find_level(name), seed=1), []
    for turn in range(25):
        question = coach.ask(NOW + 10 * turn)
        tempi.append(question.setting.tempo)
        coach.mark(question, question.asked_figures, NOW + 10 * turn + 5)
    assert tempi[0] == coach.level.tempo.low
    assert max(tempi) > tempi[0]
    assert max(abs(b - a) for a, b in pairwise(tempi)) <= MOST_TEMPO_CHANGE
