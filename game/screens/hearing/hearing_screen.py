"""The base of screens whose buttons play something short; the button of what sounds says "Stop" and does so."""

from collections.abc import Hashable

from pygame import Rect

from game.screens.base import Screen
from game.screens.context import Context
from game.sessions.hearing.listening import EXACT
from game.widgets.base import Act
from game.widgets.controls import Button
from game.widgets.moves import Next
from game.widgets.pairs import in_turn
from shared.figures import Figure
from shared.orchestration import Setting, arrange
from shared.passages import Passage


class HearingScreen(Screen):
    """A screen with things to hear; pressing what sounds stops it, and so does a change of the settings.

    Each thing has a token, any value of its own, by which the screen knows what sounds.
    """

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._begun: Hashable = None
        self._settings_then = context.settings

    def sounds(self, what: Hashable) -> bool:
        """Whether the thing of this token sounds now, and was begun with the settings as they are now."""
        # With another kit or swing the button means a new sound: to press it again must not be taken for "stop".
        as_set = self._settings_then == self.context.settings
        return what is not None and self._begun == what and as_set and self.context.sound.position() is not None

    def hear(self, what: Hashable, passage: Passage) -> Next:
        """Play the thing of this token from its beginning, or stop it if it sounds."""
        if self.sounds(what):
            self._fall_silent()
        else:
            self._begun, self._settings_then = what, self.context.settings
            self.context.sound.play(passage)
        return None

    def hear_pair(self, first: Figure, second: Figure) -> Next:
        """Play two figures in turn, at the level's slowest tempo."""
        level = self.context.level
        setting = self.context.heard(Setting(tempo=level.tempo.low), EXACT)
        return self.hear((first, second), arrange(in_turn(level, first, second), setting))

    def hear_button(self, name: str, box: Rect, text: str, what: Hashable, act: Act, *, key: str) -> Button:
        """A button that plays something, or stops it; its words say which."""
        sounds = self.sounds(what)
        return Button(name, box, "Stop" if sounds else text, act, lit=sounds, key=key)

    def tick(self, now: float) -> list[Rect]:
        # It came to its end, or the settings changed: the button must say "Stop" no longer.
        if self._begun is not None and not self.sounds(self._begun):
            self._fall_silent()
            self.stale = True
        return super().tick(now)

    def left(self) -> None:
        self._fall_silent()

    def _fall_silent(self) -> None:
        self.context.sound.stop()
        self._begun = None
