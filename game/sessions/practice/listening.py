"""How a player listens: tempo, count-in, click, hi-hat, once or over and over.

None of it changes what is asked: the figures' own strokes stay where they are and as they are, and every
hearing counts.
"""

from dataclasses import dataclass, replace

from game.sessions.practice.hearing import Heard, beat_alone, heard, in_turn, repeated
from shared.bars import Bar
from shared.orchestration import Setting, arrange, hats_down
from shared.passages import Passage

PACES = {1.0: "full tempo", 0.75: "three-quarter tempo", 0.5: "half tempo"}
"""The shares of the tempo on offer, in words; a bar is played slower, not stretched."""

LOOPS = 16
"""How many times a loop plays the bar before it ends by itself."""

FEELS = {"off": 0.0, "light": 0.5, "loose": 1.0}
"""How loosely the strokes fall, by the name of the setting: see ``Setting.feel``."""


@dataclass(frozen=True)
class Listening:
    """The choices of one player, kept as long as the window is open."""

    pace: float = 1.0
    count_in: bool = True
    click: bool = False
    hats_down: bool = False
    loop: bool = False

    @property
    def slower(self) -> "Listening":
        """At the next slower tempo; after the slowest, at the full one again."""
        paces = list(PACES)
        return replace(self, pace=paces[(paces.index(self.pace) + 1) % len(paces)])

    def setting(self, setting: Setting) -> Setting:
        """How a bar is played that a question sets so."""
        chosen = replace(setting, count_in=setting.count_in and self.count_in, click=setting.click or self.click)
        return chosen if self.pace == 1.0 else chosen.slower(self.pace)

    def bar(self, bar: Bar, setting: Setting, caption: str) -> Heard:
        """A whole bar."""
        return self._looped(heard(self._passage(bar, setting), caption))

    def beat(self, bar: Bar, setting: Setting, beat: int, caption: str) -> Heard:
        """One beat (from 0) of a bar, between sticks."""
        return self._looped(self._beat(bar, setting, beat, caption))

    def bars_in_turn(self, played: Bar, answered: Bar, setting: Setting) -> Heard:
        """A bar as it was played, then as it was answered."""
        one = heard(self._passage(played, setting), "As played")
        other = heard(self._passage(answered, setting), "As you said")
        return in_turn(one, other)

    def beats_in_turn(self, played: Bar, answered: Bar, setting: Setting, beat: int) -> Heard:
        """A beat (from 0) as it was played, then as it was answered."""
        one, other = (
            self._beat(bar, setting, beat, caption)
            for bar, caption in ((played, "As played"), (answered, "As you said"))
        )
        return in_turn(one, other)

    def told(self) -> str:
        """What was chosen beside the tempo, in a few words; nothing where all is as usual."""
        words = {
            "no count-in": not self.count_in,
            "click": self.click,
            "hats down": self.hats_down,
            "loop": self.loop,
        }
        return ", ".join(word for word, chosen in words.items() if chosen).capitalize()

    def _passage(self, bar: Bar, setting: Setting) -> Passage:
        passage = arrange(bar, self.setting(setting))
        return hats_down(passage) if self.hats_down else passage

    def _beat(self, bar: Bar, setting: Setting, beat: int, caption: str) -> Heard:
        return heard(beat_alone(self._passage(bar, setting), beat + 1), caption, beat)

    def _looped(self, once: Heard) -> Heard:
        return repeated(once, LOOPS) if self.loop else once
