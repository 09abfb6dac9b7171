"""What sounds on a screen, and where in the bar it is."""

from dataclasses import dataclass
from math import floor

from game.screens.sound import Sound
from game.sessions.hearing import LEAD_IN
from shared.passages import Passage


@dataclass(frozen=True)
class Moment:
    """Where the sound is: a word for the bar that sounds, and the place in beats from the bar's start.

    ``beats`` is None while a beat that is heard alone is being led in.
    """

    caption: str
    beats: float | None


class Playing:
    """Plays passages and knows what the last one was."""

    def __init__(self, sound: Sound) -> None:
        self._sound = sound
        self._passage: Passage | None = None
        self._caption = ""
        self._beat: int | None = None

    def play(self, passage: Passage, caption: str, beat: int | None = None) -> None:
        """Play a passage; ``beat`` (from 0) where it is a beat heard alone."""
        self._passage, self._caption, self._beat = passage, caption, beat
        self._sound.play(passage)

    def stop(self) -> None:
        """Fall silent."""
        self._sound.stop()
        self._passage = None

    def moment(self) -> Moment | None:
        """Where the sound is now; None when nothing sounds."""
        where = self._sound.position()
        if where is None or self._passage is None:
            return None
        beats = where / self._passage.beat_seconds
        if self._beat is not None:
            inside = LEAD_IN <= beats < LEAD_IN + 1
            return Moment(self._caption, self._beat + beats - LEAD_IN if inside else None)
        bar, beats = divmod(beats, self._passage.meter.beats)
        return Moment(self._word(floor(bar)), beats)

    def _word(self, bar: int) -> str:
        assert self._passage is not None
        counted_in = any(s.bar == 0 and s.instrument == "sticks" for s in self._passage.strokes)
        if bar < self._passage.figure_bar:
            return "Count-in" if counted_in and bar == 0 else "Groove"
        return self._caption
