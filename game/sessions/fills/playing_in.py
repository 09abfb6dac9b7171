"""Playing a fill in: the run it is played along, and what was played read into figures of the draft."""

from fractions import Fraction

from game.sessions.fills.draft import Draft
from game.sessions.playing.playing import Run, run_of
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.orchestration import Setting
from shared.reading import NOTHING, SLOWER, UNCLEAR, ReadBeat, Reading
from shared.strokes import TakeStroke

UNREAD = {
    NOTHING: "Nothing came in, so the fill is as it was.",
    UNCLEAR: "No figures can be made out, so the fill is as it was: play nearer to the microphone, or where it is "
    "quieter.",
    SLOWER: "The strokes lay too unevenly to tell the figures, so the fill is as it was. Try it slower.",
}
"""The sentence on a take that leaves the fill as it was, by its verdict."""


def taking_in(meter: Meter, bars: int, tempo: float) -> Run:
    """A bar of clicks, so many bars of clicks to play to, and the next 1."""
    silent = Bar(meter, (Figure((), meter.compound),) * meter.beats)
    return run_of(silent, Setting(tempo=tempo), heard_first=False, rounds=bars)


def taken_in(draft: Draft, reading: Reading) -> tuple[Draft, str]:
    """The draft with what was read, and a sentence that says what became of it."""
    if reading.verdict in UNREAD:
        return draft, UNREAD[reading.verdict]
    unsure = sum(figure is None for figure in reading.figures)
    found = draft.as_played(reading.figures, [_placed(beat) for beat in reading.beats])
    if not unsure:
        return found, "This is what you played. Space plays it back."
    many, stay = ("One beat", "it stays") if unsure == 1 else (f"{unsure} beats", "they stay")
    return found, f"This is what you played. {many} could be either of two figures, so {stay} as before."


def _placed(beat: ReadBeat) -> list[tuple[Fraction, TakeStroke]]:
    return [(one.at, one.stroke) for one in beat.strokes if beat.figure and one.at is not None]
