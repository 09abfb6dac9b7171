"""Reads a whole take into figures: finds its count-in, subtracts its click, reads bar by bar."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audio.click import LEAST_LIKENESS, best_place, mean_click, without
from audio.onsets import onsets
from audio.reading import MICROPHONE, PADS, Source, follow
from audio.synthesis import RATE, Samples
from audio.takes import Recording
from shared.errors import UserError
from shared.figures import Figure
from shared.reading import Habits, ReadBeat, Reading
from shared.strokes import EARLY, Take, TakeStroke

EXACT = 0.0008
"""A count-in whose strokes lie so near even places, in seconds (root mean square), was not played by hand."""

UNEVEN, OTHER_TEMPO = 0.15, 0.04
"""How uneven the beats of a count-in may be, and how far its tempo may differ from the one given, as shares."""

ALONG = Habits(0.0, 0.03)
"""The assumptions about a player who plays to a click, or to a count-in of the take's own."""

FROM_THE_START = Habits(0.0, 0.04)
"""The assumptions where the file begins with its first beat."""

OWN_PACE = 0.03
"""How far the tempo of a player's own count-in may be off, as a share of it (standard deviation)."""

PART = 16
"""How many beats are read together where a click gives the tempo."""

EVIDENCE, EVIDENCE_COUNTED = 6.0, 0.0
"""The least log likelihood ratio of figures to strokes at random times for a sound to be reported as figures at all, as
speech has sudden rises too.  The second holds after a count-in, which speech lacks; an exact one leaves no doubt."""

OTHER = 0.1
"""The probability that a beat holds none of the figures that it should: so much clearer another one must be."""

TOGETHER = 0.012
"""Two drums of a MIDI file struck within so many seconds count as one stroke: those of a flam lie further apart."""


class UnreadableError(UserError):
    """A take that cannot be read; the message is one line: what, and what would do."""


@dataclass(frozen=True)
class CountIn:
    """Where the first bar begins and how long a beat is, in seconds, and whether a machine gave the count-in."""

    start: float
    beat: float
    exact: bool


@dataclass(frozen=True)
class RecordingRead:
    """A take that was read; times in ``reading`` are seconds from ``count_in.start``."""

    reading: Reading
    count_in: CountIn


def read_recording(
    take: Recording | Take,
    figures: Sequence[Figure],
    bar: int,
    tempo: float | None,
    counted: int,
    others: Sequence[Figure] = (),
) -> RecordingRead:
    """Read a take into bars of ``bar`` beats, each beat one of ``figures``, or of ``others`` where none of them fits.

    ``counted`` strokes or clicks come first; with none, the take begins with its first beat and ``tempo`` (beats a
    minute) must be given.  A tempo that a machine clicked is kept to, that of a player is followed.  Raises
    ``UnreadableError``.
    """
    strokes = struck(take) if isinstance(take, Recording) else _gathered(take)
    if not strokes:
        raise UnreadableError("nothing came in: no stroke is in it; check the microphone and record again")
    count_in = find_count_in(strokes, tempo, counted)
    if isinstance(take, Recording):
        strokes = _without_click(take.samples, strokes, count_in, counted)
    # From here on the first beat of the first bar is at 0, and the count-in at negative times.
    played = [TakeStroke(s.seconds - count_in.start, s.hand, s.drum, s.velocity) for s in strokes]
    after = [stroke.seconds for stroke in played[counted:]]
    if not after:
        raise UnreadableError(f"nothing came in after the count-in of {counted}; record the take again")
    bars = 1 + max(0, int((after[-1] / count_in.beat + EARLY) // bar))
    source = MICROPHONE if isinstance(take, Recording) else PADS
    reading = _read(played, tuple(figures), count_in, bars * bar, bar, counted, source)
    if others:
        weights = [(1 - OTHER) / len(figures)] * len(figures) + [OTHER / len(others)] * len(others)
        among_all = _read(played, (*figures, *others), count_in, bars * bar, bar, counted, source, weights)
        reading = _with_others(reading, among_all, frozenset(others))
    if isinstance(take, Recording) and not _believed(reading, count_in, counted):
        raise UnreadableError(
            f"no figures can be made out: what is in it does not go with beats at {60 / count_in.beat:.0f} a minute; "
            "give the tempo it was played at, or record again nearer to the drum"
        )
    return RecordingRead(reading, count_in)


def _with_others(reading: Reading, among_all: Reading, others: frozenset[Figure]) -> Reading:
    """A reading among few figures, with those beats of a reading among more that no figure of the few fits."""
    pairs = list(zip(reading.beats, among_all.beats, strict=True))
    beats = tuple(wide if wide.likeliest in others and _fits_better(wide, beat) else beat for beat, wide in pairs)
    if beats == reading.beats:
        return reading
    # Strokes of a figure that was not looked for lie far from any place: they made the few seem uneven.
    return replace(among_all, beats=beats, verdict=among_all.verdict and reading.verdict)


def _fits_better(wide: ReadBeat, beat: ReadBeat) -> bool:
    """Whether a beat read among more figures is to be told in place of the same beat read among fewer."""
    if beat.figure is None or beat.clear:
        return wide.figure is not None
    return wide.figure is None or wide.unfitting < beat.unfitting


def _believed(reading: Reading, count_in: CountIn, counted: int) -> bool:
    """Whether the onsets of a sound are strokes of figures, and not speech or noise."""
    return (counted > 0 and count_in.exact) or reading.evidence > (EVIDENCE_COUNTED if counted else EVIDENCE)


def _read(
    played: list[TakeStroke],
    figures: tuple[Figure, ...],
    count_in: CountIn,
    beats: int,
    bar: int,
    counted: int,
    source: Source,
    weights: Sequence[float] = (),
) -> Reading:
    # A player's own pace must be followed bar by bar; a machine's is kept, and more beats tell more together.
    tempo = 60 / count_in.beat
    if counted and not count_in.exact:
        return follow(played, figures, tempo, beats, bar, ALONG, source, counted, OWN_PACE, weights)
    habits = ALONG if counted else FROM_THE_START
    return follow(played[counted:], figures, tempo, beats, PART, habits, source, 0, 0.0, weights)


def struck(recording: Recording) -> Take:
    """The strokes of a sound, with their strength as velocity."""
    return tuple(TakeStroke(onset.seconds, velocity=onset.strength) for onset in onsets(recording.samples))


def _gathered(take: Take) -> Take:
    """The strokes of a take in the order of time, those of several drums struck together as one, the strongest."""
    kept: list[TakeStroke] = []
    for stroke in sorted(take, key=lambda stroke: stroke.seconds):
        if kept and stroke.drum != kept[-1].drum and stroke.seconds - kept[-1].seconds < TOGETHER:
            kept[-1] = max(kept[-1], stroke, key=lambda stroke: stroke.velocity)
        else:
            kept.append(stroke)
    return tuple(kept)


def find_count_in(strokes: Sequence[TakeStroke], tempo: float | None, counted: int) -> CountIn:
    """The count-in: the first ``counted`` strokes, which must be even and go at ``tempo`` if that is given."""
    times = np.array([stroke.seconds for stroke in strokes[:counted]])
    if len(times) < counted:
        raise UnreadableError(
            f"the take has only {len(times)} of the {counted} strokes of its count-in; correct --count-in"
        )
    if counted < 2:
        if tempo is None:
            raise UnreadableError(
                "without a count-in of two strokes or more the tempo is not in the take; give --tempo"
            )
        # The sum of one time or of none: that of the single stroke, or the start of the file.
        return CountIn(float(times.sum()) + counted * 60 / tempo, 60 / tempo, not counted)
    return _even_count_in(times, tempo)


def _even_count_in(times: NDArray[np.float64], tempo: float | None) -> CountIn:
    """A count-in of two strokes or more."""
    counted = len(times)
    beat, first = np.polyfit(np.arange(counted), times, 1)
    away = times - (first + beat * np.arange(counted))
    # An interval has two ends, and each may be off.
    if beat <= 0 or float(np.abs(np.diff(times) / beat - 1).max()) > 2 * UNEVEN:
        raise UnreadableError(
            f"the first {counted} strokes are no even count-in; say with --count-in how many there are, 0 for none"
        )
    if tempo is not None and abs(60 / tempo / beat - 1) > OTHER_TEMPO:
        raise UnreadableError(
            f"the count-in goes at {60 / beat:.0f} beats a minute, not {tempo:g}; give --tempo {60 / beat:.0f}"
        )
    # Two strokes always lie on a line: they can't show whether a machine gave them.
    exact = counted > 2 and float(np.sqrt((away**2).mean())) < EXACT
    # A machine keeps the tempo that was asked of it; only where its beats begin has to be measured.
    if exact and tempo is not None:
        beat, first = 60 / tempo, float((times - np.arange(counted) * 60 / tempo).mean())
    return CountIn(float(first + beat * counted), float(beat), exact)


def _without_click(samples: Samples, strokes: Take, count_in: CountIn, counted: int) -> Take:
    """The strokes of a sound without those of a click that goes on through it, if one does.

    The click as recorded is the mean of the count-in's; it is taken from the sound at each later beat where it is.
    """
    if not (counted and count_in.exact):
        return strokes
    places = [count_in.start + (k - counted) * count_in.beat for k in range(counted)]
    click = mean_click(samples, places)
    beats = int((len(samples) / RATE - count_in.start) / count_in.beat)
    found = [best_place(samples, click, count_in.start + k * count_in.beat) for k in range(beats)]
    others = [s.seconds for s in strokes[counted:] if not _on_beat(s.seconds, count_in)]
    like = [best_place(samples, click, place)[1] for place in others]
    # The median, since strokes on the beat hide some of the clicks.
    goes_on = bool(found) and float(np.median([likeness for _, likeness in found])) > LEAST_LIKENESS
    if not goes_on or (like and float(np.median(like)) > LEAST_LIKENESS):
        return strokes  # no click, or strokes that sound as it does
    rest = without(samples, [click] * len(found), found)
    # From half a beat before the bar: its first stroke may come early.
    quiet = count_in.start - 0.5 * count_in.beat
    later = tuple(TakeStroke(o.seconds, velocity=o.strength) for o in onsets(rest) if o.seconds > quiet)
    return (*strokes[:counted], *later)


def _on_beat(seconds: float, count_in: CountIn) -> bool:
    beats = (seconds - count_in.start) / count_in.beat
    return abs(beats - round(beats)) < 0.1
