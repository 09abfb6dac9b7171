"""Puts the forecast of an exam into plain words: how ready a player is, today and on the exam's day."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from math import floor
from typing import Any, Self

from game.learning import Answer
from game.learning.beats import AnswerReader
from game.learning.coach import Coach
from game.learning.evidence import first_tries
from game.learning.forecast import Forecast
from game.sessions.exam.day import days_until, held_at, next_mock, until_words
from game.sessions.exam.result import NOT_THE_BOARD
from game.wording import counted, in_words, local_day, weekday_words
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS

ENOUGH_ANSWERS = 60
"""With fewer answers than this a forecast says mostly what players are like in general."""

READY, LIKELY, EVEN = 0.95, 0.75, 0.2
"""The least probability of a pass for each answer to "am I ready?": yes, nearly, it could go either way.

Set by what they turned out to mean: of simulated candidates told "ready" at least nine in ten pass, of those told "not
ready yet" at most three in ten, and of those who surely pass, or surely do not, at least half are told so.  Measured by
``python -m tests.bench.learning``.
"""


def forecast_of(coach: Coach, now: float, on: date | None = None) -> Forecast:
    """The coach's forecast for an exam by the rules of its level, now or on a later day without practice until then."""
    # On the exam's own day its noon may be over: a forecast never looks back.
    held = None if on is None else max(now, held_at(on))
    return coach.forecast(exam_beats(coach.level), coach.level.exam.pass_mark, now, held)


def exam_beats(level: Level) -> int:
    """How many beats an exam of the level asks; where the orchestrations differ, as many as on average."""
    # A paper deals its orchestrations evenly (``draw_paper``): the plain average is what it asks, to within a bar.
    asked = [len(ORCHESTRATIONS[name].asked(level.meter)) for name in level.orchestrations]
    return max(1, round(level.exam.questions * sum(asked) / len(asked)))


def answers_to(level: Level, answers: Iterable[Answer]) -> int:
    """How many of the answers are first tries by ear at figures of the level: what its forecast rests on."""
    return sum(map(AnswerReader(level).reads, first_tries(answers)))


@dataclass(frozen=True)
class Readiness:
    """How ready a player was for the exam of a level, worked out ``at`` a time (seconds since the epoch).

    ``answers`` is how many it rests on; ``probability`` of a pass and ``right`` beats to be expected of ``beats``, on
    that day; ``later`` the two for the exam's ``day`` (ISO 8601; "" where none was given) without practice until then.
    ``failed``: the mock exam sat last on the level was below its pass mark.
    """

    at: float
    answers: int
    beats: int
    probability: float
    right: int
    day: str = ""
    later: tuple[float, int] | None = None
    failed: bool = False

    def words(self, now: float) -> str:
        """All of it in one line."""
        left = days_until(date.fromisoformat(self.day), now) if self.day else -1
        coming = f"Exam {until_words(left)}" if left >= 0 else ""
        if self.answers < ENOUGH_ANSWERS:
            early = too_early(self.answers)
            return f"{coming}. {early}" if coming else early
        asked = f"{coming}. Ready?" if coming else "Ready for its exam?"
        about = f"about {self.right} of {self.beats} beats right"
        # As after the exam itself (``verdict``): what was failed last outweighs what practice makes likely.
        if self.failed and self.probability >= LIKELY:
            return f"{asked} Your last mock exam says not; practice says {about}."
        ready = f"{asked} {_likely(self.probability)}, {about}"
        # A day far off is less certain, which alone can bring more to be expected: no gain to be told.
        if left <= 0 or self.later is None or self.later[1] > self.right:
            return f"{ready}."
        return f"{ready}, {self.later[1]} by then if you practise no more."

    def kept(self) -> dict[str, Any]:
        """As JSON holds it, to be kept as derived data."""
        return asdict(self)

    @classmethod
    def from_kept(cls, value: Any) -> Self | None:
        """Readiness from what ``kept`` gave; None where it can't be read."""
        try:
            told = {**value, "later": value["later"] and (float(value["later"][0]), int(value["later"][1]))}
            found = cls(**told)
            # Said once for trial: a kept value of the wrong type would otherwise fail only where a page says it.
            found.words(found.at)
        except (TypeError, KeyError, ValueError, IndexError):
            return None
        return found


def readiness_of(
    level: Level, answers: int, now: float, today: Forecast, day: date | None = None, later: Forecast | None = None
) -> Readiness:
    """How ready a player is for the exam of a level: the forecast for ``today``, and that for the exam's ``day``."""
    beats = exam_beats(level)

    def told(forecast: Forecast) -> tuple[float, int]:
        return forecast.probability, round(forecast.expected * beats)

    return Readiness(now, answers, beats, *told(today), day.isoformat() if day else "", told(later) if later else None)


def _likely(probability: float) -> str:
    """The answer to "Ready?" by the probability of a pass, in a word or two, with the same borders as ``verdict``."""
    if probability >= READY:
        return "Yes, as far as practice can tell"
    if probability >= LIKELY:
        return "Likely"
    return "It could go either way" if probability >= EVEN else "Not yet"


def day_forecast_words(later: Forecast, day: date, now: float, today: Forecast) -> str:
    """A sentence on what the exam's own day would bring, if nothing were practised until then.

    ``later`` is the forecast for that ``day``, ``today`` that for ``now``.
    """
    coming = f"Your exam is {until_words(days_until(day, now))}, on {weekday_words(day)}."
    # A day far off is less certain, which alone brings chances below even nearer to it: no gain to be told.
    if later.probability > today.probability:
        return (
            f"{coming} If you practised no more until then, you would hardly be readier: your plan is there for that."
        )
    aim = "keep it up" if today.probability >= LIKELY else "raise it"
    return (
        f"{coming} If you practised no more until then, you would pass {tries(later.probability)}: "
        f"your plan is there to {aim}."
    )


def next_words(now: float, band: str, failed: bool, day: date | None) -> str:
    """When another mock exam makes sense, after one sat at ``now`` with this grade band."""
    again = next_mock(now, not failed, day)
    if again is None:
        left = days_until(day, now) if day else 0
        return f"Your exam is {until_words(left)}: no other mock exam before it. Rest your ears."
    if failed:
        days = (again - local_day(now)).days
        plan = "some days" if days > 2 else in_words(days, "day")
        return f"Try again on {weekday_words(again)}, after {plan} of the plan: it then shows what has stayed."
    return f"Sit another on {weekday_words(again)}, to see whether this {band} holds."


def forecast_words(forecast: Forecast, pass_mark: float, answers: int) -> tuple[str, ...]:
    """The forecast as short paragraphs; ``answers`` is how many it rests on."""
    rests = f"This rests on {counted(answers, 'answer')}"
    # Before the chances, which else look sure beside "too early to say".
    first = f"{rests}, which is few. As a hint: in" if answers < ENOUGH_ANSWERS else "In"
    last = "" if answers < ENOUGH_ANSWERS else f" {rests}."
    return (
        f"{first} an exam like this one, today, you would pass {tries(forecast.probability)}; somebody who only "
        f"guesses would {tries(forecast.by_chance)}.",
        f"In nine exams of ten your mark would lie between {percent(forecast.low)} and {percent(forecast.high)}; "
        f"the pass mark is {percent(pass_mark)}.{last}",
        f"{NOT_THE_BOARD} The real day has its own bars, its own room and its own nerves.",
    )


def too_early(answers: int) -> str:
    """That so many answers are too few for a verdict, and how many more are not."""
    more = counted(ENOUGH_ANSWERS - answers, "more beat")
    return f"Too early to say whether you are ready: practise about {more} first."


def verdict(forecast: Forecast, answers: int, passed: bool | None = None, practised: int = ENOUGH_ANSWERS) -> str:
    """The straight answer to "am I ready?" from so many answers, of which so many were ``practised`` before.

    ``passed`` says how the exam just sat went, None without one.
    """
    if answers < ENOUGH_ANSWERS:
        return too_early(answers)
    # An exam that was just failed outweighs what practice makes likely.
    if passed is False and forecast.probability >= LIKELY:
        says = "your practice says ready, this exam says not" if practised >= ENOUGH_ANSWERS else "this exam says not"
        return f"Not shown yet: {says}. Sit another before the day."
    if forecast.probability >= READY:
        return "Ready, as far as practice can tell."
    if forecast.probability >= LIKELY:
        return "Nearly ready: a pass is likely, but not safe."
    return "It could go either way." if forecast.probability >= EVEN else "Not ready yet."


def surprise(forecast: Forecast, mark: float, answers: int) -> tuple[str, ...]:
    """A sentence where an exam came out otherwise than the forecast makes likely; none where it did not.

    Nor is there one where ``answers``, what the forecast rests on, are too few to make anything likely.
    """
    if answers < ENOUGH_ANSWERS:
        return ()
    if mark < forecast.low:
        return (
            f"This exam's {percent(mark)} is below what your practice makes likely. "
            "The forecast takes it in; another exam will tell whether it was the day.",
        )
    if mark > forecast.high:
        return (f"This exam's {percent(mark)} is above what your practice makes likely: see whether it holds.",)
    return ()


def tries(probability: float) -> str:
    """A probability as so many tries of ten, hundred or thousand; never a certainty."""
    if probability > 0.995:
        return "in more than 99 tries of 100"
    if probability >= 0.95:
        # Rounded down: 99.5 % must not be told as certainty.
        return f"in about {floor(probability * 100)} tries of 100"
    # So many of ten or twenty, which is as exact as a forecast is; frequencies are more readily grasped than per cents
    # (Gigerenzer and Hoffrage 1995, from memory).
    if probability >= 0.05:
        twentieths = round(probability * 20)
        return f"in about {_tries(twentieths)} of 20" if twentieths % 2 else f"in about {_tries(twentieths // 2)} of 10"
    if probability >= 0.01:
        return f"in about {_tries(round(probability * 100))} of 100"
    return "in fewer than 1 try of 100" if probability >= 0.001 else "in fewer than 1 try of 1000"


def percent(share: float) -> str:
    """A share as whole per cent."""
    return f"{share * 100:.0f}%"


def _tries(number: int) -> str:
    return "1 try" if number == 1 else f"{number} tries"
