"""The coach: asks, marks, and believes what the log of answers bears out, nothing else."""

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import isfinite
from operator import attrgetter
from random import Random

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import SKIPPED, AnsweredBar, AnswerReader, Beat
from game.learning.chooser import LACKING, ChosenFigure, Outlook, choose
from game.learning.confusions import Confusions
from game.learning.curves import Curves
from game.learning.evidence import Answer
from game.learning.forecast import Forecast, TrackRecord, check_exam, forecast_from
from game.learning.likelihood import Weighing, eased, right_chances, second_chances
from game.learning.marking import Pick, Seconds, marked
from game.learning.memory import Memory
from game.learning.question import CoachError, Mark, Question, Reason, question_id
from game.learning.rates import ringing
from game.learning.reasons import Reasons
from game.learning.recent import RecentAnswers
from game.learning.slowed import SlowedPairs
from game.learning.staircase import FREELY, TWO_BARS, Staircase
from game.learning.steps import AT_ONCE, BEGINNINGS, BarPlan, Steps
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS, groove_figure

Floats = NDArray[np.float64]

DRAWS = 400
"""Draws from the posterior that a forecast is mixed over."""

FIRST_HEARINGS = 3
"""How often a new figure is heard the easy way."""

HOUR = 3600.0
"""How far ahead figures are chosen: what is known only right after it was heard is not known."""

SURELY = 0.8
"""The chance of each figure's being known from which a level holds."""

SECOND_COUNTS = 0.7
"""What a second wrong figure counts as a mix-up against the first."""

ORDERS = 6
"""How many orders of a bar's figures are tried for the one that spreads them best over the beats."""

RECENT = 1200
"""The rows of a log that are lived through again: the last week or more of daily practice."""

LONG_AGO = 40_000
"""The rows before those that still count for the memory over days: most of a year of daily practice."""


class Coach:
    """Chooses bars for one player on one level.

    ``level`` gives the figures and how they may be played; ``seed`` settles all that is random; ``begin`` is how
    the level begins for this player: "at once", with all figures from the first bar, "step by step", with nothing
    asked before it was met, or "sound out", with a few bars to find out what is known, the rest step by step.
    Times are seconds since the epoch.  Raises ``CoachError`` for a level without figures or another beginning.
    """

    def __init__(self, level: Level, seed: int = 0, begin: str = AT_ONCE) -> None:
        if not level.figures:
            raise CoachError(f"level {level.name}: it has no figures to ask; give it at least two")
        if begin not in BEGINNINGS:
            raise CoachError(f"begin: found {begin!r}; choose from {', '.join(BEGINNINGS)}")
        if begin != AT_ONCE and len(level.figures) == 1:
            raise CoachError(f"level {level.name}: it has one figure and nothing to tell it from; give it at least two")
        self.level = level
        self.seed = seed
        self.begin = begin
        self.steps = Steps.none(level)
        figures = len(level.figures)
        self._reader = AnswerReader(level)
        self._weighing = Weighing(figures)
        self._memory = Memory(figures)
        self._curves = Curves(figures)
        self._confusions = Confusions(level.figures)
        self._recent = RecentAnswers(figures, level.meter.beats)
        self._staircase = Staircase(level)
        self._slowed = SlowedPairs(level)
        self._track = TrackRecord()
        self._answered_at = self._clock = -np.inf
        self._last_bar = ""
        self._last_memory = FREELY
        self._reasons: deque[Reason] = deque(maxlen=2)
        self._asked = 0
        self._said_first: dict[int, int] = {}
        self._rang = np.empty(0)

    @classmethod
    def replay(cls, level: Level, answers: Iterable[Answer], seed: int = 0, begin: str = AT_ONCE) -> "Coach":
        """The coach that has lived through a log.  Rows of figures that the level lacks are left out.

        Of a long log the last ``RECENT`` rows are lived through; the ``LONG_AGO`` before them count only for the
        memory over days, and still older ones no more: later answers have long outweighed them.
        """
        coach = cls(level, seed, begin)
        rows = sorted(answers, key=attrgetter("at"))
        early = _start_of_bar(rows, len(rows) - RECENT)
        coach._recollect(rows[max(0, early - LONG_AGO) : early])
        for bar in coach._reader.bars(rows[early:]):
            coach._absorb(bar)
        coach.steps = coach.steps.recalling(rows[:early])
        coach._follow(rows[early:])
        if rows:
            coach._answered_at = coach._clock = rows[-1].at
            coach._last_bar = rows[-1].bar
        return coach

    def ask(self, now: float) -> Question:
        """The question to put next.  Raises ``CoachError`` where time runs backwards."""
        self._check_time(now, self._clock)
        question = self._question(now)
        if question.memory == TWO_BARS:
            question = replace(question, then=self._question(now, question))
        self._clock = now
        return question

    def _question(self, now: float, before: Question | None = None) -> Question:
        """The question to put next, or after another one whose bar sounds right ``before``, played as that one is."""
        random = Random(f"{self.seed}/{self._memory.bars}/{self._asked}")
        plan = self.steps.plan(self.begin, self._recall(now).tolist(), random)
        chosen = self._chosen(now, random, plan)
        first = self._first_hearings()
        plain = plan.plain or (self.begin == AT_ONCE and any(choice.figure in first for choice in chosen))
        memory = self._memory_asked(now, plan) if before is None else before.memory
        setting = self._staircase.setting(random, plain, memory)
        if before is not None:
            setting = replace(before.setting, seed=setting.seed)
        places = ORCHESTRATIONS[setting.orchestration].asked(self.level.meter)
        chosen = chosen[: len(places)]
        figures = [choice.figure for choice in chosen]
        if before is None:
            setting = self._slowed.setting(setting, figures, self._recent)
        laid_out = self._laid_out(chosen, places, random, plan.among)
        bar = self._bar([choice.figure for choice in laid_out], places)
        asked = self._asked_of(plan, bar, places)
        self._asked += 1
        self._last_bar = bar.count
        days_away = self._memory.days_away(now).tolist()
        reason = Reasons(self.level.figures, self._recent).reason(figures, days_away, self._reasons)
        name = question_id(self.level.name, self.seed, self._memory.bars, self._asked, now)
        choices, meets = (tuple(self.level.figures[k] for k in part) for part in (plan.choices, plan.meets))
        # The figure that a single beat is asked for, drawn beside it, would be its answer.
        if plan.beats is not None or len(asked) == len(reason.figures) == 1:
            reason = Reasons.untold(reason, choices, self._memory.bars)
        if memory != self._last_memory:
            reason = Reasons.of_memory(memory, self._last_memory)
        chances = dict(zip(places, (choice.probability for choice in laid_out), strict=True))
        probabilities = tuple(chances[place] for place in asked)
        return Question(bar, asked, choices, setting, reason, name, meets, probabilities, memory)

    def _memory_asked(self, now: float, plan: BarPlan) -> int:
        """The step of memory that a bar is asked in: none before everything holds, nor with a figure that is new."""
        step = min(self._staircase.memory, TWO_BARS)
        whole = plan.beats is None and not plan.plain and len(plan.choices) == len(self.level.figures)
        return step if step and whole and self.holds(now) else FREELY

    def heard_before(self, question: Question) -> Question:
        """The same question for a player who says that its new figures are known: not shown, and asked among all."""
        known = {self.level.figures[place] for place in self.steps.open} | set(question.choices)
        choices = tuple(figure for figure in self.level.figures if figure in known)
        return replace(question, choices=choices, reason=Reasons.untold(question.reason, choices, self._memory.bars))

    def mark(
        self,
        question: Question,
        picks: Sequence[Pick],
        now: float,
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
        """Mark the picks and learn from them.

        ``picks`` has one figure, or None for a skipped one, for each asked beat; of a class a mapping from
        figures to numbers of hands.  ``seconds`` is the response time of the bar, or one for each asked beat.
        ``changes`` of the pick, hearings of the beat ``alone`` and whether the player was ``unsure`` are told for
        each asked beat; ``slower`` is how many of the ``hearings`` were slower.  A second try (``attempt`` 2) is
        marked of ``question.only`` the beats that are tried again.
        Raises ``CoachError``, and leaves everything as it was, for what cannot be an answer.
        """
        self._check_time(now, self._clock)
        offered = set(question.choices)
        if question.choices != tuple(figure for figure in self.level.figures if figure in offered):
            raise CoachError(f"question: it was asked for another level than {self.level.name}")
        mark = marked(
            question, picks, now, self.level.name, seconds, hearings, kind, changes=changes, alone=alone,
            slower=slower, unsure=unsure, attempt=attempt, ability=ability,
        )  # fmt: skip
        for bar in self._reader.bars(mark.answers):
            self._absorb(bar)
        self._follow(mark.answers)
        self._answered_at = self._clock = now
        self._last_bar, self._asked = question.bar.count, 0
        self._last_memory = question.memory
        if attempt == 1:
            self._reasons.append(question.reason)
        return mark

    def confusion(self) -> Floats:
        """P(said g | heard f) as (K, K) in the level's order; each row sums to 1."""
        right = self._recall(self._answered_at)
        table = self._confusions.mistakes() * (1 - right)[:, None]
        np.fill_diagonal(table, right)
        return np.asarray(table / table.sum(axis=1, keepdims=True))

    def recall(self, now: float) -> Floats:
        """P(right if asked now) of each figure (K,)."""
        self._check_time(now, self._answered_at)
        return self._recall(now)

    def holds(self, now: float) -> bool:
        """Whether every figure is known so surely, an hour on, that more bars on this level would bring little."""
        self._check_time(now, self._answered_at)
        abilities = self._curves.rated_abilities(self._memory.forgotten(now + HOUR)).sum(axis=0)
        return bool((1 - abilities @ LACKING).min() >= SURELY)

    def due(self, now: float) -> tuple[Figure, ...]:
        """The figures whose review is due, the weakest memory first."""
        self._check_time(now, self._answered_at)
        return tuple(self.level.figures[figure] for figure in self._memory.due(now))

    def forecast(self, questions: int, pass_mark: float, now: float, on: float | None = None) -> Forecast:
        """The forecast of an exam that asks so many figures, the level's in turn, each marked right or wrong.

        ``pass_mark`` is the share of right answers needed, from 0 to 1.  The exam is held ``on`` a later day, in
        epoch seconds, or else now; until then nothing more is practised.
        """
        self._check_time(now, self._answered_at)
        held = now if on is None else on
        self._check_time(held, now)
        check_exam(questions, pass_mark)
        random = np.random.default_rng([self.seed % 2**32, self._memory.bars, questions])
        known = self._curves.draws(self._memory.forgotten(held), DRAWS, random)
        hearings = self.level.exam.hearings
        odds = self._track.set_right(np.log(known / (1 - known)), hearings, held, random)
        chances = 1 / (1 + np.exp(-odds))
        papers = random.permuted(np.tile(np.arange(chances.shape[1]), (DRAWS, 1)), axis=1)
        items = np.resize(np.arange(chances.shape[1]), questions)
        return forecast_from(np.take_along_axis(chances, papers, axis=1)[:, items], pass_mark, 1 / chances.shape[1])

    @staticmethod
    def _check_time(now: float, last: float) -> None:
        if not isfinite(now):
            raise CoachError(f"now: found {now}; give the time in seconds since the epoch")
        if now < last:
            raise CoachError(f"now: found {now:.3f}, which is before the last question or answer at {last:.3f}")

    def _absorb(self, answered: AnsweredBar) -> None:
        bar, places = answered
        if bar[0].attempt > 1:
            self._absorb_second(bar, places)
            return
        heard = np.array([beat.heard for beat in bar])
        at = bar[0].at
        forgotten, self._rang = self._memory.forgotten(at)[heard], ringing(self._memory.seconds_away(at))
        chances = right_chances(self._rang[heard], np.array([eased(beat) for beat in bar]))
        abilities = self._curves.trait_abilities(heard, forgotten)
        self._track.note(bar, (abilities * chances).sum(axis=(1, 2)).tolist())
        evidence = self._weighing.weigh(bar, chances, abilities)
        self._curves.absorb(heard, evidence.likelihood, forgotten, np.ones(len(bar)))
        self._slowed.note(heard.tolist(), bar[0].tempo, self._recent)
        self._recent.note(bar, places)
        self._memory.begin_bar()
        for beat, counts in zip(bar, evidence.counts.tolist(), strict=True):
            self._memory.note(beat.heard, beat.right > 0.5, beat.at)
            self._confusions.note(beat.heard, beat.said, counts)
        self._confusions.contrast(heard)
        self._said_first = {place: beat.most_said for place, beat in zip(places, bar, strict=True)}

    def _absorb_second(self, bar: list[Beat], places: list[int]) -> None:
        """Take in a second try: of the same hearing, so that no time has passed, and a lesson where it came right."""
        heard = np.array([beat.heard for beat in bar])
        first = [self._said_first.get(place, SKIPPED) for place in places]
        table = self._confusions.mistakes()
        mistaken = np.array(
            [table[beat.heard, said] if said >= 0 else 0.0 for beat, said in zip(bar, first, strict=True)]
        )
        rang = self._rang[heard] if len(self._rang) else np.zeros(len(heard))
        chances = second_chances(right_chances(rang, np.array([eased(beat) for beat in bar])), mistaken)
        still = np.zeros(len(bar))
        evidence = self._weighing.weigh(bar, chances, self._curves.trait_abilities(heard, still))
        self._curves.absorb(heard, evidence.likelihood, still, np.array([float(beat.right > 0.5) for beat in bar]))
        for beat in bar:
            if beat.right <= 0.5:
                self._confusions.note(beat.heard, beat.said, SECOND_COUNTS)

    def _follow(self, rows: Sequence[Answer]) -> None:
        """Take in rows for what they say of the steps and of how hard the bars may be."""
        self.steps = self.steps.after(rows)
        self._staircase = self._staircase.after(rows)

    def _recall(self, now: float) -> Floats:
        every = np.arange(len(self.level.figures))
        chances = right_chances(ringing(self._memory.seconds_away(now)), np.zeros(len(every)))
        abilities = self._curves.trait_abilities(every, self._memory.forgotten(now))
        return np.asarray((abilities * chances).sum(axis=(1, 2)))

    def _recollect(self, rows: list[Answer]) -> None:
        """Take in old rows, for the memory over days alone."""
        for bar in self._reader.glance(rows):
            self._memory.begin_bar()
            for figure, right, at in bar:
                self._memory.note(figure, right, at)

    def _chosen(self, now: float, random: Random, plan: BarPlan) -> list[ChosenFigure]:
        """The figures of a bar: those that the plan wants, then those that promise most.

        They are chosen for what will be known of them in an hour: what only rings now is not.
        """
        abilities = self._curves.rated_abilities(self._memory.forgotten(now + HOUR))
        outlook = Outlook(abilities, self._confusions.mistakes(), self._memory.rested())
        among = list(plan.among)
        met = [place for place, figure in enumerate(among) if self._memory.heard[figure]]
        first = frozenset(among.index(figure) for figure in self._first_hearings() & set(among))
        others = [
            ChosenFigure(among[place], probability)
            for place, probability in choose(outlook.of(among), self.level.meter.beats, random, met, first)
        ]
        planned = [ChosenFigure(figure, 1.0) for figure in (*plan.wanted, *plan.beside)]
        rest = [choice for choice in others if choice.figure not in (*plan.wanted, *plan.beside)]
        return [*planned, *rest, *others][: self.level.meter.beats]

    def _first_hearings(self) -> frozenset[int]:
        """The new figures that are still to be heard the easy way."""
        new = {self.level.figures.index(figure) for figure in self.level.new}
        return frozenset(figure for figure in new if self._memory.heard[figure] < FIRST_HEARINGS)

    def _asked_of(self, plan: BarPlan, bar: Bar, places: tuple[int, ...]) -> tuple[int, ...]:
        """The beats that are asked: as many as the plan says, those of the figures that it wants first."""
        if plan.beats is None:
            return places
        wanted = {self.level.figures[figure]: figure for figure in plan.wanted}
        asked: list[int] = []
        for figure, number in wanted.items():
            held = [place for place in places if bar.figures[place] == figure]
            asked += [min(held, key=lambda place: self._recent.places[number, place])] if held else []
        asked += [place for place in places if bar.figures[place] not in wanted]
        return tuple(sorted(asked[: plan.beats]))

    def _laid_out(
        self, chosen: list[ChosenFigure], asked: tuple[int, ...], random: Random, among: tuple[int, ...]
    ) -> list[ChosenFigure]:
        """The choices in the order of the asked beats, each where it was heard least; never the last bar again."""
        orders = [random.sample(chosen, len(chosen)) for _ in range(ORDERS)]
        orders.sort(key=lambda order: self._recent.places[[choice.figure for choice in order], list(asked)].sum())
        others = random.sample(among, len(among))
        for order in (*orders, *([ChosenFigure(other, 1.0)] * len(asked) for other in others)):
            if self._bar([choice.figure for choice in order], asked).count != self._last_bar:
                return order
        return chosen

    def _bar(self, figures: list[int], asked: tuple[int, ...]) -> Bar:
        """The bar with the figures on the asked beats and the groove's own on the others."""
        beats = [groove_figure(self.level.meter.compound)] * self.level.meter.beats
        for place, figure in zip(asked, figures, strict=True):
            beats[place] = self.level.figures[figure]
        return Bar(self.level.meter, tuple(beats))


def _start_of_bar(rows: list[Answer], place: int) -> int:
    """The first row, from ``place`` on, that begins a bar; 0 where ``place`` lies before the first."""
    if place <= 0:
        return 0
    while place < len(rows) and (rows[place].at, rows[place].bar) == (rows[place - 1].at, rows[place - 1].bar):
        place += 1
    return place
