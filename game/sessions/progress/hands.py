"""Tables of how a player plays: each figure heard, read and played, figures played for others, timing by weeks."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, sqrt

from game.learning.evidence import ABILITIES, Answer
from game.records.takes import PlaceTiming
from game.sessions.playing.report import ALL
from game.sessions.progress.chance import Z_95
from game.wording import how_often, local_day, monday_of
from shared.bars import meters_like
from shared.figures import Figure
from shared.levels import Level

LEAST_NEED = 0.1
"""The weight of a figure that hands play surely: it still comes now and then."""

LATEST = 12
"""How many of the latest answers to a figure tell how firm an ability is now."""

ENOUGH = 6
"""With fewer answers nothing is said of how firm an ability is."""

VERBS = {"hearing": "heard", "reading": "read", "playing": "played"}
"""The ability of a figure as its participle: "heard 5/6"."""

FIRM, SHAKY = 0.8, 0.5
"""An ability is firm from the first share of right answers on; below the second it is not there yet."""

LEAST = 0.010
"""A mean below this, in seconds, is not told: nobody hears less (Friberg and Sundberg 1995)."""

AGAIN = 2
"""A figure that was played as another one so many times is a mix-up."""

Weeks = dict[date, dict[str, PlaceTiming]]
"""By week (its Monday) and by place or hand: the strokes of its takes together."""


@dataclass(frozen=True)
class Ability:
    """One ability of one figure, by its latest answers: ``right`` of ``total``."""

    name: str
    right: int
    total: int

    @property
    def firm(self) -> bool:
        """Whether it is firm, by enough answers."""
        return self.total >= ENOUGH and self.right >= FIRM * self.total

    def words(self) -> str:
        """How firm it is."""
        if not self.total:
            return "not tried"
        told = f"{self.right}/{self.total}"
        # The bare count: two right of two would be called firm by chance.
        if self.total < ENOUGH:
            return told
        if self.firm:
            return f"{told} firm"
        return f"{told} not yet" if self.right < SHAKY * self.total else f"{told} growing"


@dataclass(frozen=True)
class FigureAbilities:
    """A figure with its abilities, in the order of ``ABILITIES``."""

    figure: Figure
    abilities: tuple[Ability, ...]

    def of(self, name: str) -> Ability:
        """One of them, by its name."""
        return self.abilities[ABILITIES.index(name)]

    def words(self) -> str:
        """Those that were tried, with how firm each is."""
        told = [f"{VERBS[each.name]} {each.words()}" for each in self.abilities if each.total]
        return "; ".join(told) or "not tried"


def abilities(figures: Sequence[Figure], answers: Sequence[Answer]) -> tuple[FigureAbilities, ...]:
    """Each of some figures, heard, read and played: three abilities, each with its own evidence.

    An answer that is "not sure", where the reader of takes could not tell, says nothing of the hands.
    """
    latest: dict[tuple[str, str], list[bool]] = defaultdict(list)
    # A class's answers are of a room, and say nothing of one pair of hands or ears.
    for row in answers:
        if row.kind != "class" and (row.ability == "hearing" or not row.unsure):
            latest[row.ability, row.heard].append(row.said == row.heard)
    return tuple(
        FigureAbilities(
            figure,
            tuple(
                Ability(name, sum(latest[name, figure.count][-LATEST:]), len(latest[name, figure.count][-LATEST:]))
                for name in ABILITIES
            ),
        )
        for figure in figures
    )


@dataclass(frozen=True)
class PlayedFor:
    """A figure that is ``played`` as another one, so many ``times``; ``heard`` whether the ear has it firmly."""

    figure: Figure
    played: str
    times: int
    heard: bool

    def words(self) -> str:
        """The mix-up in a sentence, beside the two figures: the one that was to be played, and the other."""
        ear = "You hear the first of these" if self.heard else "The first of these is not firm by ear yet"
        return f"{ear}, and your hands play the second: {how_often(self.times)}."


def played_for(level: Level, answers: Sequence[Answer]) -> tuple[PlayedFor, ...]:
    """The figures that are played for others, the most frequent first; in meters of the level's kind of beat alone."""
    meters = meters_like(level.meter)
    known = {one.figure.count: one for one in abilities(level.figures, answers)}
    counts = Counter(
        (row.heard, row.said)
        for row in answers
        if row.ability != "hearing"
        and row.said
        and row.said != row.heard
        and row.heard in known
        and row.meter in meters
    )
    return tuple(
        PlayedFor(known[heard].figure, said, times, known[heard].of("hearing").firm)
        for (heard, said), times in counts.most_common()
        if times >= AGAIN
    )


def needs(figures: Sequence[Figure], answers: Sequence[Answer]) -> tuple[float, ...]:
    """How much each figure needs to be played, as weights of a draw: the chance that it is played otherwise.

    By the latest answers, with the prior of one right and one wrong (Laplace's rule of succession).  Where a figure
    is played as another again and again, both need as much as the worse of the two: hands learn them side by side.
    """
    latest: dict[str, list[bool]] = defaultdict(list)
    taken = Counter[tuple[str, str]]()
    for row in answers:
        if row.ability == "playing" and row.kind != "class" and row.said:
            latest[row.heard].append(row.said == row.heard)
            taken[row.heard, row.said] += row.said != row.heard
    tries = [latest[figure.count][-LATEST:] for figure in figures]
    need = {
        figure.count: (len(tried) - sum(tried) + 1) / (len(tried) + 2)
        for figure, tried in zip(figures, tries, strict=True)
    }
    paired = dict(need)
    for (heard, said), times in taken.items():
        if times >= AGAIN and heard in need and said in need:
            worse = max(need[heard], need[said])
            paired[heard], paired[said] = max(paired[heard], worse), max(paired[said], worse)
    return tuple(LEAST_NEED + paired[figure.count] for figure in figures)


@dataclass(frozen=True)
class WeekTiming:
    """The timing of one place or hand in one week: ``spread`` with its 95 % interval, and the mean, in seconds."""

    begins: date
    name: str
    strokes: int
    mean: float
    spread: float
    low: float
    high: float

    def words(self) -> str:
        """The week in a line."""
        told = f"{1000 * self.spread:.0f} ms ({1000 * self.low:.0f} to {1000 * self.high:.0f})"
        # Twice the standard error of the mean: within that it may as well be none.
        error = 2 * self.spread / sqrt(self.strokes)
        if abs(self.mean) <= max(error, LEAST):
            return told
        off = 1000 * abs(self.mean)
        return f"{told}, {off:.0f} ms late" if self.mean > 0 else f"{told}, {off:.0f} ms early"


def by_week(timings: Iterable[tuple[float, Sequence[PlaceTiming]]]) -> Weeks:
    """The timing of takes, each with when it was played (seconds since the epoch), added up week by week."""
    weeks: Weeks = {}
    for at, timing in timings:
        # By the player's own clock: a take late on a Sunday evening belongs to the week that ends.
        here = weeks.setdefault(monday_of(local_day(at)), {})
        for one in timing:
            before = here.get(one.name, PlaceTiming(one.name, 0, 0.0, 0.0))
            here[one.name] = PlaceTiming(
                one.name, before.strokes + one.strokes, before.late + one.late, before.squares + one.squares
            )
    return dict(sorted(weeks.items()))


def weeks_of(weeks: Weeks, name: str = ALL) -> tuple[WeekTiming, ...]:
    """The weeks of one place or hand, the oldest first; those with fewer strokes than tell a spread are left out."""
    found = []
    for begins, places in weeks.items():
        _, count, total, squares = places.get(name, (name, 0, 0.0, 0.0))
        if count < 2 * ENOUGH:
            continue
        mean = total / count
        spread = sqrt(max(0.0, (squares - count * mean**2) / (count - 1)))
        # The logarithm of a normal sample's spread has the standard error 1 / sqrt(2 (n - 1)).
        factor = exp(Z_95 / sqrt(2 * (count - 1)))
        found.append(WeekTiming(begins, name, count, mean, spread, spread / factor, spread * factor))
    return tuple(found)


def names_of(weeks: Weeks) -> tuple[str, ...]:
    """The places and hands of which the latest week tells something, the most struck first."""
    latest = weeks[max(weeks)].values() if weeks else ()
    return tuple(one.name for one in sorted(latest, key=lambda one: -one.strokes) if one.strokes >= 2 * ENOUGH)
