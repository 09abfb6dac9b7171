"""Turns picks into rows of the log, and refuses what cannot be an answer."""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite

from game.learning.evidence import Answer
from game.learning.question import CoachError, Mark, Question
from shared.figures import Figure

Hands = Mapping[Figure | None, int]
"""A show of hands: how many said each figure; None for those who said nothing."""

Pick = Figure | Hands | None
Seconds = float | Sequence[float | None] | None

KINDS = ("practice", "exam", "class", "listen")


def marked(
    question: Question,
    picks: Sequence[Pick],
    at: float,
    level: str,
    seconds: Seconds = None,
    hearings: int = 1,
    kind: str = "practice",
) -> Mark:
    """Mark the picks, one for each asked beat.  Raises ``CoachError`` for what cannot be an answer."""
    votes = [_shares(pick, question.choices, place) for pick, place in _paired(picks, question.asked)]
    times = _times(seconds, len(question.asked))
    _check_rest(hearings, kind)
    count = question.bar.count
    rows = tuple(
        Answer(
            at=at,
            level=level,
            meter=question.bar.meter.name,
            bar=count,
            beat=place,
            heard=question.bar.figures[place].count,
            said=said.count if said else None,
            seconds=time,
            orchestration=question.setting.orchestration,
            tempo=question.setting.tempo,
            hearings=hearings,
            kind=kind,
            share=share,
        )
        for place, vote, time in zip(question.asked, votes, times, strict=True)
        for said, share in vote.items()
    )
    right = tuple(vote.get(figure, 0.0) > 0.5 for figure, vote in zip(question.asked_figures, votes, strict=True))
    return Mark(right, rows)


def _paired(picks: Sequence[Pick], asked: tuple[int, ...]) -> Iterator[tuple[Pick, int]]:
    if isinstance(picks, Mapping | str) or not isinstance(picks, Sequence):
        raise CoachError(f"picks: found {picks!r}; give a list with one figure, or None, for each asked beat")
    if len(picks) != len(asked):
        beats = ", ".join(str(place + 1) for place in asked)
        raise CoachError(f"picks: found {len(picks)}; give {len(asked)}, one for each asked beat ({beats})")
    return zip(picks, asked, strict=True)


def _shares(pick: Pick, choices: tuple[Figure, ...], place: int) -> dict[Figure | None, float]:
    """The part of the room that said each figure; the parts sum to 1."""
    hands = _hands(pick, place) if isinstance(pick, Mapping) else {pick: 1}
    for figure in hands:
        if figure is not None and figure not in choices:
            raise CoachError(f"pick on beat {place + 1}: {figure} is not a figure of this level")
    total = sum(hands.values())
    return {figure: count / total for figure, count in hands.items() if count}


def _hands(hands: Hands, place: int) -> Hands:
    for figure, count in hands.items():
        if isinstance(count, bool) or not isinstance(count, int) or count < 0:
            raise CoachError(f"hands on beat {place + 1} for {figure}: found {count!r}; give a whole number from 0")
    if not sum(hands.values()):
        raise CoachError(f"hands on beat {place + 1}: nobody answered; give at least one hand, or None to skip")
    return hands


def _times(seconds: Seconds, beats: int) -> list[float | None]:
    """The seconds of each asked beat: a time for the whole bar is shared out evenly."""
    if seconds is None:
        return [None] * beats
    if isinstance(seconds, int | float):
        return [_checked(seconds) / beats] * beats
    if len(seconds) != beats:
        raise CoachError(f"seconds: found {len(seconds)}; give one for the bar, or {beats}, one for each asked beat")
    return [None if time is None else _checked(time) for time in seconds]


def _checked(seconds: float) -> float:
    if not isfinite(seconds) or seconds < 0:
        raise CoachError(f"seconds: found {seconds}; give a time of 0 or more")
    return float(seconds)


def _check_rest(hearings: int, kind: str) -> None:
    if hearings < 1:
        raise CoachError(f"hearings: found {hearings}; a bar that is answered was heard at least once")
    if kind not in KINDS:
        raise CoachError(f"kind: found {kind!r}; choose from {', '.join(KINDS)}")
