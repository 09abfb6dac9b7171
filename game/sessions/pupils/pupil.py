"""The contents of a pupil's page: figures that hold, mix-ups, the week's plan, and a bar to learn by heart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from random import Random

from game.learning import Answer
from game.sessions.progress.mixups import MixUp, mix_ups
from game.sessions.progress.plan import LOOKED_BACK, Plan, plan_for
from game.sessions.progress.standing import Standing
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level

SHOWN_MIX_UPS = 3
"""How many mix-ups a page shows: as many as can be worked at in a week."""

ONCE = 1.0
"""A mix-up that happened no oftener is a slip, and not told."""


@dataclass(frozen=True)
class PupilPage:
    """The contents of a page on a pupil on a level; ``bar`` is to be learned by heart, ``hand`` leads."""

    name: str
    level: Level
    holds: tuple[Figure, ...]
    mixed: tuple[MixUp, ...]
    plan: Plan
    bar: Bar
    hand: str = "R"


def pupil_page(
    name: str, level: Level, answers: Sequence[Answer], standing: Standing | None, now: float, hand: str = "R"
) -> PupilPage:
    """The page that follows from a pupil's answers and standing on a level."""
    firm = dict(zip(standing.figures, standing.firm(now), strict=True)) if standing else {}
    holds = tuple(figure for figure in level.figures if firm.get(figure.count))
    mixed = recent_mix_ups(level, answers, now)
    bar = by_heart(level, holds, mixed, name)
    return PupilPage(name, level, holds, mixed, plan_for(level, answers, now), bar, hand)


def recent_mix_ups(level: Level, answers: Iterable[Answer], now: float) -> tuple[MixUp, ...]:
    """The largest mix-ups of a level's figures in the last weeks, each of which happened more than once."""
    recent = [row for row in answers if row.at >= now - LOOKED_BACK]
    return tuple(one for one in mix_ups(level.figures, recent) if one.times > ONCE)[:SHOWN_MIX_UPS]


def by_heart(level: Level, holds: Sequence[Figure], mixed: Sequence[MixUp], name: str) -> Bar:
    """A bar with the two figures of the largest mix-up, if there is one, among figures that hold.

    The name seeds the draw, so that each pupil of a class has a bar of their own.
    """
    random = Random(f"by heart/{level.name}/{name}")
    pair = [mixed[0].heard, mixed[0].said] if mixed else []
    others = [figure for figure in (holds or level.figures) if figure not in pair]
    figures = [*pair, *random.sample(others, min(len(others), level.meter.beats))]
    while len(figures) < level.meter.beats:
        figures += figures
    figures = figures[: level.meter.beats]
    random.shuffle(figures)
    # A bar is learned from its first beat: one that begins with silence is hard to begin.
    first = next((k for k, figure in enumerate(figures) if figure.onsets and figure.onsets[0] == 0), 0)
    figures[0], figures[first] = figures[first], figures[0]
    return Bar(level.meter, tuple(figures))
