"""The loudspeaker of a screen: plays a hearing and tells where in the bar the sound is."""

from dataclasses import dataclass
from math import floor

from audio.sound import Sound
from game.sessions.hearing.hearing import LEAD_IN, Hearing


@dataclass(frozen=True)
class Moment:
    """Where the sound is: a word for the bar that sounds, and the place in beats from the bar's start.

    ``beats`` is None while a beat that is heard alone is being led in.
    """

    caption: str
    beats: float | None


class Loudspeaker:
    """Plays hearings, one at a time, and knows where in its bar the present one is."""

    def __init__(self, sound: Sound) -> None:
        self._sound = sound
        self._heard: Hearing | None = None

    def play(self, hearing: Hearing) -> None:
        """Let it be heard, in place of what sounds now."""
        self._heard = hearing
        self._sound.play(hearing.passage)

    def go_on(self, hearing: Hearing, first: float = 0.0) -> None:
        """Let what sounds go on as another hearing, with no gap; it begins ``first`` seconds into the present one."""
        self._heard = hearing
        self._sound.go_on(hearing.passage, first)

    def stop(self) -> None:
        """Fall silent."""
        self._sound.stop()
        self._heard = None

    def moment(self) -> Moment | None:
        """Where the sound is now; None when nothing sounds."""
        place = self._place()
        if place is None or self._heard is None:
            return None
        bar, beats = place
        caption, beat = self._heard.words[bar], self._heard.beat
        if beat is None:
            return Moment(caption, beats)
        # Between the sticks before and after it: only there the beat itself sounds.
        inside = LEAD_IN <= beats < LEAD_IN + 1
        return Moment(caption, beat + beats - LEAD_IN if inside else None)

    @property
    def loops(self) -> bool:
        """Whether a bar sounds over and over."""
        return self._heard is not None and self._heard.loop and self._place() is not None

    def plays(self, caption: str) -> bool:
        """Whether what sounds has figures under these words and no others; its count-in belongs to it."""
        heard = self._heard
        return (
            heard is not None and self._place() is not None and {caption} == {*heard.words[heard.passage.figure_bar :]}
        )

    @property
    def leads_in(self) -> bool:
        """Whether something sounds of which no figure has come yet: sticks or a groove."""
        place = self._place()
        if place is None or self._heard is None:
            return False
        bar, beats = place
        return bar < self._heard.passage.figure_bar or (self._heard.beat is not None and beats < LEAD_IN)

    def rounds(self) -> int:
        """How many times the figures' bar has begun to sound, the one that sounds now included; 0 in silence."""
        place = self._place()
        return max(0, place[0] - self._heard.passage.figure_bar + 1) if place and self._heard else 0

    def _place(self) -> tuple[int, float] | None:
        """The bar that sounds, from 0, and the place in it in beats."""
        where = self._sound.position()
        if where is None or self._heard is None:
            return None
        passage = self._heard.passage
        bar, beats = divmod(where / passage.beat_seconds, passage.meter.beats)
        # At the very end rounding can lead a bar too far.
        return min(floor(bar), passage.bars - 1), beats
