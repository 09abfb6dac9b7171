"""A chart: bars in a row over a groove, as figures or as fills; one piece to be heard, read and written down."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor
from random import Random

from shared.bars import Bar, Meter
from shared.errors import UserError
from shared.figures import Figure
from shared.fills import Fill
from shared.orchestration import Setting, arrange, count_in, crash_on_one, in_time, landed, orchestration_named
from shared.passages import Passage, Stroke

Spot = tuple[int, int]
"""A bar and a beat in it, both from 0."""

PHRASE = 4
"""Bars of a phrase; a fill closes it (common practice, no source)."""

DYNAMICS = {"p": 0.55, "mf": 0.8, "f": 1.0}
"""How loud a part of a chart is played: the share of each stroke's velocity (ours; the standard gives no figures)."""


class ChartError(UserError, ValueError):
    """Bars that make no chart."""


@dataclass(frozen=True)
class Chart:
    """Bars of one meter in a row.

    ``gaps`` are the beats whose figures are left out, where the groove goes on alone.  Where there are ``fills``, one
    entry for each bar, a bar plays its fill as written there, drums and all, or the plain groove where it has None;
    without them every bar's figures are played as the setting says, over the groove.  ``repeats`` are stretches of
    bars, as (first, last) from 0, that are written once and heard twice.  ``dynamics`` are (bar, one of
    ``DYNAMICS``), each good from that bar on.  ``phrase`` is how many bars belong together, as a line of a page.
    """

    bars: tuple[Bar, ...]
    gaps: frozenset[Spot] = frozenset()
    fills: tuple[Fill | None, ...] = ()
    repeats: tuple[tuple[int, int], ...] = ()
    dynamics: tuple[tuple[int, str], ...] = ()
    phrase: int = PHRASE

    def __post_init__(self) -> None:
        object.__setattr__(self, "bars", tuple(self.bars))
        object.__setattr__(self, "gaps", frozenset(self.gaps))
        if not self.bars:
            raise ChartError("a chart has at least one bar; found none")
        for number, bar in enumerate(self.bars, 1):
            if bar.meter != self.meter:
                raise ChartError(
                    f"bar {number}: found {bar.meter} in a chart of {self.meter}; write one meter throughout"
                )
        for bar_place, beat in sorted(self.gaps):
            if not (0 <= bar_place < len(self.bars) and 0 <= beat < self.meter.beats):
                raise ChartError(
                    f"gap at bar {bar_place + 1}, beat {beat + 1}: the chart has {len(self.bars)} bars "
                    f"of {self.meter.beats} beats"
                )
        self._check_form()

    def _check_form(self) -> None:
        given = [fill and fill.bars for fill in self.fills]
        if given and (
            len(given) != len(self.bars) or any(f and f != (b,) for f, b in zip(given, self.bars, strict=True))
        ):
            raise ChartError("the fills of a chart are one for each bar, with that bar's figures, or None")
        ends = [place for stretch in self.repeats for place in stretch]
        inside = all(0 <= place < len(self.bars) for place in ends)
        apart = all(last < first for (_, last), (first, _) in pairwise(self.repeats))
        if not inside or not apart or any(first > last for first, last in self.repeats):
            raise ChartError(f"repeats {self.repeats}: stretches one after the other of bars 0 to {len(self.bars) - 1}")
        for bar_place, mark in self.dynamics:
            if mark not in DYNAMICS or not 0 <= bar_place < len(self.bars):
                raise ChartError(f"dynamic {mark!r} at bar {bar_place + 1}: choose from {', '.join(DYNAMICS)}")

    @property
    def meter(self) -> Meter:
        """The meter of every bar."""
        return self.bars[0].meter

    @property
    def heard(self) -> tuple[int, ...]:
        """The place of each bar that is heard, in order: bars between repeat signs come twice."""
        found: list[int] = []
        ends = {last: first for first, last in self.repeats}
        for place in range(len(self.bars)):
            found.append(place)
            # At the end of a stretch it comes once more; stretches never lie within one another.
            if place in ends:
                found += range(ends[place], place + 1)
        return tuple(found)

    def filled(self, places: Iterable[Spot]) -> "Chart":
        """The chart with some of its gaps filled: their figures sound again."""
        return replace(self, gaps=self.gaps - frozenset(places))

    def figures(self, bar: int) -> tuple[Figure | None, ...]:
        """The figures of a bar (from 0) as they are written; None for a gap."""
        return tuple(None if (bar, beat) in self.gaps else f for beat, f in enumerate(self.bars[bar].figures))

    def same_as_before(self, bar: int) -> bool:
        """Whether a bar (from 0) is the plain groove, and so was the one before it."""
        return bool(self.fills) and bar > 0 and self.fills[bar] is None and self.fills[bar - 1] is None

    def systems(self, length: int) -> Iterator[range]:
        """The bars of each line of a page, by their places, so many in a line; fewer where a phrase ends."""
        if length < 1:
            raise ChartError(f"{length} bars in a line; write at least 1")
        size, bars = max(self.phrase, length), len(self.bars)
        for phrase in range(0, bars, size):
            end = min(phrase + size, bars)
            for first in range(phrase, end, length):
                yield range(first, min(first + length, end))

    def arranged(self, setting: Setting) -> Passage:
        """The whole chart as it is heard, in one passage: repeats played out, each part as loud as it is marked.

        Its count-in comes once, before the first bar; groove bars of the setting are left out.  After a fill a setting
        with ``landing`` has a crash on the next 1, which after the last bar rings beyond the passage's bars.
        """
        return self._passage(self.heard, setting, sounding=True)

    def place_at(self, seconds: float, setting: Setting) -> Spot | None:
        """The written bar that is heard at a time of what ``arranged`` gives, and the beat in it; None in the count-in.

        Both count from 0.
        """
        size = self.meter.beats
        bar, beat = divmod(floor(seconds * setting.tempo / 60), size)
        bar -= int(setting.count_in)
        return (self.heard[bar], beat) if 0 <= bar < len(self.heard) else None

    def written(self, setting: Setting) -> Passage:
        """The bars as they stand on the page: no count-in, no repeat played out, no dynamic in the velocities."""
        # Feel moves strokes off their places, and there is no note for that.
        # Nor does it know dynamics: scaled by one, an accent would fall below ``ACCENT_FROM`` and lose its mark.
        plain = replace(setting, count_in=False, feel=0.0, landing=False, click=False)
        return self._passage(range(len(self.bars)), plain, sounding=False)

    def _passage(self, places: Sequence[int], setting: Setting, sounding: bool) -> Passage:
        # The groove goes on under the figures already.
        setting = replace(setting, groove_bars=0)
        before = count_in(self.meter) if setting.count_in else ()
        first = len(before) // self.meter.beats
        strokes: dict[tuple[object, ...], Stroke] = {_spot(stroke): stroke for stroke in before}
        for number, place in enumerate(places):
            lands = setting.landing and number > 0 and self._lands(places[number - 1], place)
            for stroke in self._bar(place, setting, lands):
                velocity = stroke.velocity * (self._loudness(place) if sounding else 1.0)
                moved = replace(stroke, bar=first + number, velocity=velocity)
                # Where two strokes fall on one instrument the first stays: a figure's own.
                strokes.setdefault(_spot(moved), moved)
        # Not scaled by a dynamic, as no bar is there to bear one.
        if setting.landing and self._lands(places[-1], None):
            strokes |= {_spot(stroke): stroke for stroke in crash_on_one(first + len(places), setting.lead)}
        gain = 0.0 if self.fills else orchestration_named(setting.orchestration).gain
        return Passage(self.meter, setting.tempo, first + len(places), first, tuple(strokes.values()), gain)

    def _lands(self, before: int, place: int | None) -> bool:
        """Whether a fill leads from one bar to the groove at the beginning of another, None for the end of all."""
        if not self.fills:
            return False
        fill, after = self.fills[before], None if place is None else self.fills[place]
        return fill is not None and fill.beats[-1] is not None and (after is None or after.beats[0] is None)

    def _loudness(self, bar: int) -> float:
        marks = [DYNAMICS[mark] for place, mark in self.dynamics if place <= bar]
        return marks[-1] if marks else 1.0

    def _bar(self, place: int, setting: Setting, lands: bool) -> Iterator[Stroke]:
        # Every bar has a seed of its own, so that it is drawn the same each time.
        own = replace(setting, count_in=False, seed=setting.seed + place)
        if not self.fills:
            # Figures come first: where the groove has the same instrument at the same place, their stroke stays.
            yield from (*arrange(self._sounding(place), own).strokes, *_groove(self.bars[0], setting))
            return
        fill = self.fills[place]
        groove = setting.played_groove.strokes(self.meter, setting.lead)
        strokes = list(fill.strokes(own) if fill else groove)
        yield from in_time(landed(strokes, 0, own.lead) if lands else strokes, self.bars[place], own, Random(own.seed))

    def _sounding(self, bar: int) -> Bar:
        """A bar with silence in its gaps."""
        silent = Figure((), self.meter.compound)
        return self.bars[bar].with_figures({beat: silent for place, beat in self.gaps if place == bar})


def _groove(bar: Bar, setting: Setting) -> Iterator[Stroke]:
    """A bar of groove without its backbeat, whose snare would be taken for a stroke of the figures."""
    plain = replace(setting, orchestration="snare", count_in=False, groove_bars=1, click=False)
    for stroke in arrange(bar, plain).strokes:
        if stroke.bar == 0 and stroke.instrument != "snare":
            yield stroke


def _spot(stroke: Stroke) -> tuple[object, ...]:
    """The key of a stroke: an instrument can sound only once at a place."""
    return stroke.bar, stroke.beat, stroke.at, stroke.instrument
