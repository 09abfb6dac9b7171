"""Settings and what is worked out from the log, as they are kept."""

import json
from typing import Any

from game.records.database import Database, Row
from game.records.errors import RecordsError
from game.records.players import Player
from game.records.settings import MACHINE_KEYS, Settings, faults_of, settings_from, values_of

_KEEP_OWN = "INSERT INTO player_setting (player, key, value) VALUES (?, ?, ?) "
_KEEP_MACHINE = "INSERT INTO machine_setting (key, value) VALUES (?, ?) "
_OR_CHANGE_OWN = "ON CONFLICT (player, key) DO UPDATE SET value = excluded.value"
_OR_CHANGE_MACHINE = "ON CONFLICT (key) DO UPDATE SET value = excluded.value"


def _loaded(rows: list[Row]) -> dict[str, Any]:
    values = {}
    for key, text in rows:
        try:
            values[key] = json.loads(text)
        except (ValueError, RecursionError):
            # Passed on as it is: the check of this setting then says what is wrong with it.
            values[key] = text
    return values


class Preferences:
    """The settings and derived values of one records file."""

    database: Database

    def settings(self, player: Player | None = None) -> Settings:
        """The settings of a player at this machine, or those that a new player would begin with."""
        values = _loaded(self.database.rows("SELECT key, value FROM machine_setting"))
        if player:
            # A row that another version kept for the player must not win over the machine's own.
            own = self.database.rows("SELECT key, value FROM player_setting WHERE player = ?", (player.id,))
            values |= {key: value for key, value in _loaded(own).items() if key not in MACHINE_KEYS}
        return settings_from(values)

    def has_settings(self, player: Player) -> bool:
        """Whether settings of this player's own were ever kept."""
        return bool(self.database.rows("SELECT 1 FROM player_setting WHERE player = ? LIMIT 1", (player.id,)))

    def save_settings(self, player: Player | None, settings: Settings) -> None:
        """Keep settings: the machine's for whoever plays, the others for this player.

        Without a player all of them are kept as what a new player begins with.  Raises ``RecordsError`` that lists
        every value that can't be.
        """
        # All faults in one error, before anything is written: a form shows them all.
        if faults := faults_of(settings):
            raise RecordsError("these settings can't be kept: " + "; ".join(faults))
        texts = {key: json.dumps(value) for key, value in values_of(settings).items()}
        machine = [(key, text) for key, text in texts.items() if player is None or key in MACHINE_KEYS]
        with self.database.transaction() as connection:
            connection.executemany(_KEEP_MACHINE + _OR_CHANGE_MACHINE, machine)
            if player:
                own = [(player.id, key, text) for key, text in texts.items() if key not in MACHINE_KEYS]
                connection.executemany(_KEEP_OWN + _OR_CHANGE_OWN, own)

    def keep_derived(self, player: Player, key: str, value: Any) -> None:
        """Keep what was worked out from a player's log (what JSON can hold), in place of what was there."""
        self.database.execute(
            "INSERT INTO derived (player, key, value) VALUES (?, ?, ?) " + _OR_CHANGE_OWN,
            (player.id, key, json.dumps(value, allow_nan=False)),
        )

    def derived(self, player: Player, key: str) -> Any:
        """The value last worked out under this key; None where there is none, or it can't be read any more."""
        rows = self.database.rows("SELECT key, value FROM derived WHERE player = ? AND key = ?", (player.id, key))
        try:
            return json.loads(rows[0][1]) if rows else None
        except (ValueError, RecursionError):
            return None
