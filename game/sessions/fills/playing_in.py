"""Playing a fill in: the run it is played along, and what was played read into figures of the draft."""

from collections.abc import Sequence
from fractions import Fraction

from game.sessions.fills.draft import Draft
from game.sessions.playing.playing import Run, run_of
from game.wording import numbered, sentence
from shared.bars import Bar, Meter
from shared.figures import Figure
from shared.fills import Fill
from shared.orchestration import Setting
from shared.reading import NOTHING, SLOWER, UNCLEAR, ReadBeat, Reading
from shared.strokes import TakeStroke

PLAYED = "This is what you played."

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
    """The draft with what was read, and a sentence or two that say what became of it."""
    # Strokes along with the count-in alone are no fill: what was written must not be lost by them.
    verdict = reading.verdict or ("" if reading.strokes else NOTHING)
    if verdict in UNREAD:
        return draft, UNREAD[verdict]
    unsure = [place for place, figure in enumerate(reading.figures) if figure is None]
    found = draft.as_played(reading.figures, [_placed(beat) for beat in reading.beats])
    if not unsure:
        return found, PLAYED
    where, stay = _where(unsure, draft.fill), "it stays" if len(unsure) == 1 else "they stay"
    return found, f"{PLAYED} {where} could be either of two figures, so {stay} as before."


def _where(beats: Sequence[int], fill: Fill) -> str:
    """Beats of a fill by their numbers, those of two bars with the bar: Beats 3 and 4; Bar 2, beat 1."""
    size, found = fill.meter.beats, []
    for bar in range(fill.length):
        if here := [beat % size for beat in beats if beat // size == bar]:
            words = f"beat{'s' * (len(here) > 1)} {numbered(here)}"
            found.append(f"bar {bar + 1}, {words}" if fill.length > 1 else words)
    return sentence("; ".join(found)).rstrip(".")


def _placed(beat: ReadBeat) -> list[tuple[Fraction, TakeStroke]]:
    return [(one.at, one.stroke) for one in beat.strokes if beat.figure and one.at is not None]
