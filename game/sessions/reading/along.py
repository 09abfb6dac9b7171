"""Playing a chart along: the run to which it is played, and what was played, bar by bar.

The fills are the player's; in bars of groove the player plays time, or rests while the groove goes on.  Figures alone
are judged, and never drums: most of what is played on has but one sound.  Where a kit tells its drums, strokes on
another one than written are told besides.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from fractions import Fraction
from functools import cached_property

from game.learning.evidence import Answer
from game.learning.marking import marked
from game.learning.question import Question, question_id
from game.records.takes import PlayedStroke, Take
from game.sessions.hearing.hearing import Hearing, captioned
from game.sessions.inputs import MICROPHONE, Input, InputDevice
from game.sessions.playing.playing import (
    AS_WRITTEN,
    AS_YOU_PLAYED,
    COUNT_IN,
    CUED,
    MOST_ATTEMPTS,
    OVER,
    WANTED,
    Reader,
    Run,
    TakeRecord,
    made_out,
    read_figures,
    unjudged,
)
from game.sessions.playing.report import UNHEARD, Deviation, report, timing_of, unsure_words
from game.wording import counted
from shared.bars import Meter
from shared.charts import Chart
from shared.counting import Words, as_shown
from shared.figures import Figure
from shared.fills import DRUMS, Fill, FillBeat, FillStroke
from shared.grooves import Groove
from shared.levels import Level
from shared.orchestration import Setting
from shared.passages import Stroke
from shared.reading import NOTHING, SLOWER, Habits, ReadBeat, Reading
from shared.strokes import TakeStroke
from shared.swing import STRAIGHT

TOGETHER = 0.03
"""Strokes that come within so many seconds are one: cymbal and bass drum of a kit are struck together."""

TOO_UNEVEN = "The strokes lie too far apart for this tempo: play it slower (S)."

ONE_DRUM = (("snare", "ghost", "cross-stick"), ("closed-hat", "open-hat", "foot-hat"))
"""Instruments that are one drum here: how it was struck, or where its pedal stood, is not asked."""

CYMBALS = frozenset({"closed-hat", "open-hat", "foot-hat", "ride"})


class PlayedAs(Enum):
    """The outcome of a bar that was played: as it is written or not, not sure, or left to the groove."""

    WRITTEN = "as written"
    OTHERWISE = "otherwise"
    UNSURE = "not sure"
    RESTED = "left to the groove"


@dataclass(frozen=True)
class PlayedBar:
    """A bar of a chart as it was played.

    ``place`` is its written bar, from 0, and ``time`` which time it came, from 0.  ``fill`` is what is written there,
    None for the groove; ``grooves`` has, for each beat, the figures with which the groove is played.  ``elsewhere``
    are the strokes of beats as written that were on another drum, as beat from 0 and place in it.
    """

    meter: Meter
    place: int
    time: int
    fill: Fill | None
    beats: tuple[ReadBeat, ...]
    grooves: tuple[frozenset[Figure], ...]
    elsewhere: tuple[tuple[int, Fraction], ...] = ()

    @property
    def otherwise(self) -> tuple[int, ...]:
        """The beats, from 0, that were told and are not what is written."""
        return tuple(number for number, beat in enumerate(self.beats) if beat.figure and not self._fits(number))

    @property
    def unsure(self) -> tuple[int, ...]:
        """The beats of the fill, from 0, that could not be told; in the groove it is all one."""
        return tuple(number for number in self.asked if self.beats[number].figure is None)

    @property
    def asked(self) -> tuple[int, ...]:
        """The beats of the fill, from 0."""
        return self.fill.played if self.fill else ()

    @cached_property
    def result(self) -> PlayedAs:
        """The outcome: the worst that any of its beats came to."""
        if self.otherwise:
            return PlayedAs.OTHERWISE
        if self.unsure:
            return PlayedAs.UNSURE
        if self.fill is None and not any(beat.figure and beat.figure.onsets for beat in self.beats):
            return PlayedAs.RESTED
        return PlayedAs.WRITTEN

    def written(self, beat: int) -> Figure | None:
        """The figure of the fill on a beat, None where the groove goes on."""
        return self.fill.figures[beat] if self.fill else None

    def as_played(self) -> Fill:
        """The bar with what was played on the beats that were otherwise."""
        beats: list[FillBeat | None] = list(self.fill.beats) if self.fill else [None] * len(self.beats)
        for number in self.otherwise:
            found = self.beats[number]
            assert found.figure is not None
            struck = {placed.at: placed.stroke for placed in found.strokes}
            strokes = tuple(_as_struck(struck.get(at)) for at in found.figure.onsets)
            beats[number] = FillBeat(found.figure, strokes)
        return Fill(self.meter, tuple(beats))

    def words(self, shown: Words = ()) -> str:
        """The outcome in words, beat by beat, to follow on a colon; ``shown`` for words of the count."""
        found = "; ".join(self._otherwise_words(number, shown) for number in self.otherwise)
        unsure = unsure_words(len(self.unsure))
        if found:
            told = f"{found}. {unsure}".strip()
        else:
            told = unsure[0].lower() + unsure[1:] if unsure else f"{self.result.value}."
        return f"{told} {self._elsewhere_words(shown)}".strip()

    def _elsewhere_words(self, shown: Words) -> str:
        beats: dict[int, list[Fraction]] = {}
        for beat, at in self.elsewhere:
            beats.setdefault(beat, []).append(at)
        # As they are counted, what was on its own drum left out: a beat's number in brackets was there.
        strokes = (Figure(tuple(places), self.meter.compound).count_on(beat + 1) for beat, places in beats.items())
        return f"On another drum: {as_shown(', '.join(strokes), shown)}." if beats else ""

    def _otherwise_words(self, number: int, shown: Words) -> str:
        figure, written, beat = self.beats[number].figure, self.written(number), number + 1
        assert figure is not None
        played = "nothing" if figure.is_rest else as_shown(figure.count_on(beat), shown)
        wanted = as_shown(written.count_on(beat), shown) if written else "the groove"
        return f"on beat {beat} you played {played}, written is {wanted}"

    def _fits(self, number: int) -> bool:
        figure, written = self.beats[number].figure, self.written(number)
        assert figure is not None
        return figure == written if written else figure.is_rest or figure in self.grooves[number]


@dataclass(frozen=True)
class PlayedChart:
    """A chart as it was played once: its reading and its bars, in the order in which they were heard.

    ``to_keep`` is what is to be kept, and ``habits`` what is known of the player by now.  Of a take of which nothing
    can be told there are no bars.
    """

    reading: Reading
    bars: tuple[PlayedBar, ...] = ()
    to_keep: TakeRecord | None = None
    habits: Habits = field(default_factory=Habits)

    @property
    def first(self) -> int:
        """The written bar, from 0, to be looked at first: one that was otherwise, not sure, on another drum, a fill."""
        for result in (PlayedAs.OTHERWISE, PlayedAs.UNSURE):
            if found := [bar.place for bar in self.bars if bar.result is result]:
                return found[0]
        fills = sorted((bar for bar in self.bars if bar.fill), key=lambda bar: (not bar.elsewhere, bar.place))
        return fills[0].place if fills else 0

    def at(self, place: int) -> tuple[PlayedBar, ...]:
        """Each time that a written bar (from 0) was played."""
        return tuple(bar for bar in self.bars if bar.place == place)

    def result(self, place: int) -> PlayedAs:
        """The outcome of a written bar (from 0) over all its times: the worst of them."""
        found = {bar.result for bar in self.at(place)}
        order = (PlayedAs.OTHERWISE, PlayedAs.UNSURE, PlayedAs.WRITTEN, PlayedAs.RESTED)
        return next(result for result in order if result in found)

    @property
    def sentence(self) -> str:
        """The one thing to say of it all."""
        if self.reading.verdict in UNHEARD:
            return UNHEARD[self.reading.verdict]
        if self.reading.verdict == SLOWER:
            return TOO_UNEVEN
        fills = [bar for bar in self.bars if bar.fill]
        right = sum(bar.result is PlayedAs.WRITTEN for bar in fills)
        told = [f"{right} of {counted(len(fills), 'fill')} as written"]
        for result in (PlayedAs.OTHERWISE, PlayedAs.UNSURE):
            if bars := sorted({bar.place + 1 for bar in self.bars if bar.result is result}):
                told.append(f"{result.value} {_bars_words(bars)}")
        said = f"{'; '.join(told)}."
        if drums := sorted({bar.place + 1 for bar in self.bars if bar.elsewhere}):
            return f"{said} On another drum than written: strokes in {_bars_words(drums)}."
        return said


class ChartPlaying:
    """A chart to be played along, as often as the player likes.

    ``setting`` is how it is heard; ``heard`` tells that it was heard before, so that it is not played at sight.
    ``seed`` names the questions that its fills are.
    """

    def __init__(self, level: Level, chart: Chart, setting: Setting, seed: int, heard: bool) -> None:
        self.level, self.chart = level, chart
        # Exact and straight: what is read are places on the grid.
        self._setting = replace(setting, swing=STRAIGHT, feel=0.0, landing=False, click=False, count_in=True)
        self._seed, self.heard = seed, heard
        self._grooves = tuple(groove_figures(setting.played_groove, chart.meter, setting.lead))
        self._ids: dict[int, str] = {}
        self._attempts: dict[int, int] = {}
        self.pace = 1.0
        self.played: PlayedChart | None = None

    @property
    def setting(self) -> Setting:
        """How the next take sounds."""
        return self._setting.slower(self.pace)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures that a beat of a take may be."""
        own = [figure for fill in self.chart.fills if fill for figure in fill.figures if figure]
        grooves = [figure for beat in self._grooves for figure in sorted(beat, key=str)]
        return tuple(dict.fromkeys((*read_figures(self.level), *own, *grooves)))

    def run(self, source: str) -> Run:
        """The sound of the next take, for what is played on: the groove with a click, and the click alone in the fills.

        Before a microphone the groove would be heard as strokes of the player's: there the click sounds alone.
        """
        whole = self.chart.arranged(self.setting)
        first, beats = whole.figure_bar, range(1, self.chart.meter.beats + 1)
        kept = [one for one in whole.strokes if one.bar < first or not (one.figure or source == MICROPHONE)]
        clicks = [
            Stroke(bar, beat, Fraction(0), "click", 1.0 if beat == 1 else 0.8)
            for bar in range(first, whole.bars)
            for beat in beats
        ]
        # The 1 after the last bar: a fill leads there, and its last strokes must not fall out of the sound.
        closing = Stroke(whole.bars, 1, Fraction(0), "click", 1.0)
        passage = replace(whole, bars=whole.bars + 1, strokes=(*kept, *clicks, closing))
        words = (*[COUNT_IN] * first, *(f"Bar {place + 1}" for place in self.chart.heard), OVER)
        return Run(Hearing(passage, words), passage.time_of_beat(first, 1), len(self.chart.heard))

    def take(
        self, struck: Sequence[Input], run: Run, at: float, instrument: InputDevice, read: Reader, device: Habits
    ) -> PlayedChart:
        """Read what was struck while the sound ran; ``at`` in seconds since the epoch."""
        came = run.strokes(struck, instrument)
        strokes = tuple(_together(came))
        setting = self.setting
        reading = read(strokes, self.figures, setting.tempo, run.beats, device, cued=CUED)
        if instrument.source == MICROPHONE and reading.verdict != NOTHING:
            reading = made_out(replace(reading, evidence=self._evidence_of_fills(strokes, reading, read)), MICROPHONE)
        if reading.verdict in UNHEARD:
            self.played = PlayedChart(reading)
            return self.played
        # Strokes that lie too far apart tell no figure, but they were played, and are kept.
        reading = unjudged(reading) if reading.verdict else reading
        bars = tuple(self._bars(reading, _drums_of(came)))
        told = [self._rows(bar, number, at) for number, bar in enumerate(bars) if bar.fill]
        length = self.chart.meter.beats * 60 / setting.tempo
        takes = [
            Take(question_id(name, attempt, at), at, name, instrument.source, setting.tempo,
                 _kept_strokes(bars[number], number * length))
            for number, name, attempt, _ in told
        ]  # fmt: skip
        answers = tuple((name, rows) for _, name, _, rows in told)
        if takes:
            # Told of the whole piece: it goes with the first of its bars.
            takes[0] = replace(takes[0], timing=timing_of(self._deviations(reading, bars)))
        record = TakeRecord(tuple(takes), answers)
        self.played = PlayedChart(reading, bars, record, device if reading.verdict else device.after(reading))
        # From now on the page is known.
        self.heard = True
        return self.played

    def _evidence_of_fills(self, strokes: Sequence[TakeStroke], reading: Reading, read: Reader) -> float:
        """How much better figures explain the strokes of the fills than strokes at any time would.

        The beats that are left to the groove would weigh against any figures at all.
        """
        beat, size = 60 / self.setting.tempo, self.chart.meter.beats
        known = Habits(reading.offset, reading.offset_sd, reading.spread, reading.spread_sd)
        found = []
        for number, place in enumerate(self.chart.heard):
            if fill := self.chart.fills[place]:
                begins, beats = (number * size + fill.played[0]) * beat, size - fill.played[0]
                here = tuple(
                    replace(one, seconds=one.seconds - begins)
                    for one in strokes
                    if -beat / 2 < one.seconds - begins < beats * beat
                )
                found.append(read(here, self.figures, self.setting.tempo, beats, known, cued=0))
        # Who left out every fill has still played, or rested.
        told = [one.evidence for one in found if one.verdict != NOTHING]
        return sum(told) if told else reading.evidence

    def as_written(self, place: int) -> Hearing:
        """A written bar (from 0), as it stands there."""
        return self._alone(self.chart.fills[place], place, AS_WRITTEN)

    def as_played(self, bar: PlayedBar) -> Hearing:
        """A bar with the figures that were played."""
        return self._alone(bar.as_played(), bar.place, AS_YOU_PLAYED)

    def _alone(self, fill: Fill | None, place: int, caption: str) -> Hearing:
        bar = fill.bars[0] if fill else self.chart.bars[place]
        return captioned(Chart((bar,), fills=(fill,)).arranged(self.setting), caption)

    def _bars(self, reading: Reading, drums: "DrumsStruck") -> Iterator[PlayedBar]:
        times: dict[int, int] = {}
        beats = reading.bars(self.chart.meter.beats)
        for place, bar in zip(self.chart.heard, beats, strict=True):
            played = PlayedBar(
                self.chart.meter, place, times.get(place, 0), self.chart.fills[place], bar, self._grooves
            )
            yield replace(played, elsewhere=tuple(_elsewhere(played, drums)))
            times[place] = times.get(place, 0) + 1

    def _rows(self, bar: PlayedBar, number: int, at: float) -> tuple[int, str, int, tuple[Answer, ...]]:
        """The number of a bar, the name of its question, which attempt at it this was, and the rows for the log."""
        name = self._ids.setdefault(
            bar.place,
            question_id("chart", self.level.name, self._seed, self.chart.bars[bar.place].count, bar.place, at),
        )
        attempt = self._attempts[bar.place] = self._attempts.get(bar.place, 0) + 1
        question = Question(self.chart.bars[bar.place], bar.asked, self.figures, self.setting, WANTED, name)
        figures = [bar.beats[beat].figure for beat in bar.asked]
        told = marked(
            question, figures, at, self.level.name, unsure=[figure is None for figure in figures],
            attempt=min(attempt, MOST_ATTEMPTS),
            # At sight only once: a bar that was heard or played before is no longer read alone.
            ability="reading" if attempt == 1 and not self.heard else "playing",
        )  # fmt: skip
        return number, name, attempt, told.answers

    def _deviations(self, reading: Reading, bars: Iterable[PlayedBar]) -> Iterator[Deviation]:
        for bar in bars:
            if bar.fill:
                yield from report(replace(reading, beats=bar.beats), self.chart.bars[bar.place]).deviations


def groove_figures(groove: Groove, meter: Meter, lead: str) -> Iterator[frozenset[Figure]]:
    """For each beat of a groove the figures with which it is played: all drums together, the cymbal, or the drums."""
    strokes = list(groove.strokes(meter, lead))
    for beat in range(1, meter.beats + 1):
        here = [one for one in strokes if one.beat == beat]
        parts = (here, [s for s in here if s.instrument in CYMBALS], [s for s in here if s.instrument not in CYMBALS])
        yield frozenset(Figure(tuple(sorted({one.at for one in part})), meter.compound) for part in parts)


def _together(strokes: Iterable[TakeStroke]) -> Iterator[TakeStroke]:
    """The strokes, of those that come together the first."""
    last = float("-inf")
    for stroke in sorted(strokes, key=lambda one: one.seconds):
        if stroke.seconds - last > TOGETHER:
            last = stroke.seconds
            yield stroke


DrumsStruck = Callable[[TakeStroke], frozenset[str]]
"""The drums that were struck together with a stroke; none where they are not known."""


def _drums_of(came: Iterable[TakeStroke]) -> DrumsStruck:
    """The drums of a take; where all of it came from one, that is a pad on which any drum is played."""
    found = sorted(((one.seconds, _one_drum(one.drum)) for one in came if one.drum), key=lambda pair: pair[0])
    told = len({drum for _, drum in found}) > 1

    def struck(stroke: TakeStroke) -> frozenset[str]:
        near = (drum for seconds, drum in found if abs(seconds - stroke.seconds) <= TOGETHER)
        return frozenset(near) if told and stroke.drum else frozenset()

    return struck


def _elsewhere(bar: PlayedBar, drums: DrumsStruck) -> Iterator[tuple[int, Fraction]]:
    """The strokes of a bar's fill that were at their place and on none of the drums that are written there."""
    for number in bar.asked:
        written = bar.fill.beats[number] if bar.fill else None
        if written is None or bar.beats[number].figure != written.figure:
            continue
        wanted = dict(zip(written.figure.onsets, written.strokes, strict=True))
        for placed in bar.beats[number].strokes:
            struck = drums(placed.stroke)
            if placed.at in wanted and struck and struck.isdisjoint(map(_one_drum, wanted[placed.at].drums)):
                yield number, placed.at


def _one_drum(name: str) -> str:
    return next((drums[0] for drums in ONE_DRUM if name in drums), name)


def _as_struck(stroke: TakeStroke | None) -> FillStroke:
    if stroke is None:
        return FillStroke()
    drum = _one_drum(stroke.drum) if stroke.drum else "snare"
    return FillStroke((drum if drum in DRUMS else "snare",), hand=stroke.hand)


def _kept_strokes(bar: PlayedBar, begins: float) -> tuple[PlayedStroke, ...]:
    """The strokes of one bar that begins at a time of the take, as they are kept."""
    strokes = [placed.stroke for beat in bar.beats for placed in beat.strokes]
    return tuple(PlayedStroke(s.seconds - begins, s.hand, s.drum or "snare", s.velocity) for s in strokes)


def _bars_words(numbers: Sequence[int]) -> str:
    """Some bars by their numbers: bar 4; bars 4 and 8; bars 1, 4 and 8."""
    if len(numbers) == 1:
        return f"bar {numbers[0]}"
    *most, last = map(str, numbers)
    return f"bars {', '.join(most)} and {last}"
