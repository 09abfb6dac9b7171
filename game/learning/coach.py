"""The coach of one player on one level: has the other modules choose each bar and mark it, and lets them learn from it.

It puts the parts of this package together.  Everything it believes follows from the log of answers, so that a coach
that replays the log is the same as the one that was there.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from math import isfinite
from operator import attrgetter
from random import Random

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import TRY, AnswerReader
from game.learning.belief import Belief, Lived
from game.learning.chooser import LACKING, ChosenFigure, Outlook, choose
from game.learning.evidence import Answer
from game.learning.forecast import Forecast, check_exam, forecast_from
from game.learning.introduction import AT_ONCE, BEGINNINGS, BarPlan, Earlier, Steps
from game.learning.likelihood import right_chances
from game.learning.marking import Pick, Seconds, marked
from game.learning.memory import Memory
from game.learning.question import CoachError, Mark, Question, Reason, question_id
from game.learning.rates import ringing
from game.learning.reasons import Reasons
from game.learning.staircase import FREELY, TWO_BARS, Staircase
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level
from shared.orchestration import ORCHESTRATIONS, Setting, groove_figure

Floats = NDArray[np.float64]

DRAWS = 400
"""The draws from the posterior that a forecast is the mean of: enough for its percentages to stand still."""

FIRST_HEARINGS = 3
"""The first hearings of a figure, for which bars are played the plainest way."""

HOUR = 3600.0
"""Figures are chosen by what will be known so many seconds from now: what is known only right after it was heard is
not known."""

SURELY = 0.8
"""The probability of being known that every figure must have for the level to hold."""

ORDERS = 6
"""How many orders of a bar's figures are tried for the one that spreads them best over the beats."""

ERA = 800
"""After so many answers a new belief begins; the coach goes over to it after as many more, a week or so of daily
practice: later answers have long outweighed those before."""

CAUGHT_UP = 3
"""How many bars a belief that has fallen behind lives through with each new one."""

AT_A_TIME = 400
"""Old answers that are recollected at a time where it is done in small parts."""


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
        self._reader = AnswerReader(level)
        self._memory = Memory(len(level.figures))
        self._earlier = Earlier(level)
        self.staircase = Staircase(level)
        self.belief = Belief(Steps.none(level))
        self._coming: Belief | None = None
        self._behind: deque[tuple[list[Lived], tuple[Answer, ...]]] = deque()
        self._count = 0
        self._answered_at = self._clock = -np.inf
        self._last_bar = ""
        self._last_memory = FREELY
        self._reasons: deque[Reason] = deque(maxlen=2)
        self._asked = 0
        self._first: Lived | None = None

    @classmethod
    def replay(cls, level: Level, answers: Iterable[Answer], seed: int = 0, begin: str = AT_ONCE) -> "Coach":
        """The coach that has lived through a log.  Rows of figures that the level lacks are left out.

        Of a long log the last ``ERA`` rows and up to as many before them are lived through; those before these count
        for the memory over days, and for which figures were met.
        """
        coach = cls(level, seed, begin)
        for _ in coach.living_through([sorted(answers, key=attrgetter("at"))]):
            pass
        return coach

    def living_through(self, parts: Iterable[Sequence[Answer]]) -> Iterator[None]:
        """Live through a log, given in parts from the oldest answer on, a small piece of work at each step.

        It is for a coach that has lived through nothing yet, and it comes to the same as marking every bar.
        """
        rows: list[Answer] = []
        for part in parts:
            rows += filter(self._reader.reads, part)
            if part:
                self._answered_at = self._clock = part[-1].at
                self._last_bar = part[-1].bar
            yield
        eras = len(rows) // ERA
        early = _start_of_bar(rows, max(0, eras - 1) * ERA)
        start, tried = 0, _first_try(rows, early)
        while start < tried:
            end = min(tried, _start_of_bar(rows, start + AT_A_TIME))
            self._recollect(rows[start:end])
            start = end
            yield
        # What follows may be a second try at a bar of which the first belongs to the era before.
        self._lived(rows[tried:early])
        self._note(rows[tried:early])
        self.belief = Belief(self._earlier.steps())
        self._count = early
        for _, bar in groupby(rows[early:], key=TRY):
            self._live_through(tuple(bar))
            yield

    @property
    def steps(self) -> Steps:
        """Where the player stands on the level."""
        return self.belief.steps

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
        # A generator for each question, and not one for all: a coach that replays the log, and has asked nothing, then
        # draws the same as the one that was there.
        random = Random(f"{self.seed}/{self._memory.bars}/{self._asked}")
        plan = self.steps.plan(self.begin, self._recall(now).tolist(), random)
        chosen = self._chosen(now, random, plan)
        first = self._first_hearings()
        plain = plan.plain or (self.begin == AT_ONCE and any(choice.figure in first for choice in chosen))
        memory = self._memory_asked(now, plan) if before is None else before.memory
        setting = self.staircase.setting(random, plain, memory)
        if before is not None:
            setting = replace(before.setting, seed=setting.seed)
        places = ORCHESTRATIONS[setting.orchestration].asked(self.level.meter)
        # A fill asks one or two beats: of the figures, which come most wanted first, the first ones get them.
        chosen = chosen[: len(places)]
        figures = [choice.figure for choice in chosen]
        if before is None:
            setting = self.belief.slowed.setting(setting, figures, self.belief.recent)
        laid_out = self._laid_out(chosen, places, random, plan.among)
        bar = self._bar([choice.figure for choice in laid_out], places)
        asked = self._asked_of(plan, bar, places)
        self._asked += 1
        self._last_bar = bar.count
        name = question_id(self.level.name, self.seed, self._memory.bars, self._asked, now)
        reason = self._reason(now, plan, figures, len(asked), setting, memory)
        chances = dict(zip(places, (choice.probability for choice in laid_out), strict=True))
        probabilities = tuple(chances[place] for place in asked)
        choices, meets, again = (
            tuple(self.level.figures[figure] for figure in part) for part in (plan.choices, plan.meets, plan.again)
        )
        return Question(bar, asked, choices, setting, reason, name, meets, probabilities, again, memory)

    def _reason(
        self, now: float, plan: BarPlan, figures: Sequence[int], asked: int, setting: Setting, memory: int
    ) -> Reason:
        """Why these figures come, of which so many beats are ``asked``, or why another step of memory begins."""
        days_away = self._memory.days_away(now).tolist()
        reason = Reasons(self.level, self.belief.recent).reason(figures, days_away, self._reasons, setting.contrast)
        # The figure that a single beat is asked for, drawn beside it, would be its answer.
        if plan.beats is not None or asked == len(reason.figures) == 1:
            choices = [self.level.figures[figure] for figure in plan.choices]
            reason = Reasons.untold(reason, choices, self._memory.bars, plan.apart)
        # After days away the reason says that: it is why a bar may be heard freely again.
        if memory > self._last_memory or (memory < self._last_memory and reason.kind != "away"):
            reason = Reasons.of_memory(memory, self._last_memory)
        return reason

    def _memory_asked(self, now: float, plan: BarPlan) -> int:
        """The step of memory that a bar is asked in: none before everything holds, nor with a figure that is new."""
        step = min(self.staircase.memory, TWO_BARS)
        whole = plan.beats is None and not plan.plain and len(plan.choices) == len(self.level.figures)
        return step if step and whole and self.holds(now) else FREELY

    def paced(self, setting: Setting, figures: Iterable[Figure]) -> Setting:
        """How to play asked figures that the coach did not choose: little quicker than the last bar, pairs slowed."""
        places = [self.level.figures.index(figure) for figure in figures]
        steady = replace(setting, tempo=self.staircase.paced(setting.tempo))
        return self.belief.slowed.setting(steady, places, self.belief.recent)

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
        # Everything is checked before anything is learned, so that a refused answer leaves no trace.
        offered = set(question.choices)
        if question.choices != tuple(figure for figure in self.level.figures if figure in offered):
            raise CoachError(f"question: it was asked for another level than {self.level.name}")
        mark = marked(
            question, picks, now, self.level.name, seconds, hearings, kind, changes=changes, alone=alone,
            slower=slower, unsure=unsure, attempt=attempt, ability=ability,
        )  # fmt: skip
        rows = tuple(filter(self._reader.reads, mark.answers))
        if rows:
            self._live_through(rows)
            self._catch_up(CAUGHT_UP)
        self._answered_at = self._clock = now
        self._last_bar, self._asked = question.bar.count, 0
        self._last_memory = question.memory
        # A second try has the reason of the first, which would look like the same reason given twice.
        if attempt == 1:
            self._reasons.append(question.reason)
        return mark

    def confusion(self) -> Floats:
        """P(said g | heard f) as (K, K) in the level's order; each row sums to 1."""
        right = self._recall(self._answered_at)
        table = self.belief.confusions.mistakes() * (1 - right)[:, None]
        np.fill_diagonal(table, right)
        return np.asarray(table / table.sum(axis=1, keepdims=True))

    def recall(self, now: float) -> Floats:
        """P(right if asked now) of each figure (K,)."""
        self._check_time(now, self._answered_at)
        return self._recall(now)

    def holds(self, now: float) -> bool:
        """Whether every figure is known so surely, an hour on, that more bars on this level would bring little."""
        self._check_time(now, self._answered_at)
        abilities = self.belief.curves.rated_abilities(self._memory.forgotten(now + HOUR)).sum(axis=0)
        return bool((1 - abilities @ LACKING).min() >= SURELY)

    def due_at(self) -> tuple[float | None, ...]:
        """When each figure is due to be brought back, in epoch seconds (K,); None where it was never heard."""
        return self._memory.due_at()

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
        known = self.belief.curves.draws(self._memory.forgotten(held), DRAWS, random)
        hearings = self.level.exam.hearings
        odds = self.belief.track.set_right(np.log(known / (1 - known)), hearings, held, random)
        chances = 1 / (1 + np.exp(-odds))
        # Which figures come once more than others is drawn anew for each paper, as it is for a real one.
        papers = random.permuted(np.tile(np.arange(chances.shape[1]), (DRAWS, 1)), axis=1)
        items = np.resize(np.arange(chances.shape[1]), questions)
        return forecast_from(np.take_along_axis(chances, papers, axis=1)[:, items], pass_mark, 1 / chances.shape[1])

    @staticmethod
    def _check_time(now: float, last: float) -> None:
        if not isfinite(now):
            raise CoachError(f"now: found {now}; give the time in seconds since the epoch")
        # A belief is a state at a time: to go back would need one that nobody has kept.
        if now < last:
            raise CoachError(f"now: found {now:.3f}, which is before the last question or answer at {last:.3f}")

    def _live_through(self, rows: tuple[Answer, ...]) -> None:
        """Take in the answers to one try at a bar, and begin a new belief where an era is over."""
        lived = self._lived(rows)
        self.belief.live_through(lived, rows)
        self._note(rows)
        if self._coming:
            self._behind.append((lived, rows))
        before, self._count = self._count, self._count + len(rows)
        if self._count // ERA > before // ERA:
            self._go_over()

    def _lived(self, rows: Sequence[Answer]) -> list[Lived]:
        """How each try in some rows was met, in turn; what was heard in it is remembered from then on."""
        lived: list[Lived] = []
        for bar, places in self._reader.bars(rows):
            at, second = bar[0].at, bar[0].attempt > 1
            if second and self._first:
                # Of the same hearing as the first try: it rings as it did then.
                said = {place: beat.most_said for beat, place in zip(*self._first.bar, strict=True)}
                lived.append(Lived((bar, places), self._first.forgotten, self._first.ringing, said))
                continue
            forgotten, rang = self._memory.forgotten(at), ringing(self._memory.seconds_away(at))
            lived.append(Lived((bar, places), forgotten, rang, {}))
            if not second:
                self._first = lived[-1]
                self._memory.note_bar((beat.heard, beat.right > 0.5, beat.at) for beat in bar)
        return lived

    def _note(self, rows: Sequence[Answer]) -> None:
        """Note what was met and how difficulty climbed."""
        self._earlier.note(rows)
        self.staircase = self.staircase.after(rows)

    def _go_over(self) -> None:
        """Take the belief that began an era ago in place of this one, and begin another."""
        if self._coming:
            self._catch_up(len(self._behind))
            self.belief = self._coming
        self._coming = Belief(self._earlier.steps())

    def _catch_up(self, bars: int) -> None:
        """Let the coming belief live through so many of the bars that it has not seen: a replay leaves it behind."""
        while self._coming and self._behind and bars > 0:
            self._coming.live_through(*self._behind.popleft())
            bars -= 1

    def _recall(self, now: float) -> Floats:
        every = np.arange(len(self.level.figures))
        chances = right_chances(ringing(self._memory.seconds_away(now)), np.zeros(len(every)))
        abilities = self.belief.curves.trait_abilities(every, self._memory.forgotten(now))
        return np.asarray((abilities * chances).sum(axis=(1, 2)))

    def _recollect(self, rows: list[Answer]) -> None:
        """Take in old rows, for the memory over days and for what was met."""
        for bar in self._reader.glance(rows):
            self._memory.note_bar(bar)
        self._note(rows)

    def _chosen(self, now: float, random: Random, plan: BarPlan) -> list[ChosenFigure]:
        """The figures of a bar: those that the plan wants, then those that promise most.

        They are chosen for what will be known of them in an hour: what only rings now is not.
        """
        abilities = self.belief.curves.rated_abilities(self._memory.forgotten(now + HOUR))
        outlook = Outlook(abilities, self.belief.confusions.mistakes(), self._memory.rested())
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
            asked += [min(held, key=lambda place: self.belief.recent.places[number, place])] if held else []
        asked += [place for place in places if bar.figures[place] not in wanted]
        return tuple(sorted(asked[: plan.beats]))

    def _laid_out(
        self, chosen: list[ChosenFigure], asked: tuple[int, ...], random: Random, among: tuple[int, ...]
    ) -> list[ChosenFigure]:
        """The choices in the order of the asked beats, each where it was heard least; never the last bar again."""
        orders = [random.sample(chosen, len(chosen)) for _ in range(ORDERS)]
        orders.sort(key=lambda order: self.belief.recent.places[[choice.figure for choice in order], list(asked)].sum())
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


def _first_try(rows: list[Answer], place: int) -> int:
    """The first row of the first try at a bar, where ``place`` begins another try at it; else ``place``."""
    while 0 < place < len(rows) and (rows[place].attempt > 1 or TRY(rows[place]) == TRY(rows[place - 1])):
        place -= 1
    return place


def _start_of_bar(rows: list[Answer], place: int) -> int:
    """The first row, from ``place`` on, that begins a try at a bar."""
    while 0 < place < len(rows) and TRY(rows[place]) == TRY(rows[place - 1]):
        place += 1
    return place
