"""Questions and their marks: names, second tries, fewer choices, and how an answer came about."""

from dataclasses import replace
from uuid import UUID

import numpy as np
import pytest

from game.learning import CoachError
from game.learning.beats import AnswerReader
from game.learning.coach import Coach
from game.learning.likelihood import Weighing, right_chances
from game.learning.question import question_id
from game.records import Records
from shared.levels import find_level

NOW = 1_700_000_000.0
LEVEL = find_level("stage-3")


@pytest.fixture
def coach() -> Coach:
    """A coach who has asked nothing yet."""
    return Coach(LEVEL, seed=7)


def test_a_question_has_a_name_of_its_own(coach: Coach) -> None:
    """The name is a UUID, another for each question asked, and the same for whoever asks the same in the same way."""
    names = []
    for bar in range(20):
        question = coach.ask(NOW + bar)
        names += [question.id, coach.ask(NOW + bar).id]
        coach.mark(question, question.asked_figures, NOW + bar)
    assert len(set(names)) == 40
    assert all(str(UUID(name)) == name for name in names)
    assert Coach(LEVEL, seed=7).ask(NOW).id == names[0]
    others = (
        Coach(LEVEL, seed=8).ask(NOW),
        Coach(LEVEL, seed=7).ask(NOW + 1),
        Coach(find_level("stage-4"), 7).ask(NOW),
    )
    assert len({names[0], *(other.id for other in others)}) == 4


def test_names_differ_as_their_origins_do() -> None:
    """Parts that look alike when strung together are still told apart."""
    assert len({question_id("a", "bc"), question_id("ab", "c"), question_id("abc"), question_id("a", "b", "c")}) == 4


def test_some_places_of_a_question_can_be_asked_alone(coach: Coach) -> None:
    """The bar, the choices and the name stay; what belongs to a place goes with it."""
    question = replace(coach.ask(NOW), probabilities=(0.1, 0.2, 0.3, 0.4))
    again = question.only([3, 1])
    assert (again.asked, again.probabilities) == ((1, 3), (0.2, 0.4))
    assert again.asked_figures == (question.asked_figures[1], question.asked_figures[3])
    assert (again.id, again.bar, again.choices) == (question.id, question.bar, question.choices)


def told(coach: Coach, at: float, **changes: object):  # type: ignore[no-untyped-def]
    """A question and the mark of an answer with everything told of it."""
    question = coach.ask(at)
    question = replace(
        question,
        choices=tuple(figure for figure in LEVEL.figures if figure in (*question.asked_figures, LEVEL.figures[0])),
        meets=(question.asked_figures[0],),
        probabilities=(0.5, 0.25, 0.125, 1.0),
    )
    picks = [question.asked_figures[0], None, question.choices[0], question.asked_figures[3]]
    details: dict[str, object] = {
        "changes": [0, 2, 1, 0], "alone": [1, 0, 0, 3], "slower": 1, "unsure": [False, True, False, False],
    }  # fmt: skip
    mark = coach.mark(question, picks, at + 5, [1.0, None, 2.0, 0.7], hearings=2, **details | changes)  # type: ignore[arg-type]
    return question, mark


def test_a_row_tells_how_the_answer_came_about(coach: Coach) -> None:
    """Each asked beat's own numbers stand in its row, and what holds of the bar in all of them."""
    question, mark = told(coach, NOW)
    rows = mark.answers
    assert [row.changes for row in rows] == [0, 2, 1, 0]
    assert [row.alone for row in rows] == [1, 0, 0, 3]
    assert [row.unsure for row in rows] == [False, True, False, False]
    assert [row.probability for row in rows] == [0.5, 0.25, 0.125, 1.0]
    assert {row.choices for row in rows} == {tuple(figure.count for figure in question.choices)}
    assert {row.met for row in rows} == {(question.asked_figures[0].count,)}
    assert {(row.slower, row.hearings, row.attempt, row.ability) for row in rows} == {(1, 2, 1, "hearing")}


@pytest.mark.parametrize(
    ("details", "words"),
    [
        ({"changes": [1]}, "changes: found .*give 4 whole numbers from 0"),
        ({"alone": [0, 0, 0, -1]}, "alone: found .*give 4 whole numbers from 0"),
        ({"slower": 3}, "slower: found 3; give how many of the 2 hearings"),
        ({"unsure": [True]}, "unsure: found 1; give 4"),
        ({"unsure": [True, True, False, False]}, "unsure: a beat that is not sure has no pick"),
        ({"attempt": 0}, "attempt: found 0; the first try is 1"),
        ({"ability": "smelling"}, "ability: found 'smelling'; choose from hearing, reading, playing"),
    ],
)
def test_what_cannot_be_is_refused(coach: Coach, details: dict[str, object], words: str) -> None:
    """One line says what was found and what would do, and the coach is as it was."""
    before = coach.confusion()
    with pytest.raises(CoachError, match=words):
        told(coach, NOW, **details)
    assert np.array_equal(coach.confusion(), before)


def shown(coach: Coach, later: float) -> tuple[object, ...]:
    """What a coach believes, forecasts and asks, to the bit; not in which words, for none come three times running."""
    tables = coach.confusion().tobytes(), coach.recall(later).tobytes()
    question = coach.ask(later)
    asked = replace(question, reason=replace(question.reason, words=""))
    return *tables, coach.forecast(20, 0.75, later), coach.steps, asked


def test_the_coach_of_the_records_is_the_coach_that_was_there() -> None:
    """Live, and replayed from the records file, the coach is the same to the bit, second tries and all."""
    live = Coach(LEVEL, seed=3)
    with Records.in_memory() as records:
        wren = records.add_player("Wren", NOW)
        for number in range(30):
            question, mark = told(live, NOW + 60 * number, ability=("hearing", "reading")[number % 5 == 4])
            records.append(wren, question.id, mark.answers)
            again = question.only(place for place, right in zip(question.asked, mark.right, strict=True) if not right)
            second = live.mark(again, again.asked_figures, NOW + 60 * number + 20, attempt=2)
            records.append(wren, again.id, second.answers)
        replayed = Coach.replay(LEVEL, records.answers(wren), seed=3)
    later = NOW + 90_000
    assert shown(replayed, later) == shown(live, later)


def test_a_long_log_gives_the_coach_that_was_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many eras a log has, and wherever it was replayed in between, the coach is the same to the bit."""
    monkeypatch.setattr("game.learning.coach.ERA", 48)
    monkeypatch.setattr("game.learning.coach.AT_A_TIME", 20)
    live, log = Coach(LEVEL, seed=3), []
    gone_on: list[Coach] = []
    for number in range(56):
        now = NOW + 60 * number + 30_000 * (number // 30)
        question = live.ask(now)
        noted = {"hearings": 1 + number % 3, "seconds": [1.0 + number % 4] * len(question.asked)}
        picks = [LEVEL.figures[(number * place) % 5] if (number + place) % 3 else figure
                 for place, figure in enumerate(question.asked_figures)]  # fmt: skip
        for coach in (live, *gone_on):
            mark = coach.mark(question, picks, now + 10, **noted)
        rows = mark.answers
        again = question.only(place for place, right in zip(question.asked, mark.right, strict=True) if not right)
        if again.asked and number % 2:
            for coach in (live, *gone_on):
                second = coach.mark(again, again.asked_figures, now + 20, attempt=2)
            rows += second.answers
        log += rows
        if number in (11, 25, 47):
            gone_on.append(Coach.replay(LEVEL, log, seed=3))
    assert len(log) > 5 * 48
    later = NOW + 200_000
    then = shown(live, later)
    assert [shown(other, later) == then for other in (Coach.replay(LEVEL, log, seed=3), *gone_on)] == [True] * 4


def test_an_era_may_begin_between_two_tries_at_a_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first of the answers that still count is a second try, it rings in a replay as it rang."""
    monkeypatch.setattr("game.learning.coach.ERA", 24)
    live, log = Coach(LEVEL, seed=3), []
    for number in range(12):
        question = live.ask(NOW + 60 * number)
        picks = [None, *question.asked_figures[1:]]
        rows = live.mark(question, picks, NOW + 60 * number + 10).answers
        rows += live.mark(question.only([0]), question.asked_figures[:1], NOW + 60 * number + 20, attempt=2).answers
        assert [row.attempt for row in rows] == [1, 1, 1, 1, 2]
        log += rows
        replayed = Coach.replay(LEVEL, log, seed=3)
        assert np.array_equal(replayed.confusion(), live.confusion()), number
    assert shown(replayed, NOW + 90_000) == shown(live, NOW + 90_000)


def told_by(choices: int, right: bool) -> float:
    """By how much an answer among so many choices raises the odds of knowing a figure well against hardly at all."""
    coach = Coach(LEVEL, seed=1)
    question = coach.ask(NOW)
    answers = coach.mark(question, question.asked_figures if right else [None] * 4, NOW).answers
    offered = tuple(figure.count for figure in LEVEL.figures[:choices])
    ((bar, _),) = AnswerReader(LEVEL).bars(replace(answer, choices=offered) for answer in answers)
    chances = right_chances(np.zeros(len(bar)), np.zeros(len(bar)))
    bar = [beat._replace(exam=True, unsure=not right) for beat in bar]
    told = Weighing(len(LEVEL.figures)).weigh(bar, chances, np.full(chances.shape, 1 / chances[0].size))
    likelihood = np.log(told.likelihood[0, 0]) / told.counts[0]
    return float(likelihood[-1] - likelihood[0])


def test_a_right_answer_among_two_tells_less_than_among_many() -> None:
    """Who guesses is right half of the time among two; a wrong answer tells the same among any number."""
    gains = [told_by(choices, right=True) for choices in (2, 3, len(LEVEL.figures))]
    assert 0 < gains[0] < gains[1] < gains[2]
    assert gains[0] < gains[2] / 2
    assert told_by(2, right=False) == pytest.approx(told_by(len(LEVEL.figures), right=False))


def test_a_right_answer_among_two_moves_the_coach_less() -> None:
    """Two coaches, the same bars and right answers: who was offered all the figures is believed to know them better."""
    coaches = {number: Coach(LEVEL, seed=1) for number in (2, len(LEVEL.figures))}
    for bar in range(20):
        question = Coach(LEVEL, seed=bar).ask(NOW)
        pair = question.only(question.asked[:1])
        other = next(figure for figure in LEVEL.figures if figure != pair.asked_figures[0])
        two = tuple(figure for figure in LEVEL.figures if figure in (pair.asked_figures[0], other))
        for number, coach in coaches.items():
            offered = replace(pair, choices=two) if number == 2 else pair
            coach.mark(offered, pair.asked_figures, NOW + 60 * bar)
    among_two, among_all = (coach.recall(NOW + 1300) for coach in coaches.values())
    assert among_two.mean() < among_all.mean()


def test_counts_take_first_tries_alone(coach: Coach) -> None:
    """A second try is not among the last answers that the coach speaks of."""
    question = coach.ask(NOW)
    first = coach.mark(question, [None] * 4, NOW + 1)
    before = [coach.belief.recent.right(figure) for figure in range(len(LEVEL.figures))]
    coach.mark(question, question.asked_figures, NOW + 2, attempt=2)
    assert [coach.belief.recent.right(figure) for figure in range(len(LEVEL.figures))] == before
    assert sum(answers for _, answers in before) == len(first.answers)


def test_other_abilities_are_none_of_hearing(coach: Coach) -> None:
    """What is read right says nothing of what is heard."""
    question = coach.ask(NOW)
    before = coach.confusion()
    coach.mark(question, question.asked_figures, NOW + 1, ability="reading")
    assert np.array_equal(coach.confusion(), before)


def test_choices_must_be_of_the_level(coach: Coach) -> None:
    """In another order, or with a stranger among them, the question belongs to another level."""
    question = coach.ask(NOW)
    for choices in (question.choices[::-1], find_level("stage-8").figures):
        with pytest.raises(CoachError, match="it was asked for another level"):
            coach.mark(replace(question, choices=choices), [None] * 4, NOW + 1)
