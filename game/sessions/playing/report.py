"""The report of a take: how the strokes lay by place and hand, habits, drift, and one sentence at most.

Never about one stroke, and never more exact than the number of strokes allows.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from game.records.takes import PlaceTiming
from shared.bars import Bar
from shared.counting import Words, as_shown
from shared.figures import BETWEEN
from shared.reading import NOTHING, SLOWER, UNCLEAR, ReadBeat, Reading
from shared.sticking import Hands

ENOUGH = 6
"""The fewest strokes on which a habit can rest."""

WORTH_A_WORD = 0.012
"""The least mean, in seconds, that is named as a habit: hardly anyone hears less (Friberg and Sundberg 1995)."""

# Along a click trained players spread by about 2 % of the beat and others by 4 % or more (from memory): at a beat of
# 600 ms that is 12 and 24 ms.
VERY_STEADY, STEADY, UNEVEN = 0.012, 0.025, 0.040
"""The largest spreads, in seconds, that are called so; with more than the last, a slower tempo is advised."""

# The standard error of a standard deviation is SD / sqrt(2 (n - 1)): 16 beats have some 32 strokes, and of an SD of 18
# ms about 2 ms is then chance.
TOLD_EXACTLY = 16
"""How many beats it takes before a spread is told to the millisecond."""

DRIFT = 0.02
"""The least change of tempo over a take that is named, as a share of the tempo."""

ALTOGETHER = 0.010
"""The least offset, in seconds, that is worth telling."""

UNHEARD = {
    NOTHING: "Nothing came in.",
    UNCLEAR: "No figures can be made out: play nearer to the microphone, or where it is quieter.",
}
"""The sentence on a take of which nothing is told, by its verdict."""

HARDLY_READ = (
    "Hardly a beat could be read. Strike along with the last two clicks of the count-in, too; and if your sound may be "
    "late, find its delay first (D)."
)
"""The advice where hardly a beat of a take is sure: most often the sound is late, and nothing told how late."""

ON_THE_BEAT = "number"
"""The place that is counted by the beat's number."""

ALL, HANDS = "all", {"L": "left hand", "R": "right hand"}
"""The names under which all strokes are kept, and those of each hand."""


@dataclass(frozen=True)
class Deviation:
    """How late one stroke came, in seconds: ``beat`` from 0 over the take, ``place`` as it is counted."""

    beat: int
    place: str
    late: float
    hand: str | None


@dataclass(frozen=True)
class Timing:
    """The strokes of one place or hand: how many, their mean and their standard deviation in seconds."""

    name: str
    strokes: int
    mean: float
    spread: float

    @property
    def error(self) -> float:
        """The standard error of the mean, in seconds."""
        return self.spread / sqrt(self.strokes)

    @property
    def habit(self) -> bool:
        """Whether these strokes come early or late so often that it is no chance."""
        # Beyond two standard errors chance alone would bring a mean about once in twenty takes.
        return self.strokes >= ENOUGH and abs(self.mean) > max(WORTH_A_WORD, 2 * self.error)


@dataclass(frozen=True)
class WrongHand:
    """A stroke of the other hand than the sticking has: ``beat`` from 0 over the take, ``stroke`` in it from 0."""

    beat: int
    stroke: int


@dataclass(frozen=True)
class Report:
    """The findings on a take.

    ``otherwise`` are the beats, from 0, told as another figure than written; ``unsure`` those that are not told.
    ``drift`` is the change of tempo over the take as a share of it, None to a click.  ``habits`` are the timings
    that the take before shows too.  ``sentence`` is the one thing to say.
    """

    beats: int
    otherwise: tuple[int, ...]
    unsure: tuple[int, ...]
    deviations: tuple[Deviation, ...]
    places: tuple[Timing, ...]
    hands: tuple[Timing, ...]
    habits: tuple[Timing, ...]
    wrong_hands: tuple[WrongHand, ...]
    drift: float | None
    sentence: str


def report(
    reading: Reading,
    written: Bar | None = None,
    sticking: Hands | None = None,
    before: Report | None = None,
    started: float | None = None,
    measured: bool = False,
    words: Words = (),
) -> Report:
    """The report of a reading.

    ``written`` is the bar that was to be played, over and over, and ``sticking`` its hands; ``before`` the report of
    the take before.  ``started`` is the tempo of the player's own count-in, None where a click gave the tempo;
    ``measured`` whether the click was found in the recording, so that the offset is the player's alone; ``words`` are
    those shown for words of the count.
    """
    otherwise = tuple(_unlike(reading, written)) if written else ()
    # Only these beats say something of timing: strokes of another figure have no written place to be late for.
    right = [n for n, beat in enumerate(reading.beats) if beat.figure and n not in otherwise]
    deviations = tuple(_deviations(reading, right))
    places = _timings(deviations, lambda stroke: stroke.place)
    hands = _timings(deviations, lambda stroke: stroke.hand)
    # Along a click there is no tempo of the player's own that could drift.
    drift = reading.tempo / started - 1 if started else None
    unsure = tuple(n for n, beat in enumerate(reading.beats) if beat.figure is None)
    habits = tuple(timing for timing in places if timing.habit and _again(timing, before))
    return Report(
        beats=len(reading.beats),
        otherwise=otherwise,
        unsure=unsure,
        deviations=deviations,
        places=places,
        hands=hands,
        habits=habits,
        wrong_hands=tuple(_wrong_hands(reading, right, sticking)) if sticking else (),
        drift=drift,
        sentence=_sentence(reading, written, otherwise, habits, drift, measured, words),
    )


def unsure_words(beats: int) -> str:
    """The sentence on so many beats that are not told, and what would do; empty where there are none."""
    if not beats:
        return ""
    could, do = ("One beat", "so it counts") if beats == 1 else (f"{beats} beats", "so they count")
    return f"{could} could be either of two figures, {do} for nothing: play more evenly, or slower."


def timing_of(deviations: Iterable[Deviation]) -> tuple[PlaceTiming, ...]:
    """The timing of some strokes as it is kept: of all of them, of each place, and of each hand that is known."""
    sums: dict[str, PlaceTiming] = {}
    for one in deviations:
        for name in (ALL, one.place, *((HANDS[one.hand],) if one.hand else ())):
            so_far = sums.get(name, PlaceTiming(name, 0, 0.0, 0.0))
            # Number, sum and sum of squares, not mean and spread: so the takes of a week can be added up exactly.
            late, squares = so_far.late + one.late, so_far.squares + one.late**2
            sums[name] = PlaceTiming(name, so_far.strokes + 1, late, squares)
    return tuple(sums.values())


def _unlike(reading: Reading, written: Bar) -> Iterable[int]:
    for number, beat in enumerate(reading.beats):
        if beat.figure and beat.figure != written.figures[number % len(written.figures)]:
            yield number


def _deviations(reading: Reading, right: Sequence[int]) -> Iterable[Deviation]:
    for number in right:
        beat = reading.beats[number]
        words = _words(beat)
        for placed in beat.strokes:
            if placed.at is not None and placed.late is not None:
                yield Deviation(number, words[placed.at], placed.late, placed.stroke.hand)


def _words(beat: ReadBeat) -> dict[object, str]:
    """The word of the count for each place of a beat's figure, the number for its first."""
    assert beat.figure is not None
    return {at: word if at else ON_THE_BEAT for at, word in beat.figure.counted_places()}


def _timings(deviations: Sequence[Deviation], name: Callable[[Deviation], str | None]) -> tuple[Timing, ...]:
    groups: dict[str, list[float]] = {}
    for stroke in deviations:
        # Several places are called ta: their strokes must not be counted as those of one.
        if (key := name(stroke)) is not None and key != BETWEEN:
            groups.setdefault(key, []).append(stroke.late)
    return tuple(
        Timing(key, len(late), fmean(late), stdev(late) if len(late) > 1 else 0.0) for key, late in groups.items()
    )


def _again(timing: Timing, before: Report | None) -> bool:
    """Whether the take before leans the same way, by as much as is worth a word."""
    earlier = next((other for other in before.places if other.name == timing.name), None) if before else None
    # In two takes running: within one, a lean may be the mood of a moment.
    return earlier is not None and earlier.mean * timing.mean > 0 and abs(earlier.mean) > WORTH_A_WORD


def _wrong_hands(reading: Reading, right: Sequence[int], sticking: Hands) -> Iterable[WrongHand]:
    for number in right:
        beat = reading.beats[number]
        assert beat.figure is not None
        wanted = dict(zip(beat.figure.onsets, sticking[number % len(sticking)], strict=False))
        placed = [stroke for stroke in beat.strokes if stroke.at is not None]
        for place, stroke in enumerate(placed):
            if stroke.at is not None and stroke.stroke.hand and stroke.stroke.hand != wanted.get(stroke.at):
                yield WrongHand(number, place)


def _sentence(
    reading: Reading,
    written: Bar | None,
    otherwise: Sequence[int],
    habits: Sequence[Timing],
    drift: float | None,
    measured: bool,
    words: Words,
) -> str:
    """The one sentence of a report, about the first of these that holds.

    Nothing came in, another figure, a habit, a wide spread, a drift, all ahead of or behind the click, all is well.
    """
    if reading.verdict in UNHEARD:
        return UNHEARD[reading.verdict]
    if otherwise and written:
        return _other_figure(reading, written, otherwise[0], words)
    # Before the spread: a place that always comes late widens it, and can be mended by itself.
    if habits:
        return _habit(max(habits, key=lambda timing: abs(timing.mean)), words)
    if reading.spread > STEADY or reading.verdict == SLOWER:
        return _too_wide(reading)
    if drift is not None and abs(drift) >= DRIFT:
        by = f"{abs(drift):.0%}"
        return f"You got faster, by {by} over the take." if drift > 0 else f"You got slower, by {by} over the take."
    # Without a click there is nothing that the strokes could be ahead of.
    if drift is None and abs(reading.offset) >= max(ALTOGETHER, 2 * reading.offset_sd):
        return _altogether(reading, measured)
    if any(beat.figure is None for beat in reading.beats):
        return "Not every beat is sure: play it once more."
    exactly = _exactly(reading)
    return f"Very steady{exactly}." if reading.spread <= VERY_STEADY else f"Steady{exactly}."


def _too_wide(reading: Reading) -> str:
    if reading.verdict == SLOWER or reading.spread > UNEVEN:
        return "The strokes lie too far apart for this tempo: play it slower."
    return f"The strokes are uneven{_exactly(reading)}: play it a little slower."


def _other_figure(reading: Reading, written: Bar, number: int, words: Words) -> str:
    meter = len(written.figures)
    figure, beat = reading.beats[number].figure, number % meter + 1
    assert figure is not None
    played, wanted = (as_shown(one.count_on(beat), words) for one in (figure, written.figures[beat - 1]))
    bar = number // meter + 1
    # In a take of one bar its number would say nothing.
    if len(reading.beats) <= meter:
        if figure.is_rest:
            return f"You played nothing on beat {beat}; written is {wanted}."
        return f"You played {played}; written is {wanted}."
    if figure.is_rest:
        return f"In bar {bar} you played nothing on beat {beat}; written is {wanted}."
    return f"In bar {bar} you played {played}; written is {wanted}."


def _habit(timing: Timing, words: Words) -> str:
    place = "first stroke of the beat" if timing.name == ON_THE_BEAT else as_shown(timing.name, words)
    side = "late" if timing.mean > 0 else "early"
    return f"The {place} comes {side}, by about {_rounded(timing)} ms, in this take and the one before."


def _rounded(timing: Timing) -> int:
    """The mean in milliseconds, to the 1, 5 or 10 that its error allows."""
    step = 1 if timing.error < 0.0015 else 5 if timing.error < 0.004 else 10
    # At least one step: what is named a habit must not be told as 0 ms.
    return max(step, step * round(abs(timing.mean) * 1000 / step))


def _exactly(reading: Reading) -> str:
    return f", {reading.spread * 1000:.0f} ms about their places" if len(reading.beats) >= TOLD_EXACTLY else ""


def _altogether(reading: Reading, measured: bool) -> str:
    step = 1 if reading.offset_sd < 0.0015 else 5
    late = step * round(abs(reading.offset) * 1000 / step)
    side = "after" if reading.offset > 0 else "before"
    whose = "" if measured else ", your sound's delay included"
    return f"You play about {late} ms {side} the click{whose}: no fault."
