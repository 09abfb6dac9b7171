"""Playing: a bar is heard or seen, played along a click, and read; the tempo climbs in small steps and falls again.

In steps a bar grows: its first beat is played over and over until it sits, then two beats, until the whole bar does.

Without a window, a clock or a disk: times and strokes are passed in, and what is to be kept is handed back.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
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
from game.sessions.inputs import MICROPHONE, Input, InputDevice
from game.sessions.playing.report import STEADY, UNEVEN, Report, report, timing_of
from shared import passages
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import Level, vocabulary
from shared.orchestration import Setting, arrange
from shared.passages import Passage
from shared.reading import NOTHING, SLOWER, UNCLEAR, Habits, Placed, ReadBeat, Reading
from shared.sticking import Hands, natural
from shared.strokes import EARLY, TakeStroke
from shared.strokes import Take as Strokes

FASTER, SLOWER_BY = 6.0, 6.0
"""By how many beats a minute the tempo climbs after a take as it was written, and falls after another."""

SLOWEST = 40.0
"""The tempo never falls below this, in beats a minute, unless the level is slower."""

CUED = 2
"""On so many beats before the bar the player may strike along, which tells how late this player's strokes come in."""

SETTLING = 2
"""So many takes the player is asked to strike along; after them that is known well enough."""

LOOPS = 4
"""How many times a bar goes round in one take where it is played in steps."""

UNDER = frozenset({"closed-hat", "open-hat", "foot-hat", "ride", "kick"})
"""The instruments of a groove that go on under what is played over and over."""

SITS = 2
"""A bar sits once it was as written so many times running."""

AFTER = 0.5
"""How long a take goes on after the bar, in beats: the last stroke may come late."""

WIDELY_READ = ("semiquaver", "triplet", "compound quaver")
"""The grids of which every figure is looked for where a level has one of them: a missed stroke makes another figure."""

LISTEN, COUNT_IN, PLAY, OVER = "Listen", "Count-in", "Play", "Bar over"
AS_WRITTEN, AS_YOU_PLAYED = "As written", "As you played"

WANTED = Reason("To be played back.")

AUDIBLE = 0.3
"""A stroke is played again at this velocity at least, so that none is lost under the click."""

MOST_ATTEMPTS = 100
"""Takes of one bar beyond so many are not counted any more."""


class PlayingWay(Enum):
    """The ways of playing: a bar that is heard, one that is seen, one that is heard and named first."""

    BACK = "Play it back"
    WRITTEN = "Play what is written"
    SAID = "Say it and play it"


class Reader(Protocol):
    """The function that reads strokes into figures: ``audio.reading.read`` for one."""

    def __call__(
        self, take: Strokes, figures: Sequence[Figure], tempo: float, beats: int, device: Habits, /, *, cued: int
    ) -> Reading:
        """Read a take of ``beats`` beats; see there."""


@dataclass(frozen=True)
class TakeRecord:
    """The takes to be kept; ``answers`` are the rows for the log, each lot under the name of its question."""

    takes: tuple[Take, ...]
    answers: tuple[tuple[str, tuple[Answer, ...]], ...]


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
    answers: tuple[tuple[Answer, ...], ...]

    @property
    def to_keep(self) -> TakeRecord | None:
        """The record of it that is to be kept; None where there is nothing to keep."""
        if self.take is None:
            return None
        answers = tuple((self.question, rows) for rows in self.answers)
        return TakeRecord((self.take,), answers)

    @property
    def strokes_to_keep(self) -> TakeRecord | None:
        """Its strokes alone, where what was played was no answer to the bar."""
        return TakeRecord((replace(self.take, question=None, timing=()),), ()) if self.take else None

    @property
    def right(self) -> tuple[bool, ...]:
        """Of each time the bar was played, whether every beat was told, as the figure that is written."""
        rounds = self.reading.bars(self.bar.meter.beats)
        return tuple(tuple(beat.figure for beat in beats) == self.bar.figures for beats in rounds)

    @property
    def as_written(self) -> bool:
        """Whether the bar was as written each time."""
        return all(self.right)

    @property
    def sits(self) -> bool:
        """Whether it was as written to the end, and evenly enough."""
        return all(self.right[-SITS:]) and self.reading.spread <= UNEVEN and not self.reading.verdict

    @property
    def shown(self) -> int:
        """Which time, from 0, is shown and heard again: the first that was otherwise, else not sure, else the last."""
        if self.report.otherwise:
            return self.report.otherwise[0] // self.bar.meter.beats
        return self.right.index(False) if False in self.right else len(self.right) - 1

    @property
    def beats(self) -> tuple[ReadBeat, ...]:
        """The beats of the time that is shown."""
        meter = self.bar.meter.beats
        return self.reading.beats[self.shown * meter : (self.shown + 1) * meter]

    @property
    def beat_seconds(self) -> float:
        """How long a beat lasts."""
        return 60 / self.tempo

    def place_of(self, placed: Placed) -> float:
        """Where a stroke lies in the bar that is shown, in beats, the offset of the whole take taken off."""
        place = (placed.stroke.seconds - self.reading.offset) / self.beat_seconds
        return place - self.shown * self.bar.meter.beats


@dataclass(frozen=True)
class Run:
    """The sound of one take: its passage, a word for each of its bars, and when the bar to be played begins.

    The bar is played ``rounds`` times.  On ``cued`` beats before it the player may strike along.
    """

    hearing: Hearing
    begins: float
    rounds: int = 1
    cued: int = CUED

    @property
    def beats(self) -> int:
        """How many beats are to be played."""
        return self.rounds * self.hearing.passage.meter.beats

    @property
    def alone(self) -> float:
        """Until when nobody plays along, in seconds from the start of the sound."""
        # Half a beat before the first beat that may be struck along with; without any, the first stroke's leeway.
        before = self.cued + 0.5 if self.cued else EARLY
        return self.begins - before * self.hearing.passage.beat_seconds

    @property
    def ends(self) -> float:
        """When the take is over, in seconds from the start of the sound."""
        return self.begins + (self.beats + AFTER) * self.hearing.passage.beat_seconds

    def strokes(self, struck: Sequence[Input], instrument: InputDevice) -> tuple[TakeStroke, ...]:
        """The inputs as strokes of the take, in seconds from the beginning of the bar.

        Strokes while the bar was heard, and long after its end, are left out.
        """
        # Whoever drums along while the bar is heard first has not begun the take yet.
        return tuple(instrument.stroke(one, self.begins) for one in struck if self.alone < one.seconds < self.ends)


class Playing:
    """Bars to be played, one after another, as long as the player likes.

    ``figures`` are those that the bars are made of, drawn by ``weights`` (none: evenly); ``read`` reads a take;
    ``lead`` is the leading hand and ``seed`` settles all that is random.  ``tempo``, in beats a minute, is that of
    the next take; it begins at the level's slowest.  ``instrument`` is what is played on and ``device`` what is known
    of the player on it.  ``in_steps`` a bar is played over and over, at first only its first ``size`` beats.  ``kind``
    is that of the answers; what is played ``at_sight``, the first time, tells of reading.
    """

    def __init__(
        self, level: Level, figures: Sequence[Figure], read: Reader, seed: int, lead: str = "R", in_steps: bool = False,
        weights: Sequence[float] | None = None,
    ) -> None:  # fmt: skip
        if not any(figure.onsets for figure in figures):
            raise SessionError(f"level {level.name}: none of its figures has a stroke to be played")
        self.level, self.lead = level, lead
        self.tempo = float(level.tempo.low)
        self.kind, self.at_sight = "practice", False
        self.takes = 0
        self.attempt = 0
        self.played: Played | None = None
        self._figures, self._weights, self._seed = tuple(figures), weights, seed
        self.instrument, self.device, self.in_steps = InputDevice(), Habits(), in_steps
        self._read, self.readable = read, read_figures(level)
        self._random = Random(f"playing/{level.name}/{seed}")
        self._before: Report | None = None
        self._number = 0
        self._id = ""
        self.whole_bar: Bar | None = None
        self._draw()

    @property
    def settling(self) -> bool:
        """Whether the player is asked to strike along with the end of the count-in."""
        return self.takes < SETTLING

    @property
    def bar(self) -> Bar:
        """The bar to be played: in steps its first beats, the others silent."""
        assert self.whole_bar is not None
        silent = Figure((), self.whole_bar.meter.compound)
        return self.whole_bar.with_figures(dict.fromkeys(range(self.size, self.whole_bar.meter.beats), silent))

    @property
    def whole(self) -> bool:
        """Whether the bar is played to its end."""
        return self.size == self.level.meter.beats

    def play_on(self, instrument: InputDevice, read: Reader, device: Habits) -> None:
        """Let the player play on something else."""
        if (instrument, read) != (self.instrument, self._read):
            # Hands time strokes otherwise on another thing: a habit of the old one must not be confirmed by the new.
            self._before = None
        self.instrument, self._read, self.device = instrument, read, device

    def run(self, heard_first: bool) -> Run:
        """The sound of the next take; ``heard_first`` with the bar before the count-in."""
        # Before a microphone the groove would be heard as strokes of the player's.
        groove = self.in_steps and self.instrument.source != MICROPHONE
        return run_of(self.bar, self.setting, heard_first, LOOPS if self.in_steps else 1, groove)

    def take(self, struck: Sequence[Input], run: Run, at: float, measured: bool = False) -> Played:
        """Read what was struck while the sound ran; ``at`` in seconds since the epoch.

        ``measured``: no delay of the sound is in the times of the strokes.
        """
        strokes = run.strokes(struck, self.instrument)
        found = self._read(strokes, self.readable, self.tempo, run.beats, self.device, cued=run.cued)
        found = made_out(found, self.instrument.source)
        reading = unjudged(found) if found.verdict in (SLOWER, UNCLEAR) else found
        sticking = natural(self.bar, self.lead)
        told = report(reading, self.bar, sticking, self._before, measured=measured, words=self.level.shown)
        if found.verdict in (NOTHING, UNCLEAR):
            self.played = Played(self.bar, self.tempo, sticking, reading, told, "", None, ())
            return self.played
        self.takes += 1
        # Named by its first take: later takes of the bar are further attempts at the same question.
        self._id = self._id or question_id("playing", self.level.name, self._seed, self._number, at)
        self.played = Played(
            self.bar,
            self.tempo,
            sticking,
            reading,
            told,
            self._id,
            self._kept(strokes, at, told),
            tuple(self._answers(reading, at)),
        )
        # A take that could not be read well says nothing of the sound's delay either.
        if not found.verdict:
            self.device, self._before = self.device.after(found), told
        self.tempo = self._next_tempo(self.played)
        return self.played

    def settle(self, struck: Sequence[Input], run: Run) -> None:
        """Learn how late this player's strokes come in from a bar of clicks, where they were struck along."""
        beat, silent = Figure((Fraction(0),), self.level.meter.compound), Figure((), self.level.meter.compound)
        strokes = run.strokes(struck, self.instrument)
        found = self._read(strokes, (beat, silent), self.tempo, run.beats, self.device, cued=run.cued)
        # Half of them at least: one stroke or two may have been anything.
        if not found.verdict and found.figures.count(beat) * 2 >= run.beats:
            self.device = self.device.after(found)

    def put(self, bar: Bar, tempo: float) -> None:
        """Take a bar that was drawn elsewhere, whole and at a tempo."""
        # By way of the next number, so that the bar gets a name of its own in the log; what is drawn there is dropped.
        self.go_on()
        self.whole_bar, self.size, self.tempo = bar, bar.meter.beats, tempo

    @property
    def grows(self) -> bool:
        """Whether more of the same bar comes next, rather than another bar."""
        return self.in_steps and not self.whole and self.played is not None and self.played.sits

    def go_on(self) -> None:
        """Leave this bar for another, or in steps, once it sits, for more of it."""
        grows = self.grows
        self._number, self._id, self.attempt, self.played = self._number + 1, "", 0, None
        if grows:
            self.size += 1
        else:
            self._draw()

    def said_question(self, at: float) -> Question:
        """The bar as a question to the ear, put at a time in seconds since the epoch."""
        name = question_id("said", self.level.name, self._seed, self._number, at)
        return Question(self.bar, tuple(range(self.size)), self.level.figures, self.setting, WANTED, name)

    # What is heard afterwards

    def as_written(self) -> Hearing:
        """The last take's bar as it is written, along the click."""
        played = self._last
        return whole_bar(played.bar, replace(self.setting, tempo=played.tempo), AS_WRITTEN)

    def as_played(self) -> Hearing:
        """The last take as it was played, along the click."""
        played = self._last
        silent = Bar(played.bar.meter, (Figure((), played.bar.meter.compound),) * played.bar.meter.beats)
        plain = arrange(silent, replace(self.setting, tempo=played.tempo))
        strokes = [_placed(played, placed, plain.figure_bar) for beat in played.beats for placed in beat.strokes]
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
    def setting(self) -> Setting:
        """How the bar sounds, and at which tempo."""
        return Setting("snare", self.tempo, lead=self.lead, click=True)

    def _next_tempo(self, played: Played) -> float:
        """Up after a steady take as written, down after another figure or strokes too wide apart; else as it is."""
        low, high = min(SLOWEST, self.level.tempo.low), self.level.tempo.high
        # It went wrong at first and sits now: that is ready for more of the bar, not for more speed.
        if played.sits and not played.as_written:
            return self.tempo
        if played.report.otherwise or played.reading.verdict == SLOWER or played.reading.spread > UNEVEN:
            return max(low, self.tempo - SLOWER_BY)
        if played.as_written and played.reading.spread <= STEADY and self.whole:
            return min(high, self.tempo + FASTER)
        return self.tempo

    def _draw(self) -> None:
        """Take another bar, from its beginning: its first beat, or in steps as many as it takes for a stroke."""
        self.whole_bar = self._drawn(self.whole_bar)
        first = next(number for number, figure in enumerate(self.whole_bar.figures, 1) if figure.onsets)
        self.size = first if self.in_steps else self.whole_bar.meter.beats

    def _drawn(self, before: Bar | None) -> Bar:
        """A bar of the figures, with a stroke on it, and not the same one again where there are others."""
        meter = self.level.meter
        # Fifty bars of rests, or the same bar fifty times, come only where there is hardly anything else to draw: then
        # a bar of struck figures does, be it the same again.
        for _ in range(50):
            bar = Bar(meter, tuple(self._random.choices(self._figures, self._weights, k=meter.beats)))
            if bar != before and any(figure.onsets for figure in bar.figures):
                break
        else:
            struck = [figure for figure in self._figures if figure.onsets]
            bar = Bar(meter, tuple(self._random.choices(struck, k=meter.beats)))
        return bar

    def _kept(self, strokes: Sequence[TakeStroke], at: float, told: Report) -> Take:
        kept = tuple(PlayedStroke(one.seconds, one.hand, one.drum or "snare", one.velocity) for one in strokes)
        uuid = question_id(self._id, self.attempt, at)
        return Take(uuid, at, self._id, self.instrument.source, self.tempo, kept, timing_of(told.deviations))

    def _answers(self, reading: Reading, at: float) -> Iterator[tuple[Answer, ...]]:
        """The rows for each time the bar was played, of the beats that were to be played."""
        places = tuple(range(self.size))
        question = Question(self.bar, places, self.readable, self.setting, WANTED, self._id)
        for beats in reading.bars(self.bar.meter.beats):
            self.attempt += 1
            figures = [beats[place].figure for place in places]
            told = marked(
                question, figures, at, self.level.name, unsure=[figure is None for figure in figures],
                attempt=min(self.attempt, MOST_ATTEMPTS), kind=self.kind,
                ability="reading" if self.at_sight and self.attempt == 1 else "playing",
            )  # fmt: skip
            yield told.answers


def read_figures(level: Level) -> tuple[Figure, ...]:
    """The figures that a beat of a take may be: the level's, those of their usual grids, and silence."""
    grids = {figure.grid for figure in level.figures if figure.grid.name in WIDELY_READ}
    near = [figure for figure in vocabulary().figures if figure.grid in grids]
    return tuple(dict.fromkeys((*level.figures, *near, Figure((), level.meter.compound))))


def run_of(bar: Bar, setting: Setting, heard_first: bool, rounds: int = 1, groove: bool = False) -> Run:
    """The bar if it is to be heard first, a count-in of clicks, so many bars of clicks to play to, and the next 1.

    With a ``groove`` cymbals and bass drum go on under what is played; the snare drum is the player's.
    """
    meter = bar.meter
    heard = arrange(bar, setting) if heard_first else None
    before = heard.bars if heard else 0
    clicks = [
        passages.Stroke(before + k, beat, Fraction(0), "click", 1.0 if beat == 1 else 0.8)
        for k in range(1 + rounds)
        for beat in range(1, meter.beats + 1)
    ]
    kept = (
        [one for one in setting.played_groove.strokes(meter, setting.lead) if one.instrument in UNDER] if groove else []
    )
    # Under the bars that are played, never under the count-in: the ear must know where it begins.
    clicks += [replace(one, bar=before + 1 + k) for k in range(rounds) for one in kept]
    closing = passages.Stroke(before + 1 + rounds, 1, Fraction(0), "click", 1.0)
    passage = Passage(
        meter, setting.tempo, before + 2 + rounds, before + 1, (*(heard.strokes if heard else ()), *clicks, closing)
    )
    plays = [f"{PLAY}, {number} of {rounds}" for number in range(1, rounds + 1)] if rounds > 1 else [PLAY]
    words = ((COUNT_IN, LISTEN) if heard else ()) + (COUNT_IN, *plays, OVER)
    return Run(Hearing(passage, words), passage.time_of_beat(before + 1, 1), rounds)


def made_out(reading: Reading, source: str) -> Reading:
    """A reading of what came in by a source; where it was speech or noise the verdict says so."""
    # Speech and noise have sudden rises too, which go with no beat.
    if source == MICROPHONE and reading.verdict != NOTHING and reading.evidence <= 0:
        return replace(reading, verdict=UNCLEAR)
    return reading


def unjudged(reading: Reading) -> Reading:
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
    # To the nearest tick of a MIDI file, and the rest as a movement in seconds: so it sounds as it was played, and can
    # be written down as well.
    at = min(max(Fraction(place - beat).limit_denominator(480), Fraction(0)), Fraction(479, 480))
    moved = (place - beat - float(at)) * played.beat_seconds
    drum, velocity = placed.stroke.drum or "snare", max(AUDIBLE, placed.stroke.velocity)
    return passages.Stroke(bar, beat + 1, at, drum, velocity, placed.stroke.hand, figure=True, moved=moved)
