"""Playing a fill in: a count-in of clicks, the bars of the fill to a click, and what was played read into figures."""

from dataclasses import dataclass
from fractions import Fraction

from game.sessions.fills.draft import Draft
from game.sessions.hearing.hearing import Hearing
from shared.bars import Meter
from shared.passages import Passage, Stroke
from shared.reading import NOTHING, SLOWER, ReadBeat, Reading
from shared.strokes import TakeStroke

CUED = 2
"""On so many beats before the fill the player may strike along, which tells how late this player's strokes come in."""

AFTER = 0.5
"""How long the taking goes on after the fill, in beats: the last stroke may come late."""

COUNT_IN, PLAY, OVER = "Count-in", "Play", "Over"


@dataclass(frozen=True)
class TakingIn:
    """The sound to which a fill is played in: when it begins and ends, in seconds from the start of the sound."""

    hearing: Hearing
    begins: float
    ends: float
    beats: int

    @property
    def counted_from(self) -> float:
        """The time from which strokes count: those along with the last clicks before help to place the rest."""
        return self.begins - (CUED + 0.5) * self.hearing.passage.beat_seconds


def taking_in(meter: Meter, bars: int, tempo: float) -> TakingIn:
    """A bar of clicks, so many bars of clicks to play to, and the next 1."""
    clicks = [
        Stroke(bar, beat, Fraction(0), "click", 1.0 if beat == 1 else 0.8)
        for bar in range(1 + bars)
        for beat in range(1, meter.beats + 1)
    ]
    closing = Stroke(1 + bars, 1, Fraction(0), "click", 1.0)
    passage = Passage(meter, tempo, 2 + bars, 1, (*clicks, closing))
    begins, end = passage.time_of_beat(1, 1), passage.time_of_beat(1 + bars, 1)
    words = (COUNT_IN, *[PLAY] * bars, OVER)
    return TakingIn(Hearing(passage, words), begins, end + AFTER * passage.beat_seconds, meter.beats * bars)


def taken_in(draft: Draft, reading: Reading) -> tuple[Draft, str]:
    """The draft with what was read, and a sentence that says what became of it."""
    if reading.verdict == NOTHING:
        return draft, "Nothing was heard, so the fill is as it was. Strike while the clicks sound."
    if reading.verdict == SLOWER:
        return draft, "The strokes lay too unevenly to tell the figures, so the fill is as it was. Try it slower."
    unsure = sum(figure is None for figure in reading.figures)
    found = draft.as_played(reading.figures, [_placed(beat) for beat in reading.beats])
    if not unsure:
        return found, "This is what you played. Space plays it back."
    many = "One beat was" if unsure == 1 else f"{unsure} beats were"
    return found, f"This is what you played. {many} not sure and stayed as before."


def _placed(beat: ReadBeat) -> list[tuple[Fraction, TakeStroke]]:
    return [(one.at, one.stroke) for one in beat.strokes if beat.figure and one.at is not None]
