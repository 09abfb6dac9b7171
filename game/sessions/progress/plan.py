"""A practice plan from the record: what to drill, in what order, how long, and how to play it.

The order of a plan, which follows what is known of telling like things apart and of coming back in time:

1. *Settle in*: a minute of the figures that are known, to begin with something that goes well.
2. *Side by side*: the pairs that were mixed up in the last two months, the weightiest first; a mix-up
   weighs half as much after two weeks, and a pair is planned while its mix-ups weigh more than a single
   slip of today.  At most three pairs: contrasts work by being heard together.
3. *Bring back*: figures whose recall has sunk below nine in ten, the weakest first.
4. *Meet*: figures of the level that were never heard, the level's new ones first.
5. *All together*: a round of everything, because contrast without other material does not last.

The first step is played the easiest way: the level's first orchestration at its lowest tempo.  So is each
other until it goes well, and then up by thirds, at 60, 80 and 90 % right.  Steps that do not fit into the
minutes are left for the next plan, the round stays.  After ten minutes comes a break, for ears and wrists.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from game.learning import Answer, Coach
from game.learning.said import first_tries
from game.sessions.exam.outlook import percent
from game.sessions.progress.mixups import DAY_SECONDS, Pair, mixed_pairs, tally
from game.wording import how_often
from shared.figures import Figure
from shared.levels import Level

LOOKED_BACK = 60 * DAY_SECONDS
MOST_PAIRS = 3
SLIP = 1.0
"""Once is a slip: a pair is planned when its mix-ups weigh more than this."""

DUE_RECALL = 0.9
DAYS = 5
"""Days a plan has boxes for: two days of the week stay free."""

BREAK_AFTER = 10
RUNGS = (0.6, 0.8, 0.9)
"""Shares of right answers at which a step is played on a harder rung."""

DONE_ANSWERS = 8
"""So many answers in a day to a step's figures, and the step counts as done that day."""

DEFERS = (
    "Your teacher's advice comes before this plan.",
    "Keep it quiet enough to talk over. If your hands, wrists or ears hurt, stop; if that goes on, see a doctor.",
)


class Kind(Enum):
    """What a step of a plan is for."""

    SETTLE = "settle in"
    CONTRAST = "side by side"
    BRING_BACK = "bring back"
    MEET = "meet"
    BREAK = "break"
    ROUND = "all together"


@dataclass(frozen=True)
class Step:
    """One step: its figures, why, for how many minutes, and how to play it (tempo in beats a minute)."""

    kind: Kind
    figures: tuple[Figure, ...]
    why: str
    minutes: int
    orchestration: str = ""
    tempo: float = 0.0

    @property
    def names(self) -> str:
        """The figures' counts as a list."""
        return ", ".join(figure.count for figure in self.figures)

    @property
    def played(self) -> str:
        """The way round the kit, in words."""
        return f"played as {self.orchestration.replace('-', ' ')}"


@dataclass(frozen=True)
class Plan:
    """A plan for some days; each step has a box to tick for each of ``days``."""

    level: Level
    steps: tuple[Step, ...]
    days: int = DAYS
    notes: tuple[str, ...] = DEFERS

    @property
    def minutes(self) -> int:
        """How long one day of it takes."""
        return sum(step.minutes for step in self.steps)


def plan_for(level: Level, answers: Sequence[Answer], now: float, minutes: int = 15) -> Plan:
    """The plan that follows from a player's answers; ``minutes`` a day, at least 5."""
    known = _Known(level, answers, now)
    wanted = [*_settle(known), *contrast_steps(level, answers, now), *_bring_back(known), *_meet(known)]
    left = max(5, minutes) - _round(known).minutes
    steps: list[Step] = []
    for step in wanted:
        if step.minutes <= left:
            steps.append(step)
            left -= step.minutes
    return Plan(level, tuple(_with_break([*steps, _round(known)])))


def contrast_steps(level: Level, answers: Sequence[Answer], now: float) -> tuple[Step, ...]:
    """The pairs to set side by side, the weightiest first."""
    recent = [row for row in answers if row.at >= now - LOOKED_BACK]
    pairs = [pair for pair in mixed_pairs(level, recent, now) if pair.weight > SLIP]
    return tuple(_contrast(level, pair) for pair in pairs[:MOST_PAIRS])


def way(level: Level, share_right: float) -> tuple[str, float]:
    """The orchestration and tempo for what is right so often: from the easiest up by thirds."""
    rung = sum(share_right >= share for share in RUNGS)
    place = rung * (len(level.orchestrations) - 1) // len(RUNGS)
    tempo = level.tempo.low + (level.tempo.high - level.tempo.low) * rung / len(RUNGS)
    return level.orchestrations[place], float(round(tempo))


class _Known:
    """What the record tells of each figure of a level."""

    def __init__(self, level: Level, answers: Sequence[Answer], now: float) -> None:
        self.level = level
        ours = [row for row in answers if row.at <= now]
        self.heard = {row.heard for row in first_tries(ours)}
        self.recall = dict(zip(level.figures, map(float, Coach.replay(level, ours).recall(now)), strict=True))

    def seen(self, figure: Figure) -> bool:
        return figure.count in self.heard


def _settle(known: _Known) -> list[Step]:
    best = sorted((f for f in known.level.figures if known.seen(f)), key=lambda f: -known.recall[f])[:3]
    why = "These go best. Count them aloud as they are played, and let the beat settle."
    return [Step(Kind.SETTLE, tuple(best), why, 1, *way(known.level, 0.0))] if best else []


def _contrast(level: Level, pair: Pair) -> Step:
    orchestration, tempo = way(level, pair.share_right)
    why = f"Mixed up {_mixed(pair)}. Hear them in turn, then in one bar."
    return Step(Kind.CONTRAST, (pair.first, pair.second), why, 3, orchestration, tempo)


def _bring_back(known: _Known) -> list[Step]:
    weak = [f for f in known.level.figures if known.seen(f) and known.recall[f] < DUE_RECALL]
    weak = sorted(weak, key=lambda f: known.recall[f])[:4]
    if not weak:
        return []
    return [_step(known, Kind.BRING_BACK, tuple(weak), "Heard before, and fading or not yet firm.", 2)]


def _meet(known: _Known) -> list[Step]:
    unheard = [f for f in known.level.figures if not known.seen(f)]
    unheard.sort(key=lambda f: f not in known.level.new)
    if not unheard:
        return []
    return [_step(known, Kind.MEET, tuple(unheard[:2]), "Not heard yet: count, clap, then listen.", 2)]


def _round(known: _Known) -> Step:
    return _step(known, Kind.ROUND, known.level.figures, "A round of ten bars, everything mixed.", 3)


def _step(known: _Known, kind: Kind, figures: tuple[Figure, ...], why: str, minutes: int) -> Step:
    share = sum(known.recall[figure] for figure in figures) / len(figures)
    return Step(kind, figures, why, minutes, *way(known.level, share))


def _with_break(steps: list[Step]) -> list[Step]:
    """The steps with a break where ten minutes are over and more is to come."""
    spent = 0
    for place, step in enumerate(steps):
        spent += step.minutes
        if spent >= BREAK_AFTER and place + 1 < len(steps):
            rest = Step(Kind.BREAK, (), "Stand up, shake out your hands, rest your ears.", 2)
            return [*steps[: place + 1], rest, *steps[place + 1 :]]
    return steps


def _mixed(pair: Pair) -> str:
    """How often a pair was mixed up: in whole answers, or in a part of a class's."""
    if tally(pair.mixed) != f"{pair.mixed:.0f}":
        return f"in {percent(pair.mixed / pair.answers)} of the answers"
    return f"{how_often(round(pair.mixed))} in {tally(pair.answers)} answers"


def done_since(step: Step, answers: Sequence[Answer], since: float) -> bool:
    """Whether a step was done since a time, by the log: its figures were answered often enough."""
    counts = {figure.count for figure in step.figures}
    return sum(row.heard in counts and row.at >= since for row in first_tries(answers)) >= DONE_ANSWERS
