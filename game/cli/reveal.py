"""Tells the outcome of a question and of a round, in words and as JSON."""

from collections.abc import Iterator
from typing import Any

from game.records import Settings
from game.sessions.hearing.hearing import as_answered
from game.sessions.practice.round import BarResult, PracticeRound
from game.sessions.practice.scoring import RULE
from game.wording import how_often
from shared.difference import difference
from shared.figures import Figure
from shared.levels import Level
from shared.sticking import STICKINGS
from shared.syllables import SYSTEMS


def reveal_lines(result: BarResult, settings: Settings, level: Level) -> Iterator[str]:
    """The bar, what was right and what was not, as sentences, in the level's words of the count."""
    question = result.question
    asked = len(result.right)
    yield f"{sum(result.right)} of {asked} right." if asked > 1 else ("Right." if result.right[0] else "Not right.")
    yield f"The bar was: {level.as_shown(question.bar.count)}"
    if level.shown:
        yield f"In the words that are read: {question.bar.count}"
    if settings.count_system != "number":
        yield f"In {settings.count_system}: {_said_in(settings.count_system, question.bar.figures)}"
    hands = STICKINGS[settings.sticking](question.bar, settings.hand)
    yield f"Sticking: {', '.join(' '.join(beat) or 'rest' for beat in hands)}"
    for place, said, right in zip(question.asked, result.said, result.right, strict=True):
        yield _beat_line(place, question.bar.figures[place], said, right, place in result.mended, level)
    # Each pair once, however many beats it was mixed up on: the sentence would be the same.
    for heard, said in dict.fromkeys((heard, said) for _, heard, said in result.wrong() if said):
        yield f"{level.named(heard)} beside {level.named(said)}: {difference(heard, said, words=level.shown).sentence}"
    yield f"{result.points} of {result.possible} points: {', '.join(result.why)}."


def _said_in(system: str, figures: tuple[Figure, ...]) -> str:
    # Not every system has syllables for every figure: its count stands in.
    return ", ".join(SYSTEMS[system](figure) or figure.count for figure in figures)


def _beat_line(place: int, heard: Figure, said: Figure | None, right: bool, mended: bool, level: Level) -> str:
    beat = place + 1
    if right:
        return f"Beat {beat}: right."
    if mended:
        return f"Beat {beat}: right the second time."
    was = level.named(heard, beat)
    if said is None:
        return f"Beat {beat}: no answer, it was {was}."
    return f"Beat {beat}: you said {level.named(said, beat)}, it was {was}."


def round_lines(practised: PracticeRound, level: Level) -> Iterator[str]:
    """The bars answered so far: the score and what was mixed up."""
    points = f"{practised.earned} of {practised.possible} points"
    yield f"{practised.right} of {practised.beats} beats right: {points}."
    yield RULE
    for mix_up in practised.mix_ups():
        if mix_up.said:
            apart = difference(mix_up.heard, mix_up.said, words=level.shown).sentence
            heard, said = level.named(mix_up.heard), level.named(mix_up.said)
            yield f"Mixed up: {heard} was taken for {said}, {how_often(mix_up.times)}. {apart}"


def described(number: int, result: BarResult, answer: tuple[Figure | None, ...] | None) -> dict[str, Any]:
    """A question with its answer and mark as JSON holds it; beats count from 1.

    ``answer`` holds the figures as said, those of other levels too, with None for "not sure"; it is None where the
    question was left out.
    """
    question = result.question
    said = as_answered(question.bar, dict(zip(question.asked, answer, strict=True))).count if answer else None
    return {
        "question": number,
        "bar": question.bar.count,
        "meets": [figure.count for figure in question.meets],
        "asked": [place + 1 for place in question.asked],
        "choices": [figure.count for figure in question.choices],
        "answer": said,
        "unsure": [place + 1 for place, figure in zip(question.asked, answer or (), strict=False) if figure is None],
        "right": list(result.right),
        "mark": sum(result.right) / len(result.right),
        "mended": [place + 1 for place in result.mended],
        "points": result.points,
        "possible": result.possible,
        "hearings": result.hearings,
        "orchestration": question.setting.orchestration,
        "tempo": question.setting.tempo,
        "reason": str(question.reason),
    }
