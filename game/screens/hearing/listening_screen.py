"""The base of screens whose bars can be heard again, slower, over and over, and otherwise as the player chooses."""

from pygame import Rect

from game.screens.base import Key
from game.screens.hearing.listening_panel import ListeningPanel
from game.screens.hearing.ruler_screen import RulerScreen
from game.sessions.hearing.hearing import Hearing, repeated
from game.sessions.hearing.listening import PACES, Listening
from game.widgets.moves import Next, Push


class ListeningScreen(RulerScreen):
    """A screen that plays bars as the player chose to listen.  Subclasses say ``hear``."""

    _told_then = False

    def hear(self) -> Next:
        """Play what was heard last, or what is to be heard first."""
        raise NotImplementedError

    def hear_words(self) -> str:
        """The words for what ``hear`` does now."""
        return "Stop" if self.stops else "Hear it again"

    def listening_keys(self) -> tuple[Key, ...]:
        """The keys for how bars are heard."""
        bindings = self.context.bindings
        slower = PACES[self.context.listening.slower.pace]
        return (
            Key(bindings.key("slower"), slower, self._hear_slower),
            Key(bindings.key("listening"), "how it is heard", self._open_choices),
        )

    def _open_choices(self) -> Next:
        return Push(ListeningPanel(self.context, self.hear, self.hear_words))

    def _hear_slower(self) -> Next:
        # Stopped first, for while it sounds ``hear`` would only stop it; and at its own pace, to be counted as it was.
        self.fall_silent()
        self.context.listening = self.context.listening.slower
        return self.hear()

    def fall_silent(self) -> None:
        """Break off what sounds."""
        self.loudspeaker.stop()

    @property
    def stops(self) -> bool:
        """Whether ``hear`` would stop what sounds: here only what sounds over and over."""
        return self.loudspeaker.loops

    @property
    def tells_sound(self) -> bool:
        """The part of the sound's state that words or buttons of the page depend on."""
        return self.stops

    def tick(self, now: float) -> list[Rect]:
        tells = self.tells_sound
        # The page is laid out anew only where its words change, and not with every frame of the sound.
        if tells != self._told_then:
            self._told_then, self.stale = tells, True
        return super().tick(now)

    def repeated(self, once: Hearing) -> Hearing:
        """The hearing over and over, where that was chosen, else once."""
        return repeated(once) if self.context.listening.loop else once


def pace_words(listening: Listening, tempo: float) -> str:
    """That bars are heard slower than they are asked, and by how much; nothing where they aren't."""
    if listening.pace == 1.0:
        return ""
    return f"{PACES[listening.pace].capitalize()}: {tempo * listening.pace:.0f} of {tempo:.0f}"
