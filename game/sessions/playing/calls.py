"""Call and answer: the calls, and their course: groove, call and the player's reply, again and again, as one sound."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import ceil, floor
from random import Random

from game.sessions.hearing.hearing import Hearing
from game.sessions.playing.playing import Run
from game.sessions.playing.replies import ReplyRule
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.fills import fill_of
from shared.orchestration import FIGURE, Setting, arrange, count_in, landed
from shared.passages import Passage, Stroke
from shared.playability import cautions

NUMBERS = (4, 8)
"""How many calls there may be."""

COUNT_IN, GROOVE, CALL, REPLY = "Count-in", "Groove", "Listen", "Answer"
"""The words for the bars of a course."""

LEADING = (CALL, REPLY)
"""The bars that lead, as a fill does, to a crash on the next 1 of the groove."""

REST = 2.6
"""The least time, in seconds, for which the groove goes on before a call: what was read is looked at meanwhile."""

TRIES = 60
"""So often a call is drawn anew until hands can play it."""

AHEAD = 8
"""So many bars of groove lie ahead while a player picks."""

LONGEST = 48
"""After so many bars in which nobody did anything the groove ends: a room left alone falls silent."""

HISTORY = 3
"""So many bars before the present one stay in the sound that goes on: cymbals still ring."""


def drawn_calls(
    meter: Meter, figures: Sequence[Figure], number: int, tempo: float, seed: int, lead: str = "R"
) -> tuple[Bar, ...]:
    """So many bars of figures that hands can play on the snare drum at a tempo, no two alike where that can be.

    Where no bar can be played so fast, the one that asks least of the hands is taken.
    """
    random = Random(f"calls/{meter.name}/{seed}")
    found: list[Bar] = []
    while len(found) < number:
        found.append(_drawn(meter, figures, tempo, lead, random, found))
    return tuple(found)


def _drawn(
    meter: Meter, figures: Sequence[Figure], tempo: float, lead: str, random: Random, before: Sequence[Bar]
) -> Bar:
    least: tuple[int, Bar] | None = None
    for _ in range(TRIES):
        bar = Bar(meter, tuple(random.choices(figures, k=meter.beats)))
        # One figure over and over is no bar to be found by ear.
        if bar in before or len(set(bar.figures)) < min(2, len(set(figures))):
            continue
        hard = len(cautions(fill_of([bar]), tempo, lead))
        if not hard:
            return bar
        if least is None or hard < least[0]:
            least = hard, bar
    # Where there are too few figures for another bar, no try came so far as to be judged: a call may then come again.
    return least[1] if least else bar


@dataclass(frozen=True)
class CoursePart:
    """A bar of a course: the word for it, and the number, from 0, of the call that it is or leads to."""

    word: str
    call: int


@dataclass(frozen=True)
class CallCourse:
    """The bars that sound one after the other, in one passage.

    ``setting`` says tempo, groove and leading hand; feel and swing are left out of it, as what is played is read
    against even places.  Where it is ``bare``, only the click sounds under a reply: a microphone would hear the rest.
    """

    calls: tuple[Bar, ...]
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
            plain = Setting("snare", self.setting.tempo, count_in=False, lead=lead)
            strokes += (*arrange(self.calls[part.call], plain).strokes, *groove.cymbals(meter, lead, beats))
        else:
            strokes += (Stroke(0, beat, Fraction(0), "click", 1.0 if beat == 1 else FIGURE) for beat in beats)
            strokes += () if self.bare else groove.cymbals(meter, lead, beats)
        return (replace(stroke, bar=place) for stroke in strokes)

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


@dataclass(frozen=True)
class CallPlan:
    """The choices before the first call: the rule for replies, the figures allowed, the calls, and how they sound."""

    rule: ReplyRule
    allowed: tuple[Figure, ...]
    calls: tuple[Bar, ...]
    setting: Setting


def played_course(calls: Sequence[Bar], setting: Setting, bare: bool = False) -> CallCourse:
    """The whole course of calls that are answered by playing; a groove bar closes it."""
    rest = ceil(REST / (calls[0].meter.beats * 60 / setting.tempo))
    parts = [CoursePart(COUNT_IN, 0)]
    for number in range(len(calls)):
        parts += [CoursePart(GROOVE, number)] * rest
        parts += [CoursePart(CALL, number), CoursePart(REPLY, number)]
    # The last reply needs its groove too: it lands there, and is read meanwhile.
    closing = [CoursePart(GROOVE, len(calls))] * rest
    return CallCourse(tuple(calls), setting, (*parts, *closing), bare)


def picked_course(calls: Sequence[Bar], setting: Setting, number: int) -> CallCourse:
    """The course up to one call that is answered by picking: after it the groove goes round."""
    parts = (CoursePart(COUNT_IN, number), CoursePart(GROOVE, number), *call_parts(number))
    return CallCourse(tuple(calls), setting, parts)


def call_parts(number: int) -> tuple[CoursePart, ...]:
    """A call, from 0, and the groove after it."""
    return CoursePart(CALL, number), *groove_parts(number)


def groove_parts(number: int, bars: int = AHEAD) -> tuple[CoursePart, ...]:
    """Bars of groove in which a call is answered."""
    return (CoursePart(GROOVE, number),) * bars
