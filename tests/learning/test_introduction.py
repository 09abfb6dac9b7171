"""How a level begins: nothing is asked before it was met, and what is asked grows as it is earned."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import count, islice
from random import Random

import pytest

from game.learning import Answer, CoachError, Question
from game.learning.coach import Coach
from game.learning.introduction import (
    AT_ONCE,
    BETWEEN_TWO,
    MOST_NEW,
    MOST_SOUNDED,
    SETTLED,
    SOUND_OUT,
    STEP_BY_STEP,
    Earlier,
    Steps,
)
from game.sessions.practice.meeting import meetings
from shared.figures import Figure
from shared.levels import Level, find_level, shipped_levels
from shared.likeness import distance
from shared.orchestration import ORCHESTRATIONS, groove_figure
from tests.sampling import some

NOW = 1_700_000_000.0
LEVELS = shipped_levels()


def _named(what: object) -> str:
    """The name of a level in a case; anything else as it is."""
    return what.name if isinstance(what, Level) else str(what)


EACH_LEVEL = pytest.mark.parametrize("level", some(6, LEVELS), ids=_named)


Player = Callable[[Question, Random], list[Figure | None]]
Turn = tuple[Question, tuple[Answer, ...]]
"""A question, with the rows that answered it."""


@cache
def knows(share: float) -> Player:
    """A player who is right so often, and else picks any figure on offer."""

    def picks(question: Question, random: Random) -> list[Figure | None]:
        return [
            figure if random.random() < share else random.choice(question.choices) for figure in question.asked_figures
        ]

    return picks


def played(
    level: Level, begin: str, player: Player, bars: int, seed: int = 3, log: list[Answer] | None = None
) -> list[Turn]:
    """So many bars from an empty record, or after a log."""
    if log:
        return list(islice(_lived(level, begin, player, seed, log), bars))
    way, rest = _way(level, begin, player, seed)
    way.extend(islice(rest, max(0, bars - len(way))))
    return way[:bars]


@cache
def _way(level: Level, begin: str, player: Player, seed: int) -> tuple[list[Turn], Iterator[Turn]]:
    """A way from an empty record as far as any test has asked for it, and how it goes on."""
    return [], _lived(level, begin, player, seed, [])


def _lived(level: Level, begin: str, player: Player, seed: int, log: list[Answer]) -> Iterator[Turn]:
    coach, random = Coach.replay(level, log, seed, begin), Random(seed)
    start = log[-1].at + 10 if log else NOW
    for turn in count():
        question = coach.ask(start + 12 * turn)
        yield question, coach.mark(question, player(question, random), start + 12 * turn + 6, seconds=2.0).answers


def rows_of(way: list[Turn]) -> list[Answer]:
    return [row for _, answers in way for row in answers]


def test_all_at_once_is_the_usual_beginning() -> None:
    """Unless it is told otherwise a coach asks all figures from the first bar, with all of them on offer."""
    level = find_level("stage-4")
    for question, _ in played(level, AT_ONCE, knows(0.7), 20):
        assert question.meets == ()
        assert question.choices == level.figures
    assert Coach(level).begin == AT_ONCE


def test_known_figures_alone_do_not_begin_a_level() -> None:
    """A plan's first step asks what is known from the level before: how this one begins is still to be asked."""
    level = find_level("stage-2")
    known = rows_of(played(find_level("stage-1"), AT_ONCE, knows(1.0), 5))
    assert Steps.none(level).after(replace(row, level=level.name) for row in known).untouched
    sounded = rows_of(played(level, SOUND_OUT, knows(1.0), 1, log=known))
    assert not Steps.none(level).after([*known, *sounded]).untouched


def test_another_beginning_is_refused() -> None:
    """There are three ways to begin, and the error names them."""
    with pytest.raises(CoachError, match="begin: found 'slowly'; choose from at once, step by step, sound out"):
        Coach(find_level("stage-1"), begin="slowly")


def test_one_figure_has_nothing_to_be_told_from() -> None:
    """A level of one figure can be asked at once, but holds no two to choose from."""
    level = replace(find_level("stage-1"), figures=find_level("stage-1").figures[:1], new=(), order=())
    with pytest.raises(CoachError, match="one figure and nothing to tell it from; give it at least two"):
        Coach(level, begin=STEP_BY_STEP)


def test_one_known_figure_gets_a_rival_first() -> None:
    """Where all but one of the figures are unknown, the next is met before anything is asked, even after mistakes."""
    level = find_level("stage-2")
    known = replace(
        rows_of(played(level, AT_ONCE, knows(1.0), 1))[0], heard="1", said="1", choices=(), met=("1",), level="other"
    )
    coach = Coach.replay(level, [replace(known, at=NOW + k, bar=f"bar {k}") for k in range(6)], 3, STEP_BY_STEP)
    for turn in range(12):
        question = coach.ask(NOW + 100 + 12 * turn)
        assert len(question.meets) == (1 if turn < 1 else len(question.meets))
        assert len(question.choices) >= 2
        coach.mark(question, [None] * len(question.asked), NOW + 106 + 12 * turn)


@pytest.mark.parametrize(("level", "share"), some(10, LEVELS, [1.0, 0.7, 0.0]), ids=_named)
def test_nothing_is_asked_before_it_was_met(level: Level, share: float) -> None:
    """From an empty record each figure is met first; given beats hold figures that were met, or the groove's own."""
    met: set[Figure] = set()
    for number, (question, _) in enumerate(played(level, STEP_BY_STEP, knows(share), 60)):
        assert len(question.meets) == (2 if number == 0 else len(question.meets))
        assert len(question.meets) <= (2 if number == 0 else 1)
        assert not met & set(question.meets)
        met |= set(question.meets)
        assert set(question.asked_figures) <= met
        assert set(question.choices) <= met
        assert set(question.bar.figures) <= met | {groove_figure(level.meter.compound)}


@pytest.mark.parametrize(("level", "share"), some(11, LEVELS, [1.0, 0.7]), ids=_named)
def test_two_figures_are_new_at_most(level: Level, share: float) -> None:
    """The next figure comes when one is settled: its last three askings among all that were met were right."""
    met: list[str] = []
    new: dict[str, int] = {}
    for question, answers in played(level, STEP_BY_STEP, knows(share), 80):
        for figure in question.meets:
            met.append(figure.count)
            new[figure.count] = 0
        assert len(new) <= MOST_NEW
        among_all = len(question.choices) == len(met)
        for row in answers:
            if row.heard in new:
                new[row.heard] = 0 if row.said != row.heard else new[row.heard] + among_all
                if new[row.heard] >= SETTLED:
                    del new[row.heard]
    assert set(met) == {figure.count for figure in level.figures} or share < 1


@EACH_LEVEL
def test_the_choices_are_fair(level: Level) -> None:
    """Two figures are on offer, or all that were met, in the level's order, and every asked one among them."""
    met: set[Figure] = set()
    for question, answers in played(level, STEP_BY_STEP, knows(0.7), 60):
        met |= set(question.meets)
        assert list(question.choices) == [figure for figure in level.figures if figure in question.choices]
        assert len(question.choices) == 2 or set(question.choices) == met
        assert set(question.asked_figures) <= set(question.choices)
        assert {row.choices for row in answers} == {tuple(figure.count for figure in question.choices)}
        assert answers[0].met == tuple(figure.count for figure in question.meets)


@EACH_LEVEL
def test_no_reason_gives_the_answer_away(level: Level) -> None:
    """Where one beat is asked, the reason shows no figure, or both on offer; and none comes three times running."""
    questions = [question for question, _ in played(level, STEP_BY_STEP, knows(0.7), 25)]
    told = [question.reason for question in questions]
    few = [question for question in questions if len(question.asked) == 1]
    assert few
    for question in few:
        assert question.reason.figures in ((), question.choices)
    assert all(len(set(three)) > 1 for three in zip(told, told[1:], told[2:], strict=False))


def test_more_is_asked_as_it_is_earned() -> None:
    """Without a mistake a new figure is asked alone between two, alone among all, with one other, then on all beats."""
    for name in ("stage-4", "stage-6", "compound-semiquavers"):
        level = find_level(name)
        steps: dict[Figure, list[tuple[int, bool]]] = {}
        met: set[Figure] = set()
        for question, _ in played(level, STEP_BY_STEP, knows(1.0), 60):
            met |= set(question.meets)
            for figure in set(question.asked_figures):
                between_two = len(question.choices) == 2 < len(met)
                steps.setdefault(figure, []).append((len(question.asked), between_two))
        assert set(steps) == set(level.figures)
        for figure in set(level.figures) - set(question.meets):
            way = steps[figure]
            assert way[0][0] == 1
            assert [beats for beats, _ in way[:4]] == sorted(beats for beats, _ in way[:4])
            assert not any(between for _, between in way[1:])
        assert question.asked == ORCHESTRATIONS[question.setting.orchestration].asked(level.meter)
        assert question.choices == level.figures


def test_a_mistake_goes_one_step_back() -> None:
    """After a wrong answer the next bar asks one beat, and the figure comes back a step lower than it was."""
    level = find_level("stage-6")
    way = played(level, STEP_BY_STEP, knows(1.0), 60)
    for bars in range(4, 40, 2):
        log = rows_of(way[:bars])
        coach = Coach.replay(level, log, 3, STEP_BY_STEP)
        question = coach.ask(log[-1].at + 10)
        before = {figure: coach.steps.courses[level.figures.index(figure)] for figure in question.asked_figures}
        coach.mark(question, [None] * len(question.asked), log[-1].at + 15)
        for figure in set(question.asked_figures) - set(question.meets):
            after = coach.steps.courses[level.figures.index(figure)]
            assert after.run < 0
            assert after.step <= max(BETWEEN_TWO, before[figure].step - 1)
        assert len(coach.ask(log[-1].at + 20).asked) == 1


def test_what_stays_mixed_up_is_heard_once_more() -> None:
    """Two wrong answers running between two, and the figure is shown again, beside the other, before it is asked."""
    coach, again = Coach(find_level("stage-1"), 3, STEP_BY_STEP), []
    for turn in range(12):
        question = coach.ask(NOW + 20 * turn)
        figure = question.asked_figures[0]
        course = coach.steps.courses[coach.level.figures.index(figure)]
        assert (question.again == (figure,)) == (course.met and course.run <= -2)
        assert not set(question.again) & set(question.meets)
        again += [(figure, meeting.rival) for meeting in meetings(question) if meeting.again]
        wrong = [next(other for other in question.choices if other != figure)]
        coach.mark(question, wrong, NOW + 20 * turn + 9)
    assert len(again) >= 4
    assert all(figure != rival for figure, rival in again)


def test_two_wrong_answers_bring_a_settled_figure_back() -> None:
    """One mistake leaves a settled figure settled, for anybody slips; two running bring it back into the steps."""
    level = find_level("stage-2")
    log = rows_of(played(level, STEP_BY_STEP, knows(1.0), 40))
    steps = Steps.none(level).after(log)
    assert steps.unsettled == ()
    wrong = [replace(log[-1], at=log[-1].at + 60 * k, heard="1", said=None, bar=f"bar {k}") for k in (1, 2)]
    assert steps.after(wrong[:1]).unsettled == ()
    assert steps.after(wrong).unsettled == (level.figures.index(Figure((0,))),)


def test_after_a_bad_bar_comes_known_ground() -> None:
    """Where less than half of a bar was right, the next asks a settled figure alone, beside what is least like it."""
    level = find_level("stage-6")
    log = rows_of(played(level, STEP_BY_STEP, knows(1.0), 30))
    coach = Coach.replay(level, log, 3, STEP_BY_STEP)
    question = coach.ask(log[-1].at + 10)
    coach.mark(question, [None] * len(question.asked), log[-1].at + 15)
    after = coach.ask(log[-1].at + 20)
    assert len(after.asked) == 1
    assert level.figures.index(after.asked_figures[0]) not in coach.steps.unsettled
    (asked,) = after.asked_figures
    (rival,) = set(after.choices) - {asked}
    assert distance(asked, rival) == max(distance(asked, level.figures[place]) for place in coach.steps.open)
    assert after.reason.figures == after.choices
    assert "alike" not in after.reason.words


def test_near_the_floor_two_sure_figures_fill_the_bar() -> None:
    """Where a mistake would bring ten bars below 60 %, every beat is asked, between two that are sure."""
    level = find_level("stage-6")
    log = rows_of(played(level, STEP_BY_STEP, knows(1.0), 60))
    steps = replace(Steps.none(level).after(log), bars=((2.0, 4),) * 9)
    recall = [0.95] * len(level.figures)
    plan = steps.plan(STEP_BY_STEP, recall, Random(1))
    assert plan.beats is None
    assert set(plan.wanted) == set(plan.choices)
    assert len(plan.choices) == 2
    assert steps.plan(STEP_BY_STEP, [0.5] * len(recall), Random(1)).beats == 1


@pytest.mark.parametrize(("level", "seed"), some(16, LEVELS, range(3)), ids=_named)
def test_who_knows_all_is_soon_through(level: Level, seed: int) -> None:
    """A player who knows every figure, but for slips, sounds the fullest level out in at most twelve bars."""
    way = played(level, SOUND_OUT, knows(0.98), 30, seed)
    steps = [Steps.none(level).after(rows_of(way[:bars])) for bars in range(30)]
    sounded = sum(one.sounding for one in steps)
    assert 1 <= sounded <= MOST_SOUNDED == 12
    assert len(steps[sounded].open) >= len(level.figures) - 2
    for question, _ in way[:sounded]:
        assert question.meets == ()
        assert question.choices == level.figures


def test_who_knows_nothing_is_not_tried_long() -> None:
    """Where all is wrong, it is soon clear that nothing is known: the rest is met step by step."""
    level = find_level("stage-8")
    way = played(level, SOUND_OUT, lambda question, _: [None] * len(question.asked), 10)
    first = next(number for number, (question, _) in enumerate(way) if question.meets)
    assert first <= 4
    assert len(way[first][0].meets) == 2


def test_what_is_known_is_not_met() -> None:
    """After a sounding-out only the figures that were not known are met, each before it is asked again."""
    level = find_level("stage-6")
    known = set(level.figures[:5])
    met: set[Figure] = set()

    def some(question: Question, _: Random) -> list[Figure | None]:
        return [figure if figure in known | met else None for figure in question.asked_figures]

    coach, sounded = Coach(level, 3, SOUND_OUT), 0
    for turn in range(60):
        sounding = coach.steps.sounding
        sounded += sounding
        question = coach.ask(NOW + 12 * turn)
        met |= set(question.meets)
        assert sounding or set(question.asked_figures) <= known | met
        coach.mark(question, some(question, Random(turn)), NOW + 12 * turn + 6)
    assert sounded <= 8
    assert met == set(level.figures) - known
    assert question.choices == level.figures


def test_heard_before_skips_the_meeting() -> None:
    """Who says that a figure was heard before is asked among all that were met, and gains a step by a right answer."""
    level = find_level("stage-4")
    log = rows_of(played(level, STEP_BY_STEP, knows(1.0), 12))
    coach = Coach.replay(level, log, 3, STEP_BY_STEP)
    now = log[-1].at + 10
    while not (question := coach.ask(now)).meets:
        log += coach.mark(question, question.asked_figures, now + 1).answers
        now += 10
    asked = coach.heard_before(question)
    (figure,) = question.meets
    assert len(question.choices) == 2 < len(asked.choices)
    assert (asked.bar, asked.asked, asked.meets) == (question.bar, question.asked, question.meets)
    place = level.figures.index(figure)
    log += coach.mark(asked, asked.asked_figures, now + 1).answers
    assert coach.steps.courses[place].run == 1
    assert Coach.replay(level, log, 3, STEP_BY_STEP).steps == coach.steps


@pytest.mark.parametrize(("name", "begin"), some(3, ["stage-1", "stage-4", "stage-7"], [STEP_BY_STEP, SOUND_OUT]))
def test_a_replay_goes_on_alike(begin: str, name: str) -> None:
    """A coach replayed from the log of any bar stands where the living one did, and asks the same."""
    level = find_level(name)
    way = played(level, begin, knows(0.8), 40)
    for bars in range(1, 40, 6):
        coach = Coach.replay(level, rows_of(way[:bars]), 3, begin)
        assert coach.ask(NOW + 12 * bars) == way[bars][0]


def test_what_was_met_elsewhere_is_met() -> None:
    """A figure that was met on another level needs no meeting here."""
    log = rows_of(played(find_level("stage-3"), STEP_BY_STEP, knows(1.0), 40))
    level = find_level("stage-4")
    known = {figure for figure in level.figures if figure in find_level("stage-3").figures}
    met = {figure for question, _ in played(level, STEP_BY_STEP, knows(1.0), 40, log=log) for figure in question.meets}
    assert met == set(level.figures) - known == set(level.new)


def test_old_rows_tell_what_is_known() -> None:
    """Of an older record, all asked at once, what was mostly right is known, and the rest is met."""
    level = find_level("stage-4")
    known = set(level.figures[:5])
    log = rows_of(
        played(level, AT_ONCE, lambda q, _: [figure if figure in known else None for figure in q.asked_figures], 40)
    )
    old = [replace(row, choices=()) for row in log]
    steps = Steps.none(level).after(old)
    assert {level.figures[place] for place in steps.open} == known
    met = {figure for question, _ in played(level, STEP_BY_STEP, knows(1.0), 30, log=old) for figure in question.meets}
    assert met == set(level.figures) - known


def test_figures_are_met_from_plain_to_dense() -> None:
    """What divides the beat least comes first, then what has fewest strokes; a level's own order goes before."""

    def met(level: Level) -> list[str]:
        return [f.count for question, _ in played(level, STEP_BY_STEP, knows(1.0), 60) for f in question.meets]

    level = replace(find_level("stage-4"), order=())
    assert met(level)[:2] == ["1", "1 &"]
    assert Counter(met(level)) == Counter(figure.count for figure in level.figures)
    strokes = [len(count.split()) for count in met(level)]
    assert strokes == sorted(strokes)
    order = tuple(level.figures[place] for place in (4, 2))
    assert met(replace(level, order=order))[:3] == [level.figures[4].count, level.figures[2].count, "1"]
    assert met(find_level("stage-1")) == ["1", "1 &", "(1)"]


def test_second_tries_and_other_abilities_move_nothing() -> None:
    """Only first tries at hearing earn or cost a step."""
    level = find_level("stage-2")
    log = rows_of(played(level, STEP_BY_STEP, knows(0.8), 20))
    others = [replace(row, at=row.at + 1000, attempt=2) for row in log]
    others += [replace(row, at=row.at + 2000, ability="reading") for row in log]
    steps = Coach.replay(level, log, begin=STEP_BY_STEP).steps
    assert Coach.replay(level, [*log, *others], begin=STEP_BY_STEP).steps == steps
    assert steps != Steps.none(level)


def test_a_long_log_keeps_what_was_met() -> None:
    """Of a log too long to be lived through, the old rows still tell what was met and what was known."""
    level = find_level("stage-2")
    way = played(level, STEP_BY_STEP, knows(0.95), 60)
    log = rows_of(way) + [replace(row, at=row.at + 720 * k) for k in range(1, 13) for row in rows_of(way[30:])]
    coach = Coach.replay(level, log, 3, STEP_BY_STEP)
    assert len(log) > 1300
    assert set(coach.steps.open) == set(range(len(level.figures)))
    assert coach.steps.begun
    assert coach.ask(log[-1].at + 10).meets == ()
    old = [replace(row, met=(), choices=(), said=row.heard if row.heard == "1" else None) for row in log]
    earlier = Earlier(level)
    earlier.note(old)
    steps = earlier.steps()
    assert [level.figures[place].count for place in steps.open] == ["1"]
    assert steps.unsettled == ()
