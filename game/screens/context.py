"""The context that every screen gets: the service, and what only the window has."""

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from audio.pads import Pads
from game.data_folder import data_folder
from game.records import Player, Records, RecordsError
from game.service import Service, found_or_added
from game.sessions.hearing.listening import Listening
from game.sessions.inputs import KEYS, MICROPHONE, PADS, InputDevice
from game.sessions.settings.bindings import Bindings
from shared.bars import Meter
from shared.levels import LevelError, find_level
from shared.names import metronome_mark
from shared.orchestration import Setting

if TYPE_CHECKING:
    from audio.microphone import Microphone

LONGEST_PAUSE = 0.2
"""Seconds that a frame may wait for another program that holds the records, before the window says so."""


@dataclass
class Context(Service):
    """The service under the window.  ``listening`` is how bars are heard until the window is closed.

    ``pads`` are opened by the page that takes strokes; who plays on what is in the settings.
    """

    listening: Listening = field(default_factory=Listening)
    pads: Pads = field(default_factory=Pads)

    @cached_property
    def microphone(self) -> "Microphone":
        """The microphone, which is opened by the page that listens."""
        # Not above: numpy is slow to load, and the first picture must not wait for it.
        from audio.microphone import Microphone

        return Microphone()

    @property
    def instrument(self) -> InputDevice:
        """The device that the player has chosen to play on."""
        settings = self.settings
        if settings.play_on == MICROPHONE:
            # A microphone can't tell hands apart.
            return InputDevice(MICROPHONE, settings.microphone, {})
        if settings.play_on == PADS:
            return InputDevice(PADS, settings.pads, settings.pad_hands)
        left, right = tuple(settings.hand_keys)
        return InputDevice(KEYS, settings.hand_keys, {left: "L", right: "R"})

    def close(self) -> None:
        """Let go of every device and the records."""
        self.pads.close()
        # Looked up where a cached property keeps its value: to ask the property itself would make one only to stop it.
        if "microphone" in self.__dict__:
            self.microphone.stop()
        super().close()

    @property
    def bindings(self) -> Bindings:
        """The keys of this player."""
        return Bindings.kept(self.settings.keys)

    def as_chosen(self, asked: Setting) -> Setting:
        """The setting for a bar for which ``asked`` is asked, in the way of listening that was chosen."""
        return self.heard(asked, self.listening)

    def tempo_words(self, tempo: float, meter: Meter | None = None) -> str:
        """A tempo in beats a minute as every page has it, in this player's note names; of the level's meter if none is
        given."""
        return metronome_mark(tempo, (meter or self.level.meter).compound, self.settings.terms)


@dataclass
class ClassContext(Context):
    """The context of a class's lessons (``player``), with settings, level and listening of the class's own.

    Records and sound are those of the window (``window``).
    """

    window: Context | None = None

    def go_on_in_memory(self, reason: str) -> None:
        """As for the window, which must not go on with records that were closed under it."""
        if self.window is None:
            super().go_on_in_memory(reason)
            return
        self.window.go_on_in_memory(reason)
        self.follow_window()

    def follow_window(self) -> None:
        """Take the records of the window, which plays on with others where its own can't be used any more."""
        if self.window is None or self.records is self.window.records:
            return
        self.records, self.notice = self.window.records, self.window.notice
        # Records in memory know nobody yet; under its old UUID the class's answers still belong together.
        if self.records.player_with_uuid(self.player.uuid) is None:
            self.player = self.records.add_player(self.player.name, self.now(), "class", self.player.uuid, recent=False)


def class_context(window: Context, room: Player) -> ClassContext:
    """The context of a class; one without settings of its own begins on a projector, at the level at hand."""
    records = window.records
    if records.has_settings(room):
        settings = records.settings(room)
        try:
            level = find_level(settings.level, window.own_levels)
        except LevelError:
            level = window.level
    else:
        level = window.level
        settings = replace(records.settings(room), theme="projector", level=level.name)
    # Records, sound, clock and seeds are the window's; the class's own is what follows.
    shared = {one.name: getattr(window, one.name) for one in fields(Service)}
    shared |= {
        "settings": settings,
        "player": room,
        "level": level.counted_in(settings.counting),
        "notice": "",
        "pads": window.pads,
    }
    return ClassContext(**shared, window=window)


def give_back(context: Context) -> None:
    """Let the sound follow the window's own player again, where a class's page is left."""
    if isinstance(context, ClassContext) and context.window:
        try:
            context.window.take_settings()
        except RecordsError:
            # A page is also left because its records can't be read any more: what was known before goes on then.
            context.window.tune()


def open_context(
    now: Callable[[], float],
    seed: Callable[[], int],
    player: str | None = None,
    level: str | None = None,
    folder: str | Path | None = None,
) -> Context:
    """Open the records and find who plays on which level: those asked for, else the last ones.

    Records that can't be opened are kept in memory, which the home page tells.  Raises the error, in one line, of
    a player or a level that does not exist.
    """
    place = data_folder(folder)
    records = Records.open_or_in_memory(place, now())
    records.wait_at_most(LONGEST_PAUSE)
    who = records.find_player(player) if player else found_or_added(records, None, now())[0]
    return Context.start(records, who, level, now, seed, place)
