"""Play it back: a bar is heard, played along a click, and read; the tempo climbs in small steps and falls after a miss.

Without a window, a clock or a disk: times and strokes are passed in, and what is to be kept is handed back.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor
from random import Random
from typing import Protocol

from game.learning.evidence import Answer
from game.learning.marking import marked
from game.learning.question import Question, Reason, question_id
from game.records.takes import PlayedStroke, Take
from game.sessions import SessionError
from game.sessions.hearing.hearing import Hearing, captioned, in_turn, whole_bar
from game.sessions.inputs import Input
from game.sessions.playing.report import STEADY, UNEVEN, Report, report
from shared import passages
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level, vocabulary
from shared.orchestration import Setting, arrange
from shared.passages import Passage
from shared.reading import NOTHING, SLOWER, Device, Placed, ReadBeat, Reading
from shared.sticking import Hands, natural
from shared.strokes import Stroke
from shared.strokes import Take as Strokes

HANDS = {"f": "L", "j": "R"}
"""The hand of each key; both carry a raised mark, so that they are found without looking."""

FASTER, SLOWER_BY = 6.0, 6.0
"""By how many beats a minute the tempo climbs after a take as it was written, and falls after another."""

SLOWEST = 40.0
"""The tempo never falls below this, in beats a minute, unless the level is slower."""

CUED = 2
"""On so many beats before the bar the player may strike along, which tells how late this player's strokes come in."""

SETTLING = 2
"""So many takes the player is asked to strike along; after them that is known well enough."""

AFTER = 0.5
"""How long a take goes on after the bar, in beats: the last stroke may come late."""

WIDELY_READ = ("semiquaver", "triplet", "compound quaver")
"""The grids of which every figure is looked for where a level has one of them: a missed stroke makes another figure."""

LISTEN, COUNT_IN, PLAY, OVER = "Listen", "Count-in", "Play", "Bar over"
AS_WRITTEN, AS_YOU_PLAYED = "As written", "As you played"

WANTED = Reason("To be played back.")

MOST_ATTEMPTS = 100
"""Takes of one bar beyond so many are not counted any more."""


class Reader(Protocol):
    """What reads strokes into figures: ``audio.reading.read``."""

    def __call__(
        self, take: Strokes, figures: Sequence[Figure], tempo: float, beats: int, device: Device, /, *, cued: int
    ) -> Reading:
        """Read a take of ``beats`` beats; see there."""


@dataclass(frozen=True)
class Played:
    """A take that was read.

    ``reading`` is what it says and ``report`` what there is to say of it; ``take`` is to be kept, and ``answers``
    under the name ``question``.  Of a take without a stroke there is nothing to keep.
    """

    bar: Bar
    tempo: float
    sticking: Hands
    reading: Reading
    report: Report
    question: str
    take: Take | None
    answers: tuple[Answer, ...]

    @property
    def as_written(self) -> bool:
        """Whether every beat was told, as the figure that is written."""
        return self.reading.figures == self.bar.figures

    @property
    def beat_seconds(self) -> float:
        """How long a beat lasts."""
        return 60 / self.tempo

    def place_of(self, placed: Placed) -> float:
        """Where a stroke lies in the bar, in beats, the offset of the whole take taken off."""
        return (placed.stroke.seconds - self.reading.offset) / self.beat_seconds


@dataclass(frozen=True)
class Run:
    """The sound of one take: its passage, a word for each of its bars, and when the bar to be played begins."""

    hearing: Hearing
    begins: float

    @property
    def ends(self) -> float:
        """When the take is over, in seconds from the start of the sound."""
        passage = self.hearing.passage
        return self.begins + (passage.meter.beats + AFTER) * passage.beat_seconds


class Playing:
    """Bars to be played back, one after another, as long as the player likes.

    ``figures`` are those that the bars are made of; ``read`` reads a take; ``lead`` is the leading hand and ``seed``
    settles all that is random.  ``tempo``, in beats a minute, is that of the next take; it begins at the level's
    slowest.
    """

    def __init__(self, level: Level, figures: Sequence[Figure], read: Reader, seed: int, lead: str = "R") -> None:
        if not any(figure.onsets for figure in figures):
            raise SessionError(f"level {level.name}: none of its figures has a stroke to be played")
        self.level, self.lead = level, lead
        self.tempo = float(level.tempo.low)
        self.takes = 0
        self.attempt = 0
        self.played: Played | None = None
        self._figures, self._seed = tuple(figures), seed
        self._read, self._readable = read, read_figures(level)
        self._random = Random(f"playing/{level.name}/{seed}")
        self._device = Device()
        self._before: Report | None = None
        self._number = 0
        self._id = ""
        self.bar = self._drawn()

    @property
    def settling(self) -> bool:
        """Whether the player is asked to strike along with the end of the count-in."""
        return self.takes < SETTLING

    def run(self, heard_first: bool) -> Run:
        """The sound of the next take; ``heard_first`` with the bar before the count-in."""
        return run_of(self.bar, self._setting, heard_first)

    def take(self, struck: Sequence[Input], run: Run, at: float) -> Played:
        """Read what was struck while the sound ran; ``at`` in seconds since the epoch.

        Strokes while the bar was heard, and long after its end, are left out.
        """
        counted = run.begins - (CUED + 0.5) * run.hearing.passage.beat_seconds
        strokes = tuple(
            Stroke(one.seconds - run.begins, HANDS.get(one.name), velocity=one.velocity)
            for one in struck
            if counted < one.seconds < run.ends
        )
        beats = self.bar.meter.beats
        found = self._read(strokes, self._readable, self.tempo, beats, self._device, cued=CUED)
        reading = _unjudged(found) if found.verdict == SLOWER else found
        sticking = natural(self.bar, self.lead)
        told = report(reading, self.bar, sticking, self._before)
        if found.verdict == NOTHING:
            self.played = Played(self.bar, self.tempo, sticking, reading, told, "", None, ())
            return self.played
        self.attempt += 1
        self.takes += 1
        self._id = self._id or question_id("playing", self.level.name, self._seed, self._number, at)
        self.played = Played(
            self.bar, self.tempo, sticking, reading, told, self._id, self._kept(strokes, at), self._answers(reading, at)
        )
        if not found.verdict:
            self._device, self._before = self._device.after(found), told
        self.tempo = self._next_tempo(self.played)
        return self.played

    def go_on(self) -> None:
        """Leave this bar for another."""
        self._number, self._id, self.attempt, self.played = self._number + 1, "", 0, None
        self.bar = self._drawn()

    # What is heard afterwards

    def as_written(self) -> Hearing:
        """The last take's bar as it is written, along the click."""
        played = self._last
        return whole_bar(played.bar, replace(self._setting, tempo=played.tempo), AS_WRITTEN)

    def as_played(self) -> Hearing:
        """The last take as it was played, along the click."""
        played = self._last
        silent = Bar(played.bar.meter, (Figure((), played.bar.meter.compound),) * played.bar.meter.beats)
        plain = arrange(silent, replace(self._setting, tempo=played.tempo))
        strokes = [_placed(played, placed, plain.figure_bar) for placed in played.reading.strokes]
        return captioned(replace(plain, strokes=(*plain.strokes, *strokes)), AS_YOU_PLAYED)

    def in_turn(self) -> Hearing:
        """As it is written, then as it was played."""
        return in_turn(self.as_written(), self.as_played())

    # The rules

    @property
    def _last(self) -> Played:
        if self.played is None:
            raise SessionError("play the bar first")
        return self.played

    @property
    def _setting(self) -> Setting:
        return Setting("snare", self.tempo, lead=self.lead, click=True)

    def _next_tempo(self, played: Played) -> float:
        """Up after a steady take as written, down after another figure or strokes too wide apart; else as it is."""
        low, high = min(SLOWEST, self.level.tempo.low), self.level.tempo.high
        if played.report.otherwise or played.reading.verdict == SLOWER or played.reading.spread > UNEVEN:
            return max(low, self.tempo - SLOWER_BY)
        if played.as_written and played.reading.spread <= STEADY:
            return min(high, self.tempo + FASTER)
        return self.tempo

    def _drawn(self) -> Bar:
        """A bar of the figures, with a stroke on it, and not the same one again where there are others."""
        meter, before = self.level.meter, getattr(self, "bar", None)
        for _ in range(50):
            bar = Bar(meter, tuple(self._random.choices(self._figures, k=meter.beats)))
            if bar != before and any(figure.onsets for figure in bar.figures):
                break
        else:
            struck = [figure for figure in self._figures if figure.onsets]
            bar = Bar(meter, tuple(self._random.choices(struck, k=meter.beats)))
        return bar

    def _kept(self, strokes: Sequence[Stroke], at: float) -> Take:
        kept = tuple(PlayedStroke(one.seconds, one.hand, one.drum or "snare", one.velocity) for one in strokes)
        return Take(question_id(self._id, self.attempt, at), at, self._id, "keys", self.tempo, kept)

    def _answers(self, reading: Reading, at: float) -> tuple[Answer, ...]:
        places = tuple(range(self.bar.meter.beats))
        question = Question(self.bar, places, self._readable, self._setting, WANTED, self._id)
        unsure = [figure is None for figure in reading.figures]
        attempt = min(self.attempt, MOST_ATTEMPTS)
        told = marked(question, reading.figures, at, self.level.name, unsure=unsure, attempt=attempt, ability="playing")
        return told.answers


def read_figures(level: Level) -> tuple[Figure, ...]:
    """What a beat of a take may be: the level's figures, those of their usual grids, and silence."""
    grids = {figure.grid for figure in level.figures if figure.grid.name in WIDELY_READ}
    near = [figure for figure in vocabulary().figures if figure.grid in grids]
    return tuple(dict.fromkeys((*level.figures, *near, Figure((), level.meter.compound))))


def run_of(bar: Bar, setting: Setting, heard_first: bool) -> Run:
    """The bar if it is to be heard first, a count-in of clicks, a bar of clicks to play to, and the next 1."""
    meter = bar.meter
    heard = arrange(bar, setting) if heard_first else None
    before = heard.bars if heard else 0
    clicks = [
        passages.Stroke(before + k, beat, Fraction(0), "click", 1.0 if beat == 1 else 0.8)
        for k in range(2)
        for beat in range(1, meter.beats + 1)
    ]
    closing = passages.Stroke(before + 2, 1, Fraction(0), "click", 1.0)
    passage = Passage(
        meter, setting.tempo, before + 3, before + 1, (*(heard.strokes if heard else ()), *clicks, closing)
    )
    words = ((COUNT_IN, LISTEN) if heard else ()) + (COUNT_IN, PLAY, OVER)
    return Run(Hearing(passage, words), passage.time_of_beat(before + 1, 1))


def _unjudged(reading: Reading) -> Reading:
    """A reading whose strokes lie too far apart to tell figures: then none is told, not even a likely one."""
    beats = tuple(
        ReadBeat(
            None, beat.likeliest, beat.certainty, beat.rival, beat.rival_certainty,
            tuple(Placed(placed.stroke) for placed in beat.strokes),
        )
        for beat in reading.beats
    )  # fmt: skip
    return replace(reading, beats=beats)


def _placed(played: Played, placed: Placed, bar: int) -> passages.Stroke:
    """A stroke as it was played, in a passage."""
    place = played.place_of(placed)
    beat = min(max(floor(place), 0), played.bar.meter.beats - 1)
    at = min(max(Fraction(place - beat).limit_denominator(480), Fraction(0)), Fraction(479, 480))
    moved = (place - beat - float(at)) * played.beat_seconds
    return passages.Stroke(bar, beat + 1, at, "snare", 0.8, placed.stroke.hand, figure=True, moved=moved)
