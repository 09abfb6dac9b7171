"""What every screen can reach: the records, who plays, the settings, the sound and the clock."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from audio.sound import Sound
from game.records import Player, Records, Settings, data_folder, new_uuid
from game.records.players import UNNAMED
from game.sessions.clock import SteadyClock
from game.sessions.practice.listening import FEELS, Listening
from game.sessions.settings.bindings import Bindings
from shared.levels import Level, LevelError, find_level
from shared.orchestration import Setting
from shared.swing import STRAIGHT, safe_swings

if TYPE_CHECKING:
    from game.learning import Answer, Coach


@dataclass
class Context:
    """The things that outlive a screen.  Screens change ``player``, ``level`` and ``settings`` for all.

    ``now`` gives seconds since the epoch and never runs back; ``seed`` a number for a new round: tests fix both.
    ``notice`` is what the home page tells, such as that records could not be opened; ``listening`` how bars are
    heard until the window is closed.
    """

    records: Records
    settings: Settings
    player: Player
    level: Level
    sound: Sound
    now: Callable[[], float]
    seed: Callable[[], int]
    data_folder: Path
    notice: str = ""
    listening: Listening = field(default_factory=Listening)

    @property
    def bindings(self) -> Bindings:
        """The keys of this player."""
        return Bindings.kept(self.settings.keys)

    @property
    def own_levels(self) -> Path:
        """Where the player's own level files lie; the folder need not exist."""
        return self.data_folder / "levels"

    def change_settings(self, **changes: Any) -> None:
        """Change settings and keep them; the sound follows at once."""
        self.settings = replace(self.settings, **changes)
        self.records.save_settings(self.player, self.settings)
        self.tune()

    def tune(self) -> None:
        """Let the sound follow the settings."""
        self.sound.volume = self.settings.volume
        self.sound.latency = self.settings.calibration / 1000
        self.sound.use_kit(self.settings.kit)

    def played(self, setting: Setting) -> Setting:
        """A way of playing as this player wants it: their leading hand, their feel, swung where that is safe."""
        settings = self.settings
        swing = settings.swing if settings.swing in safe_swings(self.level.figures) else STRAIGHT
        return replace(setting, lead=settings.hand, feel=FEELS[settings.feel], swing=swing)

    def choose_player(self, player: Player) -> None:
        """Let another player play: with their settings and their level."""
        self.player = player
        self.records.choose_player(player)
        self.settings = self.records.settings(player)
        self.tune()
        try:
            self.level = find_level(self.settings.level, self.own_levels)
        except LevelError as error:
            self.notice = str(error)
            self.level = find_level("stage-1")

    def choose_level(self, level: Level) -> None:
        """Play on another level from now on."""
        self.level = level
        self.change_settings(level=level.name)

    def coach(self) -> "Coach":
        """The coach of this player on this level, who knows every answer to its figures in the records."""
        from game.learning import Coach  # numpy is slow to load: after the first picture

        counts = [figure.count for figure in self.level.figures]
        return Coach.replay(self.level, self.records.known(self.player, counts, self.now()), self.seed())

    def keep(self, answers: "tuple[Answer, ...]") -> None:
        """Keep the answers of this player to one bar."""
        self.records.append(self.player, new_uuid(), answers)

    def go_on_in_memory(self, reason: str) -> None:
        """Play on with records that go when the program ends; ``reason`` is told on the home page."""
        carried = self.records.to_memory(reason)
        self.records.close()
        self.records = carried
        if carried.player_with_uuid(self.player.uuid) is None:
            self.player = carried.add_player(self.player.name, self.now(), self.player.kind, self.player.uuid)
        self.notice = carried.opening.notice or ""


def open_context(
    now: Callable[[], float],
    seed: Callable[[], int],
    player: str | None = None,
    level: str | None = None,
    folder: str | Path | None = None,
) -> Context:
    """Open the records and find who plays on which level: those asked for, else the last ones.

    Raises the error, in one line, of a player or a level that does not exist.
    """
    place = data_folder(folder)
    records = Records.open_or_in_memory(place, now())
    who = records.find_player(player) if player else records.most_recent_player("player")
    who = who or records.add_player(UNNAMED, now())
    settings = records.settings(who)
    sound = Sound(kit=settings.kit, volume=settings.volume, latency=settings.calibration / 1000)
    first = find_level("stage-1")
    notice = records.opening.notice or ""
    context = Context(records, settings, who, first, sound, SteadyClock(now), seed, place, notice)
    context.choose_player(who)
    if level:
        context.level = find_level(level, context.own_levels)
    return context
