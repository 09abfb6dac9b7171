"""The day of the real exam, as a candidate writes it, and the day of the next mock exam."""

from datetime import date, datetime, timedelta

import pytest

from game.learning.forecast import Forecast
from game.sessions import SessionError
from game.sessions.exam.day import day_from, days_until, held_at, next_mock, until_words
from game.sessions.exam.outlook import Readiness, day_forecast_words, next_words
from game.sessions.progress.plan import DAYS, NOTHING_NEW, StepKind, plan_for
from tests.sessions.lessons import STAGE_3, answer

TODAY = date(2026, 11, 29)
NOW = datetime(2026, 11, 29, 18, 30).timestamp()


@pytest.mark.parametrize(
    "text",
    ["9 December", "9 dec", "9th December 2026", "December 9", "Dec 9, 2026", "9/12", "9.12.", "9.12.2026",
     "2026-12-09", " 9/12/2026 "],
)  # fmt: skip
def test_a_day_may_be_written_in_many_ways(text: str) -> None:
    """The day comes before the month where both are numbers, as in the UK; ISO 8601 has the year first."""
    assert day_from(text, NOW) == date(2026, 12, 9)


def test_a_day_without_a_year_is_the_next_one() -> None:
    """In November the 3rd of March is next year's, and today is today."""
    assert day_from("3 March", NOW) == date(2027, 3, 3)
    assert day_from("29 November", NOW) == TODAY


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "found ''"),
        ("soon", "found 'soon'; write it like 9 December"),
        ("9 Ju", "found '9 Ju'"),
        ("31 June", "there is no 31 June in the calendar"),
        ("29 February", "there is no 29 February in the calendar"),
        ("9/13", "there is no 9/13 in the calendar"),
        ("0000-01-01", "there is no 0000-01-01 in the calendar"),
        ("28 November 2026", "Saturday, 28 November 2026 is past"),
        ("9 December 2206", "more than two years off; look at the year"),
    ],
)
def test_what_is_no_day_is_refused_in_a_line(text: str, words: str) -> None:
    """What was found, and what would do."""
    with pytest.raises(SessionError, match=r"^the day: ") as refused:
        day_from(text, NOW)
    assert words in str(refused.value)


def test_days_are_counted_by_the_calendar() -> None:
    """From late in the evening on, tomorrow is one day off; its noon is the time at which the exam is held."""
    late = datetime(2026, 11, 29, 23, 59).timestamp()
    assert [days_until(TODAY + timedelta(days=k), late) for k in (-1, 0, 1, 12)] == [-1, 0, 1, 12]
    assert [until_words(k) for k in (0, 1, 12)] == ["today", "tomorrow", "in 12 days"]
    assert datetime.fromtimestamp(held_at(TODAY)) == datetime(2026, 11, 29, 12)


@pytest.mark.parametrize(
    ("passed", "exam_in", "days"),
    [
        (False, None, 5),
        (True, None, 7),
        (False, 40, 5),
        (False, 4, 3),
        (True, 2, 1),
        (False, 1, None),
        (False, 0, None),
    ],
)
def test_the_next_mock_exam_never_comes_too_late(passed: bool, exam_in: int | None, days: int | None) -> None:
    """After a plan's days or a week, never the same day, and at the latest on the day before the exam."""
    exam = None if exam_in is None else TODAY + timedelta(days=exam_in)
    assert next_mock(NOW, passed, exam) == (None if days is None else TODAY + timedelta(days=days))


def test_the_last_day_has_no_other_mock_exam() -> None:
    """Who sits one on the day before is told to rest."""
    words = next_words(NOW, "pass", False, TODAY + timedelta(days=1))
    assert words == "Your exam is tomorrow: no other mock exam before it. Rest your ears."


@pytest.mark.parametrize(("left", "words"), [(12, "some days of"), (3, "two days of"), (2, "one day of")])
def test_the_days_until_another_try_are_as_many_as_there_are(left: int, words: str) -> None:
    """Shortly before the exam there are no "some days" of the plan any more."""
    assert words in next_words(NOW, "pass", True, TODAY + timedelta(days=left))


def test_nothing_is_gained_without_practice() -> None:
    """More beats expected on the exam's day than today, which is doubt and no gain, are not told."""
    ready = Readiness(NOW, 300, 40, 0.5, 24, "2026-12-11", (0.5, 26))
    assert ready.words(NOW) == "Exam in 12 days. Ready? It could go either way, about 24 of 40 beats right."


@pytest.mark.parametrize(
    ("today", "later", "words"),
    [
        (0.05, 0.15, "you would hardly be readier: your plan is there for that."),
        (0.5, 0.3, "you would pass in about 3 tries of 10: your plan is there to raise it."),
        (0.9, 0.8, "you would pass in about 8 tries of 10: your plan is there to keep it up."),
    ],
)
def test_waiting_alone_is_never_told_as_a_gain(today: float, later: float, words: str) -> None:
    """A chance that grows only because a far day is less certain is not told; a small one is not to be kept up."""

    def forecast(probability: float) -> Forecast:
        return Forecast(probability, 0.3, 0.8, 0.5, 0.001)

    said = day_forecast_words(forecast(later), TODAY + timedelta(days=12), NOW, forecast(today))
    assert said == f"Your exam is in 12 days, on Friday, 11 December 2026. If you practised no more until then, {words}"


@pytest.mark.parametrize(("left", "days"), [(14, 10), (12, 9), (3, 2), (1, 1), (0, 1), (40, DAYS), (-2, DAYS)])
def test_a_plan_reaches_to_the_exam(left: int, days: int) -> None:
    """Five days in seven of what is left, up to two weeks; longer, a plan a week; none for an exam that is past."""
    exam = TODAY + timedelta(days=left)
    plan = plan_for(STAGE_3, [answer("1", "1", NOW - 60)], NOW, exam=exam)
    assert plan.days == days
    assert (StepKind.MEET in {step.kind for step in plan.steps}) == (left not in (0, 1))
    assert (NOTHING_NEW in plan.notes[0]) == (left in (0, 1))
    assert plan.notes[0].startswith("Your exam is") == (left >= 0)


@pytest.mark.parametrize(
    ("day", "answers", "words"),
    [
        ("", 300, "Ready for its exam? Likely, about 33 of 40 beats right."),
        (
            "2026-12-11",
            300,
            "Exam in 12 days. Ready? Likely, about 33 of 40 beats right, 27 by then if you practise no more.",
        ),
        ("2026-11-29", 300, "Exam today. Ready? Likely, about 33 of 40 beats right."),
        ("2026-11-20", 300, "Ready for its exam? Likely, about 33 of 40 beats right."),
        (
            "2026-12-11",
            39,
            "Exam in 12 days. Too early to say whether you are ready: practise about 21 more beats first.",
        ),
        ("", 59, "Too early to say whether you are ready: practise about 1 more beat first."),
    ],
)
def test_readiness_in_a_line(day: str, answers: int, words: str) -> None:
    """How far off the exam is, what today would bring, and what is left of it on the day; the same after keeping."""
    ready = Readiness(NOW, answers, 40, 0.8, 33, day, (0.5, 27))
    assert ready.words(NOW) == words
    assert Readiness.from_kept(ready.kept()) == ready


@pytest.mark.parametrize(("probability", "words"), [(0.8, "Your last mock exam says not;"), (0.5, "It could")])
def test_a_failed_mock_exam_is_not_forgotten(probability: float, words: str) -> None:
    """What was failed last outweighs what practice makes likely; with less it says nothing that is not said anyway."""
    ready = Readiness(NOW, 300, 40, probability, 33, "2026-12-11", (0.5, 27), failed=True)
    assert ready.words(NOW).startswith(f"Exam in 12 days. Ready? {words}")
    assert Readiness.from_kept(ready.kept()) == ready


@pytest.mark.parametrize(
    "kept", [None, "Ready", {}, {"at": 1}, {**Readiness(NOW, 9, 40, 0.8, 33).kept(), "day": "soon"}]
)
def test_damaged_readiness_is_worked_out_anew(kept: object) -> None:
    """What can't be read is none."""
    assert Readiness.from_kept(kept) is None
