"""Brings new figures in: which one the player meets next, and how much is asked of it, in four steps up to whole bars.

A new figure is asked in four steps: alone in its bar and between the two that are most alike, alone among all that
were met, with one other, on any of the beats.  A right answer earns the next step, a mistake goes one back.  Whoever
knows a level already sounds it out first.  All of it is worked out from the log, so that a replay gives the same.
"""

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, groupby, islice
from math import inf, lcm
from random import Random

from game.learning.beats import TRY
from game.learning.evidence import Answer
from shared.levels import Level
from shared.likeness import distance

AT_ONCE, STEP_BY_STEP, SOUND_OUT = "at once", "step by step", "sound out"
BEGINNINGS = (AT_ONCE, STEP_BY_STEP, SOUND_OUT)
"""The ways for a level to begin."""

BETWEEN_TWO, AMONG_ALL, TWO_BEATS, ALL_BEATS = range(4)
"""The steps in which a figure is asked."""

SETTLED = 3
"""Right answers running, among all met figures, that settle a figure for now; it stays so until two wrong ones run."""

MOST_NEW = 2
"""So many figures at most are new at a time."""

FLOOR, WINDOW = 0.6, 10
"""The least share of right beats in so many bars: where a mistake would bring it lower, known ground is asked."""

SURE = 0.9
"""From this chance of a right answer on a figure is sure ground."""

MOST_SOUNDED = 12
"""So many bars at most sound a level out."""

SLIP = 0.12
"""P(named wrong | known from before): a slip."""

GUESSED = 0.25
"""P(named right | not known): by its density it is told from most, and guessed among the rest."""

CLEAR = 0.85
"""From this probability on it is clear whether a figure is known."""

TRIES = 5
"""The last answers to a figure before it was met that tell whether it is known."""


@dataclass(frozen=True)
class BarPlan:
    """The plan of the next bar, figures by their places in the level.

    ``meets`` are to be met first; ``wanted`` are asked for certain; ``beside`` come with them, given or asked; the bar
    holds none but those ``among``.  So many ``beats`` are asked (None: all that can be), each with the ``choices``;
    ``plain``: played the plainest way.  ``again`` are heard once more before, though they were met.  ``apart``: of two
    choices, that they are no two alike.
    """

    meets: tuple[int, ...]
    wanted: tuple[int, ...]
    among: tuple[int, ...]
    beats: int | None
    choices: tuple[int, ...]
    plain: bool = False
    beside: tuple[int, ...] = ()
    again: tuple[int, ...] = ()
    apart: bool = False


@dataclass(frozen=True)
class Course:
    """How far a figure has come.

    ``met``: it was met.  ``step`` is how it is asked next; ``run`` the right answers running among all met figures,
    or, below 0, the wrong ones; ``tries`` what became of its last askings before it was met.
    """

    met: bool = False
    step: int = BETWEEN_TWO
    run: int = 0
    settled: bool = False
    tries: tuple[bool, ...] = ()

    def meeting(self) -> "Course":
        """After it was met."""
        return replace(self, met=True)

    @property
    def heard_again(self) -> bool:
        """Whether it is shown and heard once more before it is asked: below the first step lies the meeting."""
        return self.met and self.step == BETWEEN_TWO and self.run <= -2

    def asked(self, step: int, right: bool) -> "Course":
        """After an answer to it, where it was asked in a step."""
        if not self.met:
            return replace(self, tries=(*self.tries, right)[-TRIES:])
        # Right between two alone may be luck: it earns the next step, and settles nothing.
        full = step > BETWEEN_TWO
        if right:
            run = max(self.run, 0) + full
            settled = self.settled or run >= SETTLED
            return replace(self, step=max(self.step, min(ALL_BEATS, step + 1)), run=run, settled=settled)
        run = min(self.run, 0) - 1
        return replace(self, step=max(BETWEEN_TWO, self.step - 1), run=run, settled=self.settled and run > -2)


@dataclass(frozen=True)
class Steps:
    """Where a player stands on a level: a value, worked out from the log.

    ``courses`` has one for each of the level's figures; ``bars`` the right and the asked beats of the last bars;
    ``last`` the figures asked in the last one; ``sounded`` the bars of this level, with all figures to choose from,
    before anything was met on it, and ``begun`` whether anything was.
    """

    level: Level
    courses: tuple[Course, ...]
    bars: tuple[tuple[float, int], ...] = ()
    last: frozenset[int] = frozenset()
    sounded: int = 0
    begun: bool = False

    @classmethod
    def none(cls, level: Level) -> "Steps":
        """Before anything was met."""
        return cls(level, (Course(),) * len(level.figures))

    # What was answered

    def after(self, answers: Iterable[Answer]) -> "Steps":
        """Where the player stands after some answers by ear to the level's figures, of whatever level, in order."""
        steps, places = self, {figure.count: place for place, figure in enumerate(self.level.figures)}
        for (_, _, attempt), rows in groupby(answers, key=TRY):
            if attempt == 1:
                steps = steps._after_bar(list(rows), places)
        return steps

    def _after_bar(self, rows: list[Answer], places: Mapping[str, int]) -> "Steps":
        first, beats = rows[0], len({row.beat for row in rows})
        met = {places[count] for count in first.met if count in places}
        courses = [course.meeting() if place in met else course for place, course in enumerate(self.courses)]
        here = first.level == self.level.name
        begun = self.begun or (here and bool(met))
        known = len(replace(self, courses=tuple(courses)).open) if len(first.choices) == 2 else len(first.choices)
        step = _step(first, beats, known)
        for row in rows:
            if row.share > 0.5:
                place = places[row.heard]
                courses[place] = courses[place].asked(step, row.said == row.heard)
        right = sum(row.share for row in rows if row.said == row.heard)
        # A drill, or a step of a plan, of a few known figures tells nothing of the others.
        sounds = here and not begun and not 0 < len(first.choices) < len(self.courses)
        return replace(
            self,
            courses=tuple(courses),
            # What sounds a level out is no mistake of the steps.
            bars=(*self.bars, (right, beats))[1 - WINDOW :] if begun else self.bars,
            last=frozenset(places[row.heard] for row in rows),
            sounded=self.sounded + sounds,
            begun=begun,
        )

    # What is known

    @property
    def open(self) -> tuple[int, ...]:
        """The figures that may be asked: those met, and those known from before."""
        chances = self._chances()
        return tuple(
            place
            for place, course in enumerate(self.courses)
            if course.met or (any(course.tries) and chances[place] > 0.5)
        )

    @property
    def first(self) -> tuple[int, ...]:
        """The figures that may be asked, with those that are met first where these are fewer than two."""
        known = self.open
        return known if len(known) > 1 else (*known, *self._to_be_met(known))

    @property
    def unsettled(self) -> tuple[int, ...]:
        """The figures that were met and are not settled yet."""
        return tuple(place for place, course in enumerate(self.courses) if course.met and not course.settled)

    @property
    def unclear(self) -> tuple[int, ...]:
        """The figures of which it is not clear whether they are known, the least tried and plainest first."""
        chances = self._chances()
        unclear = [
            place
            for place, course in enumerate(self.courses)
            if not course.met and chances[place] > 1 - CLEAR and (chances[place] < CLEAR or not course.tries)
        ]
        return tuple(sorted(unclear, key=lambda place: (len(self.courses[place].tries), self._plainness(place))))

    @property
    def untouched(self) -> bool:
        """Whether nothing was asked on this level yet, and something is to be met."""
        return not self.begun and not self.sounded and len(self.open) < len(self.courses)

    @property
    def sounding(self) -> bool:
        """Whether a level that is sounded out still is."""
        return not self.begun and self.sounded < MOST_SOUNDED and bool(self.unclear)

    def _chances(self) -> list[float]:
        """P(known from before) of each figure, by its tries; the share known is worked out along with them."""
        guessed = max(GUESSED, 1 / len(self.courses))
        odds = []
        for course in self.courses:
            ratio = 1.0
            for right in course.tries:
                ratio *= (1 - SLIP) / guessed if right else SLIP / (1 - guessed)
            odds.append(ratio)
        # Expectation and maximisation in turn: the share of known figures says how likely each is, and these say the
        # share, with one known and one unknown figure added (Laplace's rule).  Ten rounds are more than enough.
        share = 0.5
        for _ in range(10):
            chances = [share * ratio / (share * ratio + 1 - share) for ratio in odds]
            tried = [chance for chance, course in zip(chances, self.courses, strict=True) if course.tries]
            share = (1 + sum(tried)) / (2 + len(tried))
        return chances

    # What comes next

    def plan(self, begin: str, recall: Sequence[float], random: Random) -> BarPlan:
        """The next bar of a level that began in one of the ``BEGINNINGS``; ``recall`` is P(right) of each figure."""
        everything = tuple(range(len(self.courses)))
        if begin == AT_ONCE:
            return BarPlan((), (), everything, None, everything)
        if begin == SOUND_OUT and self.sounding:
            return BarPlan((), self.unclear[: self.level.meter.beats], everything, None, everything, True)
        known = self.open
        if self._needs_known_ground() and len(known) > 1:
            return self._known_ground(known, recall, random)
        new = self._to_be_met(known)
        if new:
            figure = random.choice(new)
            return self._alone(figure, self.nearest(figure, (*known, *new)), (*known, *new), new)
        if not self.unsettled:
            return BarPlan((), (), known, None, known)
        return self._of_unsettled(known, random)

    def _of_unsettled(self, known: tuple[int, ...], random: Random) -> BarPlan:
        """A bar for a figure that is not settled: another one than last time where there is, in its own step."""
        order = random.sample(self.unsettled, len(self.unsettled))
        order.sort(key=lambda place: (place in self.last, self.courses[place].step))
        step = self.courses[order[0]].step
        ready = tuple(place for place in order if self.courses[place].step >= step)
        if step == BETWEEN_TWO:
            return self._alone(order[0], self.nearest(order[0], known), known)
        rivals = (self.nearest(place, known) for place in order)
        beside = tuple(dict.fromkeys(place for place in (*order[1:], *rivals) if place != order[0]))
        if step == ALL_BEATS:
            # Asked twice in a bar, a figure is settled sooner, and no beat can be told by what is left.
            return BarPlan((), (*ready, *ready), known, None, known, beside=beside)
        beats = {AMONG_ALL: 1, TWO_BEATS: 2}[step]
        return BarPlan((), ready[:beats], known, beats, known, True, beside)

    def _alone(self, figure: int, rival: int, known: tuple[int, ...], meets: tuple[int, ...] = ()) -> BarPlan:
        """The first step: one beat, and a choice of two, which sound side by side on the other beats."""
        again = () if meets or not self.courses[figure].heard_again else (figure,)
        pair = tuple(sorted((figure, rival)))
        return BarPlan(meets, (figure,), known, 1, pair, True, (rival, figure, rival), again)

    def _to_be_met(self, known: tuple[int, ...]) -> tuple[int, ...]:
        """The figures to be met next: none while two are new."""
        if len(self.unsettled) >= MOST_NEW:
            return ()
        met = list(known)
        for _ in range(1 if known else MOST_NEW):
            unmet = [place for place in range(len(self.courses)) if place not in met]
            if unmet:
                met.append(min(unmet, key=lambda place: (*self._plainness(place), self._apart(place, met))))
        return tuple(met[len(known) :])

    def _needs_known_ground(self) -> bool:
        """Whether one more mistake would make it too much."""
        return bool(self.bars) and (self._too_low or self.bars[-1][0] < self.bars[-1][1] / 2)

    @property
    def _too_low(self) -> bool:
        """Whether a bar as large as the last, all wrong, would bring ten bars below the floor.

        It is reckoned before the mistake is made: nobody is to fall below it at all.
        """
        right, asked = (sum(counts) for counts in zip(*self.bars, strict=True))
        return len(self.bars) == WINDOW - 1 and right < FLOOR * (asked + self.bars[-1][1])

    def _known_ground(self, known: tuple[int, ...], recall: Sequence[float], random: Random) -> BarPlan:
        """One beat, between what is known best and what is least like it; near the floor every beat, if both are sure.

        Between two that differ clearly, even somebody whose thoughts are elsewhere is mostly right.
        """
        settled = [place for place in known if place not in self.unsettled]
        order = random.sample(settled or known, len(settled or known))
        sure = [place for place in order if recall[place] >= SURE]
        every = len(sure) > 1 and self._too_low
        surest = sure[0] if every else max(order, key=lambda place: (place not in self.last, recall[place]))
        others = [place for place in (sure if every else known) if place != surest]
        rival = max(others, key=lambda place: self._apart(surest, [place]))
        pair, apart = tuple(sorted((surest, rival))), len(known) > 2
        if every:
            whole = islice(cycle(random.sample(pair, 2)), self.level.meter.beats)
            return BarPlan((), tuple(whole), known, None, pair, True, apart=apart)
        if settled:
            return BarPlan((), (surest,), known, 1, pair, True, self.unsettled, apart=apart)
        return replace(self._alone(surest, rival, known), apart=apart)

    def nearest(self, figure: int, others: Iterable[int]) -> int:
        """The figure that a figure is most like, of some others."""
        return min((place for place in others if place != figure), key=lambda place: self._apart(figure, [place]))

    def _apart(self, figure: int, others: Iterable[int]) -> float:
        figures = self.level.figures
        return min((distance(figures[figure], figures[place]) for place in others if place != figure), default=0.0)

    def _plainness(self, place: int) -> tuple[float, int, int]:
        """The order of meeting: as the level says, then what divides the beat least and has the fewest strokes.

        A silent beginning counts as a stroke: it is as much to be heard.
        """
        figure, order = self.level.figures[place], self.level.order
        given = order.index(figure) if figure in order else inf
        silent = not figure.onsets or figure.onsets[0] > 0
        return given, lcm(*(onset.denominator for onset in figure.onsets)), len(figure.onsets) + silent


class Earlier:
    """A quick reading of old answers: which figures were met, and how they went last."""

    def __init__(self, level: Level) -> None:
        self._level = level
        self._tries: dict[str, deque[bool]] = {figure.count: deque(maxlen=TRIES) for figure in level.figures}
        self._met: set[str] = set()
        self._begun = False

    def note(self, rows: Iterable[Answer]) -> None:
        """Take in answers by ear to the level's figures, in order."""
        for row in rows:
            if row.met:
                known = self._tries.keys() & row.met
                self._met |= known
                self._begun |= row.level == self._level.name and bool(known)
            if row.attempt == 1 and row.share > 0.5:
                self._tries[row.heard].append(row.said == row.heard)

    def steps(self) -> Steps:
        """Where that leaves the player: what was met and mostly named is settled."""
        courses = tuple(
            Course(True, ALL_BEATS, settled=2 * sum(last) > len(last))
            if count in self._met
            else Course(tries=tuple(last))
            for count, last in self._tries.items()
        )
        return Steps(self._level, courses, begun=self._begun)


def _step(row: Answer, beats: int, known: int) -> int:
    """The step in which a bar's figures were asked, when so many were known; older rows had all to choose from."""
    if len(row.choices) == 2 and known > 2:
        return BETWEEN_TWO
    return {1: AMONG_ALL, 2: TWO_BEATS}.get(beats, ALL_BEATS)
