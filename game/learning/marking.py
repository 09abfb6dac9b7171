"""Marks the picks of a first or second try: turns them into rows of the log, and raises an error for what is no answer.

It is the only maker of new rows, so that practice, exam, class and terminal write them alike.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite

from game.learning.evidence import ABILITIES, KINDS, Answer
from game.learning.question import CoachError, Mark, Question
from shared.figures import Figure

Hands = Mapping[Figure | None, int]
"""A show of hands: how many said each figure; None for those who said nothing."""

Pick = Figure | Hands | None
Seconds = float | Sequence[float | None] | None


def marked(
    question: Question,
    picks: Sequence[Pick],
    at: float,
    level: str,
    seconds: Seconds = None,
    hearings: int = 1,
    kind: str = "practice",
    *,
    changes: Sequence[int] | None = None,
    alone: Sequence[int] | None = None,
    slower: int = 0,
    unsure: Sequence[bool] = (),
    attempt: int = 1,
    ability: str = "hearing",
) -> Mark:
    """Mark the picks, one for each asked beat.  Raises ``CoachError`` for what cannot be an answer.

    ``seconds``, ``changes``, ``alone`` and ``unsure`` have one value for each asked beat, or are left out;
    ``seconds`` may also be one time for the whole bar.
    """
    votes = [_shares(pick, question.choices, place) for pick, place in _paired(picks, question.asked)]
    times = _times(seconds, len(question.asked))
    changed = _counts("changes", changes, len(question.asked))
    by_itself = _counts("alone", alone, len(question.asked))
    not_sure = _unsure(unsure, votes)
    _check_rest(hearings, kind, slower, attempt, ability)
    count = question.bar.count
    choices = tuple(figure.count for figure in question.choices)
    met = tuple(figure.count for figure in question.meets)
    chances = question.probabilities or (None,) * len(question.asked)
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
            choices=choices,
            met=met,
            attempt=attempt,
            unsure=doubtful and said is None,
            changes=change,
            alone=itself,
            slower=slower,
            reason=question.reason.kind,
            probability=chance,
            ability=ability,
        )
        for place, vote, time, change, itself, doubtful, chance in zip(
            question.asked, votes, times, changed, by_itself, not_sure, chances, strict=True
        )
        for said, share in vote.items()
    )
    # More than half, so that in a class half right and half wrong is no right answer.
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
    # Refused, and not kept as a mistake: a figure that is not on offer is a fault of the program, not of the ear.
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
    # A sequence is one time for each beat, where an answer was timed by itself.
    if len(seconds) != beats:
        raise CoachError(f"seconds: found {len(seconds)}; give one for the bar, or {beats}, one for each asked beat")
    return [None if time is None else _checked(time) for time in seconds]


def _checked(seconds: float) -> float:
    if not isfinite(seconds) or seconds < 0:
        raise CoachError(f"seconds: found {seconds}; give a time of 0 or more")
    return float(seconds)


def _counts(name: str, counts: Sequence[int] | None, beats: int) -> Sequence[int]:
    """So many of something at each asked beat."""
    if counts is None:
        return [0] * beats
    if len(counts) != beats or any(isinstance(count, bool) or count < 0 for count in counts):
        raise CoachError(f"{name}: found {list(counts)}; give {beats} whole numbers from 0, one for each asked beat")
    return counts


def _unsure(unsure: Sequence[bool], votes: Sequence[Mapping[Figure | None, float]]) -> Sequence[bool]:
    """Whether each asked beat was answered with "not sure", which names no figure."""
    if not unsure:
        return [False] * len(votes)
    if len(unsure) != len(votes):
        raise CoachError(f"unsure: found {len(unsure)}; give {len(votes)}, one for each asked beat, or none")
    # A class can be unsure in part: of those who did not have it, it is not known what they took it for.
    if any(doubtful and None not in vote for doubtful, vote in zip(unsure, votes, strict=True)):
        raise CoachError("unsure: a beat that is not sure has no pick; give None for it")
    return [bool(doubtful) for doubtful in unsure]


def _check_rest(hearings: int, kind: str, slower: int, attempt: int, ability: str) -> None:
    if hearings < 1:
        raise CoachError(f"hearings: found {hearings}; a bar that is answered was heard at least once")
    if kind not in KINDS:
        raise CoachError(f"kind: found {kind!r}; choose from {', '.join(KINDS)}")
    if not 0 <= slower <= hearings:
        raise CoachError(f"slower: found {slower}; give how many of the {hearings} hearings were slower")
    if attempt < 1:
        raise CoachError(f"attempt: found {attempt}; the first try is 1")
    if ability not in ABILITIES:
        raise CoachError(f"ability: found {ability!r}; choose from {', '.join(ABILITIES)}")
