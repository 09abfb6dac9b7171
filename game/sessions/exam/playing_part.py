"""The playing part of a mock exam: bars at sight and played back, marked by figures; timing is told, not marked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from random import Random
from statistics import fmean
from typing import Any

from game.sessions.exam.paper import drawn_tempo, evenly
from game.sessions.playing.playing import Played, PlayingWay
from game.sessions.playing.report import STEADY, UNEVEN, VERY_STEADY
from game.wording import counted
from shared.bars import Bar
from shared.counting import parse_figure
from shared.figures import Figure
from shared.levels import Level

SIGHT, BACK = "at sight", "played back"
"""How a bar was played, as it is kept and told."""

WAYS = {SIGHT: PlayingWay.WRITTEN, BACK: PlayingWay.BACK}


@dataclass(frozen=True)
class PlayingTask:
    """A bar to be played once: ``how`` is ``SIGHT`` or ``BACK``, ``tempo`` in beats a minute."""

    bar: Bar
    how: str
    tempo: float


def draw_playing(level: Level, seed: int) -> tuple[PlayingTask, ...]:
    """As many bars as the level's rules say, at sight and played back in turn, every figure as often as any other."""
    random = Random(f"exam playing/{level.name}/{seed}")
    number, beats = level.exam.playing, level.meter.beats
    pool = evenly(level.figures, number * beats, random)
    sounding = [figure for figure in level.figures if figure.onsets]
    tasks = []
    for place in range(number):
        figures = pool[place * beats : (place + 1) * beats]
        # A bar of rests alone has nothing to be played.
        if not any(figure.onsets for figure in figures):
            figures[0] = random.choice(sounding)
        tempo = drawn_tempo(level, random)
        # In turn, so that both ways get as many bars, or the first one more.
        tasks.append(PlayingTask(Bar(level.meter, tuple(figures)), (SIGHT, BACK)[place % 2], tempo))
    return tuple(tasks)


def kept_row(task: PlayingTask, played: Played) -> dict[str, Any]:
    """A bar that was played, as the exam's detail keeps it beside the bars that were heard."""
    told = [beat.figure.count if beat.figure else None for beat in played.beats]
    return {
        "playing": task.how,
        "bar": task.bar.count,
        "asked": list(range(task.bar.meter.beats)),
        "heard": [figure.count for figure in task.bar.figures],
        "said": told,
        # At sight nothing is heard before it is played.
        "hearings": int(task.how == BACK),
        "orchestration": "snare",
        "tempo": task.tempo,
        "spread": played.reading.spread if played.take and any(told) else None,
    }


@dataclass(frozen=True)
class PlayedBeat:
    """A beat of the playing part: ``bar`` and ``beat`` count from 1; ``played`` is None where it was not sure."""

    bar: int
    beat: int
    how: str
    written: Figure
    played: Figure | None


@dataclass(frozen=True)
class PlayingResult:
    """The playing part of an exam; ``spread`` is how far strokes lay from their places on average, in seconds."""

    beats: tuple[PlayedBeat, ...]
    spread: float | None

    @property
    def told(self) -> int:
        """How many beats are sure, and so count."""
        # A beat that can't be told is a lack of the reading and not of the candidate: it counts neither way.
        return sum(beat.played is not None for beat in self.beats)

    @property
    def right(self) -> int:
        """How many beats were played as written."""
        return sum(beat.played == beat.written for beat in self.beats)

    @property
    def hardly_read(self) -> bool:
        """Whether more beats could not be read than could: then nothing is known of the part."""
        return 2 * self.told < len(self.beats)

    def words(self) -> str:
        """The mark of the part in a sentence or three."""
        unread = len(self.beats) - self.told
        if self.hardly_read:
            return (
                f"Played: only {self.told} of {counted(len(self.beats), 'beat')} could be read for sure. Before the "
                "next exam try what you play on, and find how late your sound is."
            )
        left_out = f"; {unread} could not be read for sure and are not counted" if unread else ""
        return f"Played: {self.right} of {counted(self.told, 'beat')} as written{left_out}. {self._timing()}".strip()

    def _timing(self) -> str:
        if self.spread is None:
            return ""
        names = ((VERY_STEADY, "very steady"), (STEADY, "steady"), (UNEVEN, "uneven"))
        word = next((name for most, name in names if self.spread <= most), "very uneven")
        return f"Timing, which is not marked: {word}."


def playing_result(detail: Iterable[Mapping[str, Any]], compound: bool) -> PlayingResult | None:
    """The result of the playing part from an exam's kept detail; None where it had none."""
    rows = [row for row in detail if "playing" in row]
    if not rows:
        return None
    beats = tuple(
        PlayedBeat(
            number, place + 1, row["playing"], parse_figure(written, compound),
            parse_figure(played, compound) if played else None,
        )
        for number, row in enumerate(rows, 1)
        for place, written, played in zip(row["asked"], row["heard"], row["said"], strict=True)
    )  # fmt: skip
    spreads = [row["spread"] for row in rows if row["spread"] is not None]
    return PlayingResult(beats, fmean(spreads) if spreads else None)
