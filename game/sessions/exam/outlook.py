"""The forecast of the real day in plain words, with its uncertainty."""

from collections.abc import Iterable, Sequence
from math import floor

from game.learning import Answer, Coach, Forecast
from game.sessions.exam.result import NOT_THE_BOARD
from game.wording import counted
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS

ENOUGH_ANSWERS = 60
"""With fewer answers than this a forecast says mostly what players are like in general."""

READY, LIKELY, EVEN = 0.95, 0.75, 0.25
"""The least probability of a pass for each answer to "am I ready?": yes, nearly, it could go either way.

Of simulated candidates told "ready" at least nine in ten pass, of those told "not ready yet" at most three in ten: that
is measured by ``python -m tests.bench.learning``.
"""


def forecast_of(coach: Coach, now: float) -> Forecast:
    """The coach's forecast for an exam by the rules of its level."""
    return coach.forecast(exam_beats(coach.level), coach.level.exam.pass_mark, now)


def exam_beats(level: Level) -> int:
    """How many beats an exam of the level asks; where the orchestrations differ, as many as on average."""
    asked = [len(ORCHESTRATIONS[name].asked(level.meter)) for name in level.orchestrations]
    return max(1, round(level.exam.questions * sum(asked) / len(asked)))


def answers_to(level: Level, answers: Iterable[Answer]) -> int:
    """How many of the answers are to figures of the level: what its forecast rests on."""
    counts = {figure.count for figure in level.figures}
    return sum(row.heard in counts for row in answers)


def readiness_of(coach: Coach, answers: Sequence[Answer], now: float) -> str:
    """How ready a player is for the exam of a level, in one line; empty where the answers are too few to say."""
    if answers_to(coach.level, answers) < ENOUGH_ANSWERS:
        return ""
    forecast, beats = forecast_of(coach, now), exam_beats(coach.level)
    return f"Ready for its exam: {_likely(forecast.probability)}, about {round(forecast.expected * beats)} of {beats}."


def _likely(probability: float) -> str:
    """A probability of passing in a word or two, by the same borders as ``verdict``."""
    if probability >= READY:
        return "yes, as far as practice can tell"
    if probability >= LIKELY:
        return "likely"
    return "it could go either way" if probability >= EVEN else "not yet"


def forecast_words(forecast: Forecast, pass_mark: float, answers: int) -> tuple[str, ...]:
    """The forecast as sentences; ``answers`` is how many it rests on."""
    return (
        f"In an exam like this one, today, you would pass {tries(forecast.probability)}.",
        f"In nine exams of ten your mark would lie between {percent(forecast.low)} and {percent(forecast.high)}; "
        f"the pass mark is {percent(pass_mark)}.",
        f"Somebody who only guesses would pass {tries(forecast.by_chance)}.",
        _rests_on(answers),
        f"{NOT_THE_BOARD} The real day has its own bars, its own room and its own nerves.",
    )


def verdict(forecast: Forecast, answers: int, passed: bool | None = None) -> str:
    """The straight answer to "am I ready?"; ``passed`` says how the exam just sat went, None without one."""
    if answers < ENOUGH_ANSWERS:
        return "Too early to say whether you are ready."
    # An exam that was just failed outweighs what practice makes likely.
    if passed is False and forecast.probability >= LIKELY:
        return "Not shown yet: your practice says ready, this exam says not. Sit another before the day."
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


def _rests_on(answers: int) -> str:
    told = f"This rests on {counted(answers, 'answer')}"
    if answers < ENOUGH_ANSWERS:
        return f"{told}, which is few: take it as a hint, and practise some more before you trust it."
    return f"{told}."
