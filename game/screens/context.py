"""What every screen can reach: the records, who plays, the settings, the sound and the clock."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from game.records import Player, Records, Settings
    from game.screens.sound import Sound
    from shared.levels import Level


@dataclass
class Context:
    """The things that outlive a screen.  Screens change ``player``, ``level`` and ``settings`` for all.

    ``now`` gives seconds since the epoch; ``seed`` a number for a new round, so that tests can fix both.
    ``notice`` is a line to be shown once on the next home page, such as why there is no sound.
    """

    records: "Records"
    settings: "Settings"
    player: "Player"
    level: "Level"
    sound: "Sound"
    now: Callable[[], float]
    seed: Callable[[], int]
    data_folder: Path
    notice: str = field(default="")
