"""The end of a lesson: what the class mixed up, and what to play next time."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from game.learning import Answer
from game.sessions.exam.outlook import percent
from game.sessions.progress.mixups import MixUp, mix_ups
from game.sessions.progress.plan import PlanStep, contrast_steps
from game.wording import counted
from shared.figures import Figure
from shared.levels import Level

SHOWN_MIX_UPS = 6

SHOWN_WEAK = 3
"""How many figures are named that the fewest had right: as many as the wall has room for."""

NO_PAIR = "A round of everything: no pair stands out yet."
"""The next lesson where the record shows no pair to drill."""


@dataclass(frozen=True)
class ClassSummary:
    """A lesson in numbers.

    ``bars`` and ``beats`` count what was collected; ``teams`` are in their own order.  ``share_right`` is the part of
    the hands that were right, each beat alike; with teams it is their ``right`` of their ``asked``, all together.  It
    is None where nothing was collected.  ``weak`` are the figures that not all had, each with the share that was right
    and in how many beats, the smallest share first.
    """

    title: str
    bars: int
    beats: int
    share_right: float | None
    mix_ups: tuple[MixUp, ...]
    next_lesson: tuple[PlanStep, ...]
    teams: tuple["TeamSummary", ...] = ()
    weak: tuple[tuple[Figure, float, int], ...] = ()


@dataclass(frozen=True)
class TeamSummary:
    """How a team did: of so many beats that it showed hands for, most of it named some ``right``.

    By remote ``right`` sums the parts of it that had each beat: ``told_by_parts``.
    """

    name: str
    right: float
    asked: int
    told_by_parts: bool = False

    def __str__(self) -> str:
        """In a sentence."""
        if not self.asked:
            return f"{self.name}: no hands."
        if self.told_by_parts:
            return f"{self.name}: {percent(self.right / self.asked)} right in {counted(self.asked, 'beat')}."
        return f"{self.name}: {self.right:.0f} of {self.asked} right."


def summarise(
    level: Level,
    answers: Sequence[Answer],
    record: Iterable[Answer],
    now: float,
    teams: Iterable[TeamSummary] = (),
) -> ClassSummary:
    """Sum up a lesson from its ``answers``; next lesson is planned from the class's whole ``record``."""
    beats = {(row.at, row.bar, row.beat) for row in answers}
    teams = tuple(teams)
    asked = sum(team.asked for team in teams)
    if asked:
        # The same count as in the teams' lines beside it: a team may have left out a beat that another answered.
        share: float | None = sum(team.right for team in teams) / asked
    else:
        share = sum(row.share for row in answers if row.said == row.heard) / len(beats) if beats else None
    return ClassSummary(
        title=level.title,
        # All answers to a bar have the time of its reveal.
        bars=len({row.at for row in answers}),
        beats=len(beats),
        share_right=share,
        mix_ups=mix_ups(level.figures, answers)[:SHOWN_MIX_UPS],
        next_lesson=contrast_steps(level, tuple(record), now),
        teams=teams,
        weak=_weak(level, answers),
    )


def _weak(level: Level, answers: Sequence[Answer]) -> tuple[tuple[Figure, float, int], ...]:
    shares = []
    for figure in level.figures:
        rows = [row for row in answers if row.heard == figure.count]
        beats = {(row.at, row.bar, row.beat) for row in rows}
        right = sum(row.share for row in rows if row.said == row.heard)
        # Shares of hands are added up in floats: a hair below 1 is all of them.
        if beats and right / len(beats) < 1 - 1e-6:
            shares.append((figure, right / len(beats), len(beats)))
    return tuple(sorted(shares, key=lambda pair: pair[1])[:SHOWN_WEAK])


def summary_words(summary: ClassSummary) -> str:
    """The lesson in a sentence."""
    if summary.share_right is None:
        return "No answers were collected in this lesson."
    heard = f"{counted(summary.bars, 'bar')}, {counted(summary.beats, 'beat')}"
    # Teams that are all asked each beat give more answers than there are beats, which are told already.
    asked = sum(team.asked for team in summary.teams)
    of = f" of {counted(asked, 'answer')}" if asked and asked != summary.beats else ""
    return f"{heard}: {percent(summary.share_right)}{of} right."


def no_mix_up_words(summary: ClassSummary, level: Level) -> str:
    """What a lesson without mix-ups tells: by remote only which figures the fewest had right."""
    if summary.weak:
        # A count may end in its number, which a share right behind it would run into.
        return f"The fewest had: {'; '.join(weak_words(level, *one) for one in summary.weak)}."
    return "Nothing was mixed up."


def weak_words(level: Level, figure: Figure, share: float, beats: int) -> str:
    """A figure, what share of the hands had it, and in how many beats."""
    return f"{level.named(figure)}: {percent(share)} in {counted(beats, 'beat')}"


def mix_up_share(mix_up: MixUp) -> str:
    """The share of a class's answers to a figure that took it for another, and in how many beats it was heard."""
    # Parts of a room: where one of two teams left a beat out, the beats that both were asked are nearly whole.
    beats = max(1, round(mix_up.answers))
    return f"{percent(mix_up.times / mix_up.answers)} in {counted(beats, 'beat')}"
