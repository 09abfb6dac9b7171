"""Makes a practice plan from the log: which figures to drill, in what order, how long, and how to play them.

The order of a plan, which follows what is known of telling like things apart and of coming back in time:

1. *Settle in*: a minute of the figures that are known, to begin with something that goes well.
2. *Side by side*: the pairs that were mixed up in the last two months: first the one with the largest number on
   the map of these months, then the weightiest; a mix-up weighs half as much after two weeks, and a pair is planned
   while its mix-ups weigh more than a single slip of today.  At most three pairs: contrasts work by being heard
   together.
3. *Bring back*: figures whose recall has sunk below nine in ten, or whose review is due, the weakest first.
4. *Meet*: figures of the level that were never heard, the level's new ones first.
5. *All together*: a round of everything, because contrast without other material does not last.

The first step is played the easiest way: the level's first orchestration at its lowest tempo.  So is each
other until it goes well, and then up by thirds, at 60, 80 and 90 % right.  Steps that do not fit into the
minutes are left for the next plan, the round stays.  After ten minutes comes a break, for ears and wrists.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum

from game.learning import Answer
from game.learning.coach import Coach
from game.learning.evidence import as_of, first_tries
from game.learning.introduction import MOST_NEW
from game.learning.memory import DUE_RECALL
from game.sessions.exam.day import FARTHEST, days_until, until_words
from game.sessions.exam.outlook import percent
from game.sessions.practice.round import BARS
from game.sessions.practice.scoring import ROUND_MINUTES
from game.sessions.progress.mixups import Pair, largest_mix_up, mixed_pairs, tally
from game.wording import DAY_SECONDS, counted, how_often, in_words, weekday_words
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS

LOOKED_BACK = 60 * DAY_SECONDS
"""How far back mix-ups are looked for: the months that the map of the progress page shows."""

MOST_PAIRS = 3
"""How many pairs a plan sets side by side."""

SLIP = 1.0
"""Once is a slip: a pair is planned when its mix-ups weigh more than this."""

DAYS = 5
"""Days a plan has boxes for: two days of the week stay free."""

NEAR = 2
"""Days before an exam from which a plan brings nothing new (common practice, no source)."""

NOTHING_NEW = "Nothing new so near the exam: what you know is to stand."

BREAK_AFTER = 10
"""Minutes of practice after which a break comes."""

RUNGS = (0.6, 0.8, 0.9)
"""Shares of right answers at which a step is played on a harder rung."""

LARGEST = "Of all pairs this one is mixed up most."
WEIGHTIEST = "Of the other mix-ups, the one that happened most often and most lately comes first."
NEXT = "Of the mix-ups that are left, it comes next by the same count."

DEFERS = (
    "Your teacher's advice comes before this plan.",
    "Keep it quiet enough to talk over. If your hands, wrists or ears hurt, stop; if that goes on, see a doctor.",
)


class StepKind(Enum):
    """The purpose of a step of a plan."""

    SETTLE = "settle in"
    CONTRAST = "side by side"
    BRING_BACK = "bring back"
    MEET = "meet"
    BREAK = "break"
    ROUND = "all together"


@dataclass(frozen=True)
class PlanStep:
    """One step: its figures, why, for how many minutes, and how to play it (tempo in beats a minute)."""

    kind: StepKind
    figures: tuple[Figure, ...]
    why: str
    minutes: int
    orchestration: str = ""
    tempo: float = 0.0

    def names(self, level: Level) -> str:
        """The figures' counts as a list, in the words of a level."""
        return ", ".join(map(level.named, self.figures))

    @property
    def key(self) -> str:
        """The name by which a step is found again on the same day and level."""
        return f"{self.kind.value}: {', '.join(figure.count for figure in self.figures)}"

    @property
    def title(self) -> str:
        """The purpose of the step, as its title."""
        return self.kind.value.capitalize()

    @property
    def length(self) -> str:
        """How long it takes, in words."""
        minutes = counted(self.minutes, "minute")
        return f"{in_words(BARS, 'bar')}, about {minutes}" if self.kind is StepKind.ROUND else minutes

    @property
    def told(self) -> tuple[str, ...]:
        """Why the step comes here and how it is played, in a sentence or two each, without its figures."""
        if self.kind is StepKind.BREAK:
            return (self.why,)
        alone = ", beside a figure that is like it" if len(self.figures) == 1 else ""
        about = ORCHESTRATIONS[self.orchestration].about
        return self.why, f"{about[0].upper()}{about[1:]}; up to {self.tempo:.0f} beats a minute{alone}."


@dataclass(frozen=True)
class Plan:
    """A plan for some days; each step has a box to tick for each of ``days``."""

    level: Level
    steps: tuple[PlanStep, ...]
    days: int = DAYS
    notes: tuple[str, ...] = DEFERS

    @property
    def minutes(self) -> int:
        """How long one day of it takes."""
        return sum(step.minutes for step in self.steps)

    def reaching(self, exam: date | None, now: float) -> "Plan":
        """The same plan with boxes for the days until an exam, as far as a plan reaches, and a word on that day."""
        left = days_until(exam, now) if exam else -1
        if exam is None or left < 0:
            return self
        told = f"Your exam is {until_words(left)}, on {weekday_words(exam)}"
        if left > FARTHEST:
            anew = "The plan is made anew each day; a printed one serves for a week."
            return replace(self, notes=(f"{told}. {anew}", *self.notes))
        note = f"{told}: this plan reaches to it." + (f" {NOTHING_NEW}" if left <= NEAR else "")
        # Two days of seven stay free here too, and the exam's own day is none of practice.
        return replace(self, days=max(1, round(left * DAYS / 7)), notes=(note, *self.notes))


def plan_for(level: Level, answers: Sequence[Answer], now: float, minutes: int = 15, exam: date | None = None) -> Plan:
    """The plan that follows from a player's answers; ``minutes`` a day, at least 5.

    It reaches to the day of an ``exam``, where one is ahead, and brings nothing new shortly before it.
    """
    known = _Known(level, answers, now)
    # Whoever has heard none of this level can only begin with what is new, however near the exam.
    begun = any(map(known.seen, level.figures))
    near = exam is not None and 0 <= days_until(exam, now) <= NEAR and begun
    new = [] if near else _meet(known)
    wanted = [*_settle(known), *contrast_steps(level, answers, now), *_bring_back(known), *new]
    steps: list[PlanStep] = []
    # A step that is too long is passed over, not the end of the plan: a shorter one after it may still fit.
    for step in wanted:
        if _minutes_with_round([*steps, step]) <= max(5, minutes):
            steps.append(step)
    met = [figure for step in steps if step.kind is StepKind.MEET for figure in step.figures]
    return Plan(level, tuple(_with_break([*steps, _round(known, met)]))).reaching(exam, now)


def _minutes_with_round(steps: Sequence[PlanStep]) -> int:
    """How long some steps take with the round after them, and with the break that they then make needful."""
    return sum(step.minutes for step in _with_break([*steps, PlanStep(StepKind.ROUND, (), "", ROUND_MINUTES)]))


def contrast_steps(level: Level, answers: Sequence[Answer], now: float) -> tuple[PlanStep, ...]:
    """The pairs to set side by side: the largest mix-up of the map, then what weighs most now."""
    # The very answers that the map counts: a plan that names another pair would not be believed.
    recent = [row for row in answers if row.at >= now - LOOKED_BACK]
    pairs = mixed_pairs(level, recent, now)
    largest = largest_mix_up(level.figures, recent)
    first = [pair for pair in pairs if largest and {pair.first, pair.second} == {largest.heard, largest.said}]
    others = [pair for pair in pairs if pair.weight > SLIP and pair not in first]
    reasons = [*[LARGEST] * len(first), WEIGHTIEST, *[NEXT] * len(others)]
    steps = [_contrast(level, pair, why) for pair, why in zip([*first, *others], reasons, strict=False)]
    return tuple(steps[:MOST_PAIRS])


def way(level: Level, share_right: float) -> tuple[str, float]:
    """The orchestration and tempo for what is right so often: from the easiest up by thirds."""
    rung = sum(share_right >= share for share in RUNGS)
    place = rung * (len(level.orchestrations) - 1) // len(RUNGS)
    tempo = level.tempo.low + (level.tempo.high - level.tempo.low) * rung / len(RUNGS)
    return level.orchestrations[place], float(round(tempo))


class _Known:
    """The figures of a level as the log knows them: which were heard, how firm each is, and the room for new ones."""

    def __init__(self, level: Level, answers: Sequence[Answer], now: float) -> None:
        self.level = level
        ours = list(as_of(now, answers))
        self.heard = {row.heard for row in first_tries(ours)}
        # A coach of its own: a plan can be for a pupil or a class, not for whoever plays now.
        coach = Coach.replay(level, ours)
        self.recall = dict(zip(level.figures, map(float, coach.recall(now)), strict=True))
        reviews = zip(level.figures, coach.due_at(), strict=True)
        self.due = {figure for figure, at in reviews if at is not None and at <= now}
        self.room_for_new = max(0, MOST_NEW - len(coach.steps.unsettled))

    def seen(self, figure: Figure) -> bool:
        return figure.count in self.heard


def _settle(known: _Known) -> list[PlanStep]:
    # The easiest way of all, at any share right: a day should begin with something that goes well.
    best = sorted((f for f in known.level.figures if known.seen(f)), key=lambda f: -known.recall[f])[:3]
    why = "These go best, so they come first. Count them aloud as they are played, and let the beat settle."
    return [PlanStep(StepKind.SETTLE, tuple(best), why, 1, *way(known.level, 0.0))] if len(best) > 1 else []


def _contrast(level: Level, pair: Pair, reason: str) -> PlanStep:
    orchestration, tempo = way(level, pair.share_right)
    why = f"Mixed up {_mixed(pair)}. {reason} Each bar holds both."
    return PlanStep(StepKind.CONTRAST, (pair.first, pair.second), why, 3, orchestration, tempo)


def _bring_back(known: _Known) -> list[PlanStep]:
    weak = [f for f in known.level.figures if known.seen(f) and (known.recall[f] < DUE_RECALL or f in known.due)]
    weak = sorted(weak, key=lambda f: known.recall[f])[:4]
    if not weak:
        return []
    return [
        _step(
            known,
            StepKind.BRING_BACK,
            tuple(weak),
            "Heard before, and not firm now. What is heard again after some days lasts longer.",
            2,
        )
    ]


def _meet(known: _Known) -> list[PlanStep]:
    unheard = [f for f in known.level.figures if not known.seen(f)]
    # What the level brings first, then what an earlier one brought; the sort keeps their order otherwise.
    unheard.sort(key=lambda f: f not in known.level.new)
    new = tuple(unheard[: known.room_for_new])
    why = "Not heard yet. Each is shown and asked alone, then they take turns; something new waits for the old."
    return [_step(known, StepKind.MEET, new, why, 2)] if new else []


def _round(known: _Known, met: Sequence[Figure]) -> PlanStep:
    """Everything that was asked before or is met by this plan."""
    figures = tuple(figure for figure in known.level.figures if known.seen(figure) or figure in met)
    why = "Everything mixed, at the end: what was told apart side by side must hold among the others."
    return _step(known, StepKind.ROUND, figures, why, ROUND_MINUTES)


def _step(known: _Known, kind: StepKind, figures: tuple[Figure, ...], why: str, minutes: int) -> PlanStep:
    share = sum(known.recall[figure] for figure in figures) / len(figures)
    return PlanStep(kind, figures, why, minutes, *way(known.level, share))


def _with_break(steps: list[PlanStep]) -> list[PlanStep]:
    """The steps with a break where ten minutes are over and more is to come."""
    spent = 0
    for place, step in enumerate(steps):
        spent += step.minutes
        # None after the last step: a break before nothing is only the end.
        if spent >= BREAK_AFTER and place + 1 < len(steps):
            rest = PlanStep(StepKind.BREAK, (), "Stand up, shake out your hands, rest your ears.", 2)
            return [*steps[: place + 1], rest, *steps[place + 1 :]]
    return steps


def _mixed(pair: Pair) -> str:
    """How often a pair was mixed up: in whole answers, or in a part of a class's."""
    if tally(pair.mixed) != f"{pair.mixed:.0f}":
        return f"in {percent(pair.mixed / pair.answers)} of the answers"
    return f"{how_often(round(pair.mixed))} in {tally(pair.answers)} answers"
