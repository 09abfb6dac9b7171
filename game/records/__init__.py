"""The records in SQLite: players, their answers, results, takes, fills and settings.  The one door to the database."""

from game.records.errors import DamagedRecordsError, LockedRecordsError, NewerRecordsError, RecordsError
from game.records.fills import KeptFill, Riddle
from game.records.folders import levels_folder
from game.records.log import Wanted
from game.records.opening import Opening
from game.records.players import Player
from game.records.results import Exam, Round
from game.records.settings import Settings
from game.records.store import Records, new_uuid
from game.records.takes import PlayedStroke, Take

__all__ = [
    "DamagedRecordsError",
    "Exam",
    "KeptFill",
    "LockedRecordsError",
    "NewerRecordsError",
    "Opening",
    "PlayedStroke",
    "Player",
    "Records",
    "RecordsError",
    "Riddle",
    "Round",
    "Settings",
    "Take",
    "Wanted",
    "levels_folder",
    "new_uuid",
]
