"""Reads strokes into figures: for each beat the probability of each figure of a given set.

The model: a stroke lies about its place with a normal deviation of unknown spread, the whole take late by an unknown
offset; a stroke may be missed, others may come in between.  The probability of each figure on each beat is summed over
every alignment of strokes and places, by the forward and backward recursions of a hidden Markov model (Rabiner 1989,
Proceedings of the IEEE 77) whose state is the number of strokes used up, so that a stroke before its beat still belongs
to it.

The bar that should have been played plays no part: a missed stroke makes another figure, and that one is reported.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from math import erfc, exp, hypot, inf, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from audio.telling import told
from shared.figures import Figure
from shared.reading import CHANGE, NOTHING, SLOWER, WANDER, Habits, Placed, ReadBeat, Reading
from shared.strokes import Take, TakeStroke

Floats = NDArray[np.float64]

BOUNCE = 0.045
"""How soon after a stroke, in seconds, a bounce or the second stroke of a flam comes."""

SPREADS = np.geomspace(0.006, 0.08, 8)
"""The spreads that are tried, in seconds."""

OFFSET_STEP = 0.006
"""The step between the offsets that are tried, in seconds: about the least spread."""

PACES = 7
"""How many tempi are tried where the tempo has to be followed, out to three standard deviations."""

PACE_WANDER = 0.003
"""How far a player's own tempo drifts in a beat, as a share of it (standard deviation)."""

REACH = 0.12
"""How far across a beat's border, in seconds, a stroke may lie and still belong to the beat; half a beat at most."""

NEGLIGIBLE = 8.0
"""Offsets and spreads whose log probability lies so far below the best play no further part."""

CLOSING = 0.2
"""The probability that a take goes on with a stroke on the beat after its last."""

CUED = 0.5
"""The probability that a beat of the count-in has the player's stroke on it."""

LATE, LATE_SD, MUCH_LIKELIER = 0.2, 0.1, 3.0
"""How late wireless sound makes all strokes come, in seconds, and its standard deviation; and by how much, as the
logarithm of a ratio of probabilities, such an offset must explain a take better than the one that was expected."""

TOO_WIDE = 0.12
"""With at least this share of figures that would be taken for another, the advice is to play slower."""


@dataclass(frozen=True)
class Source:
    """How strokes come in: the share that is missed, how many stray ones come in a beat, the share with a bounce."""

    missed: float
    extra: float
    bounced: float


KEYS, PADS, MICROPHONE = Source(0.0005, 0.001, 0.02), Source(0.002, 0.004, 0.1), Source(0.01, 0.02, 0.1)
"""Computer keys; pads and MIDI files; and strokes that were found in a sound.

Keys miss hardly a stroke; one that the player leaves out makes another figure."""


@dataclass(frozen=True)
class BeatChoice:
    """The figures that a beat may hold, equally likely unless ``weights`` say otherwise."""

    figures: tuple[Figure, ...]
    weights: tuple[float, ...] = ()

    @cached_property
    def places(self) -> tuple[tuple[float, NDArray[np.intp]], ...]:
        """Each place in the beat, in order, with the figures (by number) that have a stroke there."""
        found = sorted({at for figure in self.figures for at in figure.onsets})
        return tuple((float(at), np.flatnonzero([at in figure.onsets for figure in self.figures])) for at in found)

    @cached_property
    def prior(self) -> Floats:
        """The probability of each figure before anything is heard."""
        return np.array(self.weights or [1 / len(self.figures)] * len(self.figures))


@lru_cache(maxsize=8)
def _perhaps_struck(compound: bool, chance: float) -> BeatChoice:
    """A beat that has one stroke at its beginning, by this chance, or none."""
    return BeatChoice((Figure((), compound), Figure((Fraction(0),), compound)), (1 - chance, chance))


@dataclass(frozen=True)
class Hypotheses:
    """The hypotheses, one in each cell: offset and spread in seconds, pace as true beats in a stated beat.

    ``prior`` is the log of the cell's probability.
    """

    offset: Floats
    spread: Floats
    pace: Floats
    prior: Floats

    def part(self, chosen: NDArray[np.bool_]) -> "Hypotheses":
        """Some of the cells."""
        return Hypotheses(self.offset[chosen], self.spread[chosen], self.pace[chosen], self.prior[chosen])

    def finer(self) -> "Hypotheses":
        """The same cells, each as three a third of a step apart."""
        third = OFFSET_STEP / 3
        offset = (self.offset[:, None] + [-third, 0.0, third]).ravel()
        return Hypotheses(offset, self.spread.repeat(3), self.pace.repeat(3), self.prior.repeat(3))


def grid_for(device: Habits, pace_sd: float = 0.0) -> Hypotheses:
    """The cells worth trying for a device; ``pace_sd`` is the standard deviation of the tempo, as a share of it."""
    steps = max(2, int(np.ceil(3 * device.sd / OFFSET_STEP)))
    offsets = np.linspace(-3, 3, 2 * steps + 1) if device.sd else np.zeros(1)
    spreads = np.log(SPREADS)
    paces = np.linspace(-3, 3, PACES) if pace_sd else np.zeros(1)
    far, wide, quick = (axis.ravel() for axis in np.meshgrid(offsets, spreads, paces, indexing="ij"))
    unusual = (wide - log(device.spread)) / device.spread_sd
    return Hypotheses(
        device.offset + far * device.sd, np.exp(wide), 1 + quick * pace_sd, -(far**2 + unusual**2 + quick**2) / 2
    )


@dataclass(frozen=True)
class BeatRun:
    """Beats to be read together.

    ``times`` of the strokes ascend, in seconds; ``plan`` is what each beat may hold; ``first`` the number of the first
    one, which is negative for a count-in; ``beat`` its length in seconds.
    """

    times: Floats
    plan: tuple[BeatChoice, ...]
    first: int
    beat: float
    source: Source

    @cached_property
    def stray(self) -> Floats:
        """The rate of stray strokes, a second, at the time of each stroke."""
        found = np.full(len(self.times), self.source.extra / self.beat)
        found[1:][np.diff(self.times) < BOUNCE] = self.source.bounced / BOUNCE
        return found

    def borders(self, grid: Hypotheses) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """For each beat's border the least and the greatest number of strokes that may lie before it."""
        at = (np.arange(len(self.plan) + 1) + self.first) * self.beat
        reach = min(self.beat / 2, REACH)
        ends = np.outer(at, [grid.pace.min(), grid.pace.max()])
        least = np.searchsorted(self.times, ends.min(1) + grid.offset.min() - reach)
        most = np.searchsorted(self.times, ends.max(1) + grid.offset.max() + reach)
        # Every stroke of the span must be used up within it: none lies before the first border or after the last.
        least[0], most[0] = 0, 0
        least[-1] = most[-1] = len(self.times)
        return least, most

    def matches(self, number: int, place: float, low: int, high: int, grid: Hypotheses) -> Floats:
        """The likelihood ratio of each stroke, in each cell, of belonging here to being stray: (cells, 1 + strokes)."""
        # Column 0 stands for no stroke used up yet, to which no stroke leads.
        found = np.zeros((len(grid.offset), high - low + 1))
        at = (number + self.first + place) * self.beat * grid.pace + grid.offset
        away = (self.times[None, low:high] - at[:, None]) / grid.spread[:, None]
        scale = (1 - self.source.missed) / sqrt(2 * pi) / np.outer(grid.spread, self.stray[low:high])
        found[:, 1:] = np.exp(-away * away / 2) * scale
        return found


@dataclass(frozen=True)
class ForwardStep:
    """The results of the forward recursion for one beat, which the backward recursion needs.

    ``ends`` (figures, cells, states) is the probability of each figure and number of strokes used up at its end.
    """

    ends: Floats
    matches: list[Floats]
    strokes: int
    let_go: int


def _later(states: int) -> Floats:
    """Which state comes after which: from a number of strokes used up to any greater one."""
    return np.triu(np.ones((states, states)), 1)


def forward(span: BeatRun, grid: Hypotheses, keep: bool) -> tuple[Floats, list[ForwardStep]]:
    """The log likelihood of each cell, and the steps if they are to be kept."""
    least, most = span.borders(grid)
    state = np.ones((len(grid.offset), 1))
    total = np.zeros(len(grid.offset))
    steps = []
    for number, choice in enumerate(span.plan):
        low, high = int(least[number]), int(most[number + 1])
        ways = np.zeros((len(choice.figures), len(grid.offset), high - low + 1))
        ways[:, :, : state.shape[1]] = state * choice.prior[:, None, None]
        later, matches = _later(high - low + 1), []
        for place, having in choice.places:
            match = span.matches(number, place, low, high, grid)
            before = ways[having]
            # Strokes passed over on the way count as stray, against which matches are measured: they need no factor.
            ways[having] = span.source.missed * before + match * (before @ later)
            if keep:
                matches.append(match)
        let_go = int(least[number + 1]) - low
        ends = ways[:, :, let_go:]
        # Strokes that must lie before the border but have no place yet are stray: their states become one.
        ends[:, :, 0] += ways[:, :, :let_go].sum(2)
        state = ends.sum(0)
        # Scaled beat by beat, the logarithms added up: the product over a long take would underflow (Rabiner, V.A).
        scale = state.sum(1, keepdims=True) + 1e-300
        state /= scale
        total += np.log(scale[:, 0])
        if keep:
            steps.append(ForwardStep(ends / scale, matches, high - low, let_go))
    return total, steps


def backward(span: BeatRun, steps: list[ForwardStep], weights: Floats) -> list[Floats]:
    """The probability of each figure on each beat by each column of ``weights`` (cells, columns) over the cells."""
    chances = []
    after = np.ones((len(weights), 1))
    for choice, step in zip(reversed(span.plan), reversed(steps), strict=True):
        each = (step.ends * after).sum(2)
        chances.append((each / (each.sum(0) + 1e-300)) @ weights)
        ways = np.empty((len(choice.figures), len(weights), step.strokes + 1))
        ways[:, :, step.let_go :] = after
        ways[:, :, : step.let_go] = after[:, :1]
        earlier = _later(step.strokes + 1).T
        for (_, having), match in zip(reversed(choice.places), reversed(step.matches), strict=True):
            behind = ways[having]
            ways[having] = span.source.missed * behind + (match * behind) @ earlier
        after = np.tensordot(choice.prior, ways, 1)
        after /= after.sum(1, keepdims=True) + 1e-300
        # states that the beat before cannot end in carry no weight there
        before = steps[len(steps) - len(chances) - 1].ends.shape[2] if len(chances) < len(steps) else 1
        after = after[:, :before]
    return chances[::-1]


@dataclass(frozen=True)
class Solved:
    """The probability of each figure on each beat, the cells with theirs, and the evidence that there are any.

    ``chances`` is (figures, spreads) for each beat, at each spread that comes into question; ``likely`` (spreads,) is
    the probability of the ``spreads``.
    """

    chances: list[Floats]
    spreads: Floats
    likely: Floats
    grid: Hypotheses
    weights: Floats
    evidence: float

    def mean(self, values: Floats) -> float:
        """The mean of a quantity over the cells."""
        return float(self.weights @ values)

    def sd(self, values: Floats) -> float:
        """The standard deviation of a quantity over the cells."""
        return sqrt(max(0.0, self.mean(values**2) - self.mean(values) ** 2))


def solve(span: BeatRun, grid: Hypotheses) -> Solved:
    """Weigh everything: a first pass finds the cells that matter, a second one the figures in them."""
    likelihood, _ = forward(span, grid, keep=False)
    chance = likelihood + grid.prior
    evidence = _log_sum(chance) - _log_sum(grid.prior) - _by_chance(span)
    # Coarse first and fine only where it matters: all cells at the fine step would take three times as long.
    grid = grid.part(chance > chance.max() - NEGLIGIBLE).finer()
    likelihood, steps = forward(span, grid, keep=True)
    chance = likelihood + grid.prior
    weights = np.exp(chance - chance.max())
    weights /= weights.sum()
    spreads = np.unique(grid.spread)
    each = weights[:, None] * (grid.spread[:, None] == spreads)
    likely = each.sum(0)
    chances = backward(span, steps, each / (likely + 1e-300))
    return Solved(chances, spreads, likely, grid, weights, evidence)


def _log_sum(logs: Floats) -> float:
    most = float(logs.max())
    return most + log(float(np.exp(logs - most).sum()))


def _by_chance(span: BeatRun) -> float:
    """The log likelihood of as many strokes at random times, on the same scale as that of the cells."""
    rate = len(span.times) / len(span.plan) / span.beat
    return float(np.log(np.maximum(1, rate / span.stray)).sum()) - len(span.times)


@lru_cache(maxsize=64)
def _apart(figures: tuple[Figure, ...]) -> tuple[float, ...]:
    """How far each two figures of as many strokes lie apart, in beats: the root of their places' summed squares."""
    return tuple(
        sqrt(sum(float(a - b) ** 2 for a, b in zip(one.onsets, other.onsets, strict=True)))
        for one in figures
        for other in figures
        if one != other and len(one.onsets) == len(other.onsets)
    )


@lru_cache(maxsize=512)
def confused(figures: tuple[Figure, ...], spread: float) -> float:
    """The share of figures that would be taken for another one, with strokes that spread so far, in beats."""
    if spread <= 0:
        return 0.0
    return sum(erfc(apart / (2 * spread) / sqrt(2)) / 2 for apart in _apart(figures)) / len(figures)


def read(
    take: Sequence[TakeStroke],
    figures: Sequence[Figure],
    tempo: float,
    beats: int,
    device: Habits | None = None,
    source: Source = KEYS,
    cued: int = 0,
) -> Reading:
    """Read a take of ``beats`` beats at ``tempo`` beats a minute; the first begins at 0 of the strokes' clock.

    Each beat holds one of ``figures``, all of one kind of beat.  On ``cued`` beats before the first the player may
    have struck along, which helps to find the offset.  Strokes far before or after all these beats are left out.
    """
    device, beat = device or Habits(), 60 / tempo
    take = tuple(stroke for stroke in take if stroke.seconds > -(cued + 0.5) * beat)
    found = follow(take, figures, tempo, beats, beats, device, source, cued, pace_sd=0.0)
    # Only strokes along with the count-in show how late all come: without them a slot later is another bar.
    cues = [stroke.seconds for stroke in take if stroke.seconds < -beat / 2]
    expected = abs(found.offset - device.offset) < 2 * device.sd and _on_beats(cues, found, beat)
    if not cues or (expected and all(one.clear for one in found.beats)):
        return found
    wireless = replace(device, offset=LATE, sd=LATE_SD)
    late = follow(take, figures, tempo, beats, beats, wireless, source, cued, pace_sd=0.0)
    return late if late.evidence > found.evidence + MUCH_LIKELIER else found


def _on_beats(cues: Sequence[float], found: Reading, beat: float) -> bool:
    """Whether strokes along with the count-in lie on its beats, by the offset and the spread that were found."""
    away = [(at - found.offset) / beat - round((at - found.offset) / beat) for at in cues]
    return max(map(abs, away), default=0.0) * beat < 4 * found.spread


def follow(
    take: Sequence[TakeStroke],
    figures: Sequence[Figure],
    tempo: float,
    beats: int,
    bar: int,
    device: Habits | None = None,
    source: Source = KEYS,
    cued: int = 0,
    pace_sd: float = 0.02,
    weights: Sequence[float] = (),
) -> Reading:
    """Read a take as ``read`` does, but ``bar`` beats at a time, each part beginning where the one before leads to.

    ``pace_sd`` is how far the tempo may be off at first, as a share of it; 0 for the tempo of a click.  ``weights``
    are the probabilities of the figures before anything is heard, all alike unless they are given.
    """
    device = device or Habits()
    strokes = tuple(sorted(take, key=lambda stroke: stroke.seconds))
    choice = BeatChoice(tuple(figures), tuple(weights))
    reader = _Reader(strokes, choice, beats, source, cued, 60 / tempo, device, pace_sd)
    # Strokes of the count-in alone are no take.
    if not any(stroke.seconds > -reader.beat / 2 for stroke in strokes):
        return reader.nothing()
    while reader.done < beats:
        reader.go_on(min(bar, beats - reader.done))
    return reader.reading()


class _Reader:
    """A take on its way to being read: where the next beat begins, and what is known of tempo, offset and spread."""

    def __init__(
        self,
        strokes: Take,
        choice: BeatChoice,
        beats: int,
        source: Source,
        cued: int,
        beat: float,
        device: Habits,
        pace_sd: float,
    ) -> None:
        self.choice, self.figures = choice, choice.figures
        self.beats, self.source, self.cued = beats, source, cued
        self.strokes = strokes
        self.times = np.array([stroke.seconds for stroke in strokes])
        self.beat, self.device, self.pace_sd = beat, device, pace_sd
        self.following = pace_sd > 0
        self.start = 0.0
        self.done = 0
        self.read: list[ReadBeat] = []
        self.parts: list[Solved] = []

    def go_on(self, count: int) -> None:
        """Read the next ``count`` beats."""
        free = self.choice
        compound = self.figures[0].compound
        # A beat more on either side, so that a stroke early or late of the border finds its own; only the beats between
        # are kept.
        before = [_perhaps_struck(compound, CUED)] * self.cued if self.done == 0 else [free]
        last = self.done + count == self.beats
        plan = (*before, *[free] * count, _perhaps_struck(compound, CLOSING) if last else free)
        chosen = (self.times > self.start - (len(before) + 0.5) * self.beat) & (
            self.times < self.start + (count + 1 - 0.5 * last) * self.beat
        )
        span = BeatRun(self.times[chosen] - self.start, plan, -len(before), self.beat, self.source)
        solved = solve(span, grid_for(self.device, self.pace_sd))
        strokes = [stroke for stroke, here in zip(self.strokes, chosen, strict=True) if here]
        self.read += _told(strokes, span, solved, range(len(before), len(before) + count))
        self.parts.append(solved)
        self._move(solved, count)

    def _move(self, solved: Solved, count: int) -> None:
        """Go to the beat after those that were read, with what they told."""
        grid = solved.grid
        # Spreads are averaged in logarithms: half and double lie equally far from one.
        wide = np.log(grid.spread)
        spread, spread_sd = exp(solved.mean(wide)), max(0.05, solved.sd(wide))
        offset, sd = solved.mean(grid.offset), solved.sd(grid.offset)
        # Where the tempo is followed, the next part begins where this one ends, and its offset counts from there anew.
        if self.following:
            ends = grid.offset + count * self.beat * grid.pace
            self.start += solved.mean(ends)
            offset, sd = 0.0, hypot(solved.sd(ends), 0.15 * spread)
            self.beat *= solved.mean(grid.pace)
            self.pace_sd = hypot(solved.sd(grid.pace), PACE_WANDER * sqrt(count))
        else:
            self.start += count * self.beat
            sd = hypot(sd, WANDER / 2)
        self.device = Habits(offset, sd, spread, max(spread_sd, CHANGE))
        self.done += count

    def reading(self) -> Reading:
        """All that was read."""
        last = self.parts[-1]
        grid = last.grid
        wide = np.log(grid.spread)
        spread = exp(last.mean(wide))
        return Reading(
            beats=tuple(self.read),
            tempo=60 / self.beat,
            offset=last.mean(grid.offset),
            offset_sd=last.sd(grid.offset),
            spread=spread,
            spread_sd=last.sd(wide),
            evidence=sum(part.evidence for part in self.parts),
            # Rounded, so that spreads that are nearly the same share an entry of the cache.
            verdict=SLOWER if confused(self.figures, round(spread / self.beat, 2)) > TOO_WIDE else "",
        )

    def nothing(self) -> Reading:
        """The reading of a take without a stroke: no beat of it is known, not even a rest."""
        likeliest = Figure((), self.figures[0].compound)
        beat = ReadBeat(None, likeliest, 0.0, None, 0.0, ())
        known = self.device
        return Reading(
            (beat,) * self.beats, 60 / self.beat, known.offset, known.sd, known.spread, known.spread_sd, 0.0, NOTHING
        )


def _told(strokes: list[TakeStroke], span: BeatRun, solved: Solved, beats: range) -> list[ReadBeat]:
    """Some beats of a span as they were read: the figures that are sure enough, and the place of each stroke."""
    figures = span.plan[beats[0]].figures
    grid = solved.grid
    wide = np.log(grid.spread)
    spread, offset = exp(solved.mean(wide)), solved.mean(grid.offset)
    chances = [chance @ solved.likely for chance in solved.chances]
    likeliest = [choice.figures[int(chance.argmax())] for choice, chance in zip(span.plan, chances, strict=True)]
    pace = solved.mean(grid.pace)
    places = [(beat, at) for beat, figure in enumerate(likeliest) for at in figure.onsets]
    expected = [(beat + span.first + float(at)) * span.beat * pace + offset for beat, at in places]
    found = _aligned(span, expected, spread)
    by_beat: dict[int, list[Placed]] = {}
    for stroke, time, place in zip(strokes, span.times, found, strict=True):
        if place is None:
            beat = int((time - offset) // (span.beat * pace)) - span.first
            by_beat.setdefault(beat, []).append(Placed(stroke))
        else:
            beat, at = places[place]
            by_beat.setdefault(beat, []).append(Placed(stroke, at, float(time - expected[place])))
    sure = [
        told(figures, span.beat, solved.spreads, solved.likely, 1 - solved.chances[beat][chances[beat].argmax()])
        for beat in beats
    ]
    return [
        _beat(figures, chances[beat], one, tuple(by_beat.get(beat, ()))) for beat, one in zip(beats, sure, strict=True)
    ]


def _beat(figures: tuple[Figure, ...], chances: Floats, sure: bool, strokes: tuple[Placed, ...]) -> ReadBeat:
    order = np.argsort(-chances)
    likeliest = figures[int(order[0])]
    rival = figures[int(order[1])] if len(figures) > 1 else None
    second = float(chances[order[1]]) if len(figures) > 1 else 0.0
    certainty = float(chances[order[0]])
    if not sure:
        strokes = tuple(Placed(placed.stroke) for placed in strokes)
        return ReadBeat(None, likeliest, certainty, rival, second, strokes)
    struck = {placed.at for placed in strokes}
    missed = tuple(at for at in likeliest.onsets if at not in struck)
    return ReadBeat(likeliest, likeliest, certainty, rival, second, strokes, missed)


def _aligned(span: BeatRun, expected: list[float], spread: float) -> list[int | None]:
    """For each stroke the place (by number) it is most likely of, in order; None for an extra one."""
    scale = np.log((1 - span.source.missed) / span.stray / sqrt(2 * pi) / spread)
    ways: dict[int, tuple[float, tuple[tuple[int, int], ...]]] = {-1: (0.0, ())}
    for place, due in enumerate(expected):
        low, high = np.searchsorted(span.times, [due - span.beat / 2, due + span.beat / 2])
        onward = {last: (cost - log(span.source.missed), chain) for last, (cost, chain) in ways.items()}
        for last, (cost, chain) in ways.items():
            for stroke in range(max(low, last + 1), high):
                whole = cost + ((span.times[stroke] - due) / spread) ** 2 / 2 - scale[stroke]
                if whole < onward.get(stroke, (inf,))[0]:
                    onward[stroke] = (whole, (*chain, (stroke, place)))
        least = min(cost for cost, _ in onward.values())
        # A way that is e^40 times less likely than the best is given up: without this their number would grow and grow.
        ways = {last: way for last, way in onward.items() if way[0] < least + 40}
    chain = min(ways.values())[1]
    found: list[int | None] = [None] * len(span.times)
    for stroke, place in chain:
        found[stroke] = place
    return found
