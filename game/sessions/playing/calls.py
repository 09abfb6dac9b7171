"""Call and answer: the calls, and their course: groove, call and the player's reply, again and again, as one sound."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import ceil, floor
from random import Random

from game.sessions.fills.keeping import fill_of_bar
from game.sessions.hearing.hearing import Hearing
from game.sessions.playing.playing import Reader, Run
from game.sessions.playing.replies import ReplyRule
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.fills import Fill
from shared.levels import Level
from shared.orchestration import FIGURE, ORCHESTRATIONS, Setting, count_in, in_time, landed
from shared.passages import Passage, Stroke
from shared.playability import cautions
from shared.reading import Habits, Reading
from shared.strokes import Take as Strokes
from shared.strokes import TakeStroke
from shared.swing import STRAIGHT, evened

NUMBERS = (4, 8)
"""How many calls there may be."""

COUNT_IN, GROOVE, CALL, REPLY = "Count-in", "Groove", "Listen", "Answer"
"""The words for the bars of a course."""

LEADING = (CALL, REPLY)
"""The bars that lead, as a fill does, to a crash on the next 1 of the groove."""

REST = 2.6
"""The least time, in seconds, for which the groove goes on before a call: what was read is looked at meanwhile."""

ON_CYMBALS = ("hat", "ride")
"""The ways round the kit that have the figure on a cymbal."""

TRIES = 60
"""So often a call is drawn anew until hands can play it."""

AHEAD = 8
"""So many bars of groove lie ahead while a player picks."""

LONGEST = 48
"""After so many bars in which nobody did anything the groove ends: a room left alone falls silent."""

HISTORY = 3
"""So many bars before the present one stay in the sound that goes on: cymbals still ring."""


def calling_ways(level: Level) -> tuple[str, ...]:
    """The level's ways round the kit by which a call can be played, in its order; the snare drum where it has none.

    A figure on a cymbal would be lost under the groove's, and one that has but a beat or two of its bar is no call.
    """
    return tuple(
        name for name in level.orchestrations if name not in ON_CYMBALS and not ORCHESTRATIONS[name].fill
    ) or ("snare",)  # fmt: skip


def drawn_calls(
    meter: Meter, figures: Sequence[Figure], number: int, setting: Setting, ways: Sequence[str] = ("snare",)
) -> tuple[Fill, ...]:
    """So many calls, each a bar by one of some ways round the kit, that hands can play at the tempo of the setting.

    No two have the same figures where that can be.  Where no bar can be played so fast, the one that asks least of
    the hands is taken.
    """
    random = Random(f"calls/{meter.name}/{setting.seed}")
    found: list[Fill] = []
    while len(found) < number:
        found.append(_drawn(meter, figures, setting, ways, random, found))
    return tuple(found)


def _drawn(
    meter: Meter, figures: Sequence[Figure], setting: Setting, ways: Sequence[str], random: Random,
    before: Sequence[Fill],
) -> Fill:  # fmt: skip
    least: tuple[int, Fill] | None = None
    taken = [fill.bars for fill in before]
    for _ in range(TRIES):
        bar = Bar(meter, tuple(random.choices(figures, k=meter.beats)))
        way = replace(setting, orchestration=random.choice(ways), seed=random.getrandbits(31))
        call = fill_of_bar(bar, way)
        # One figure over and over is no bar to be found by ear.
        if call.bars in taken or len(set(bar.figures)) < min(2, len(set(figures))):
            continue
        hard = len(cautions(call, setting.tempo, setting.lead))
        if not hard:
            return call
        if least is None or hard < least[0]:
            least = hard, call
    # Where there are too few figures for another bar, no try came so far as to be judged: a call may then come again.
    return least[1] if least else call


def rest_bars(meter: Meter, tempo: float) -> int:
    """The bars of groove before a call, at a tempo in beats a minute."""
    return ceil(REST / (meter.beats * 60 / tempo))


@dataclass(frozen=True)
class CoursePart:
    """A bar of a course: the word for it, and the number, from 0, of the call that it is or leads to."""

    word: str
    call: int


@dataclass(frozen=True)
class CallCourse:
    """The bars that sound one after the other, in one passage.

    ``setting`` says tempo, groove, leading hand, swing and feel; each call has its own drums.  Where it is ``bare``,
    only the click sounds under a reply: a microphone would hear the rest.
    """

    calls: tuple[Fill, ...]
    setting: Setting
    parts: tuple[CoursePart, ...]
    bare: bool = False

    @property
    def meter(self) -> Meter:
        """The meter of every bar."""
        return self.calls[0].meter

    @property
    def bar_seconds(self) -> float:
        """How long a bar lasts."""
        return self.meter.beats * 60 / self.setting.tempo

    @cached_property
    def hearing(self) -> Hearing:
        """The sound, with the word for each bar."""
        words = tuple(part.word for part in self.parts)
        strokes = tuple(stroke for place in range(len(words)) for stroke in self._strokes(place))
        first = words.index(CALL) if CALL in words else 0
        return Hearing(Passage(self.meter, self.setting.tempo, len(words), first, strokes), words)

    def _strokes(self, place: int) -> Iterator[Stroke]:
        part, meter, lead = self.parts[place], self.meter, self.setting.lead
        groove = self.setting.played_groove
        beats = range(1, meter.beats + 1)
        strokes: list[Stroke] = []
        if part.word == COUNT_IN:
            strokes += count_in(meter)
        elif part.word == GROOVE:
            strokes += groove.strokes(meter, lead)
            if place and self.parts[place - 1].word in LEADING:
                strokes = landed(strokes, 0, lead)
        elif part.word == CALL:
            strokes += (*self.calls[part.call].strokes(self.setting), *groove.cymbals(meter, lead, beats))
        else:
            strokes += (Stroke(0, beat, Fraction(0), "click", 1.0 if beat == 1 else FIGURE) for beat in beats)
            strokes += () if self.bare else groove.cymbals(meter, lead, beats)
        return (replace(stroke, bar=place) for stroke in self._moved(strokes, part))

    def _moved(self, strokes: Sequence[Stroke], part: CoursePart) -> Iterator[Stroke]:
        """The strokes of a part with swing and feel; the groove swings as the call that it leads to."""
        # The last groove leads to no further call.
        bar = self.calls[min(part.call, len(self.calls) - 1)].bars[0]
        # By the part and not by its place, which changes as the course goes on: a bar must sound as it began.
        yield from in_time(strokes, bar, self.setting, Random(f"{part.word}/{part.call}/{self.setting.seed}"))

    # Where the sound is

    def begins(self, bar: int) -> float:
        """When a bar, from 0, begins, in seconds from the start of the sound."""
        return bar * self.bar_seconds

    def bar_at(self, seconds: float) -> int:
        """The number of the bar that sounds, from 0."""
        return min(floor(seconds / self.bar_seconds), len(self.parts) - 1)

    def part_at(self, seconds: float) -> CoursePart:
        """The bar that sounds."""
        return self.parts[self.bar_at(seconds)]

    def line_after(self, seconds: float, later: float) -> int:
        """The number of the bar that begins first of those that begin so much later, or more."""
        return ceil((seconds + later) / self.bar_seconds)

    def reply_run(self, number: int) -> Run:
        """The take of one reply: nobody strikes along with the call before it."""
        return Run(self.hearing, self.begins(self.parts.index(CoursePart(REPLY, number))), cued=0)

    # A course that is not settled to its end

    @property
    def call_over(self) -> float:
        """When the last call of the course is over, in seconds from the start of the sound."""
        return self.begins(max(place for place, part in enumerate(self.parts) if part.word == CALL) + 1)

    def calls_after(self, seconds: float) -> bool:
        """Whether a call sounds, or is still to come."""
        return any(part.word == CALL for part in self.parts[self.bar_at(seconds) :])

    def going_on(self, here: int, line: int, parts: Sequence[CoursePart]) -> tuple["CallCourse", float]:
        """The course with other ``parts`` from bar ``line`` on, while bar ``here`` sounds.

        Bars that are long over are let go of, lest the sound grow without end: the number is how many seconds of the
        present sound lie before the new one.
        """
        first = max(0, here - HISTORY)
        # A call brings the crash that lands it on the next bar, which may ring as long.
        if first and self.parts[first - 1].word in LEADING:
            first -= 1
        kept = self.parts[first:line]
        waiting = [CoursePart(GROOVE, self.parts[-1].call)] * (line - first - len(kept))
        return replace(self, parts=(*kept, *waiting, *parts)), self.begins(first)


def swinging(read: Reader, swing: float) -> Reader:
    """A reader for strokes that may be swung as the calls are: of a straight and a swung reading the likelier.

    The strokes of what it gives are set straight: their times tell the figures, and nothing of the delay.
    """

    def read_swung(
        take: Strokes, figures: Sequence[Figure], tempo: float, beats: int, device: Habits, /, *, cued: int
    ) -> Reading:
        found = read(take, figures, tempo, beats, device, cued=cued)
        for pair in (Fraction(1), Fraction(1, 2)):
            straight = tuple(_straight(stroke, pair, swing, tempo, device.offset) for stroke in take)
            other = read(straight, figures, tempo, beats, device, cued=cued)
            if other.evidence > found.evidence:
                found = other
        return found

    return read_swung if swing != STRAIGHT else read


def _straight(stroke: TakeStroke, pair: Fraction, swing: float, tempo: float, late: float) -> TakeStroke:
    """A stroke that comes so many seconds late, as if it were played straight."""
    place = evened((stroke.seconds - late) * tempo / 60, pair, swing)
    return replace(stroke, seconds=place * 60 / tempo + late)


@dataclass(frozen=True)
class CallPlan:
    """The choices before the first call: the rule for replies, the figures allowed, the calls, and how they sound."""

    rule: ReplyRule
    allowed: tuple[Figure, ...]
    calls: tuple[Fill, ...]
    setting: Setting

    @property
    def rest(self) -> int:
        """The bars of groove before each call."""
        return rest_bars(self.calls[0].meter, self.setting.tempo)


def played_course(calls: Sequence[Fill], setting: Setting, bare: bool = False) -> CallCourse:
    """The whole course of calls that are answered by playing; a groove bar closes it."""
    rest = rest_bars(calls[0].meter, setting.tempo)
    parts = [CoursePart(COUNT_IN, 0)]
    for number in range(len(calls)):
        parts += [CoursePart(GROOVE, number)] * rest
        parts += [CoursePart(CALL, number), CoursePart(REPLY, number)]
    # The last reply needs its groove too: it lands there, and is read meanwhile.
    closing = [CoursePart(GROOVE, len(calls))] * rest
    return CallCourse(tuple(calls), setting, (*parts, *closing), bare)


def picked_course(calls: Sequence[Fill], setting: Setting, number: int) -> CallCourse:
    """The course up to one call that is answered by picking: after it the groove goes round."""
    parts = (CoursePart(COUNT_IN, number), CoursePart(GROOVE, number), *call_parts(number))
    return CallCourse(tuple(calls), setting, parts)


def call_parts(number: int) -> tuple[CoursePart, ...]:
    """A call, from 0, and the groove after it."""
    return CoursePart(CALL, number), *groove_parts(number)


def groove_parts(number: int, bars: int = AHEAD) -> tuple[CoursePart, ...]:
    """Bars of groove in which a call is answered."""
    return (CoursePart(GROOVE, number),) * bars
