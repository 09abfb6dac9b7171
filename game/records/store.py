"""The records of one data folder."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Self
from uuid import uuid4

from game.records.backups import back_up, backup_folder, copy_to, is_sound
from game.records.database import WAIT_SECONDS, Database
from game.records.errors import LockedRecordsError, RecordsError, explaining
from game.records.exchange import Exchange
from game.records.folders import made_folder, minute, unused
from game.records.opening import Opening, open_database
from game.records.players import Player
from game.records.schema import upgrade
from shared.files import shown, slug


def new_uuid() -> str:
    """A fresh UUID, version 4, from the system's randomness."""
    return str(uuid4())


class Records(Exchange):
    """The records: players, answers, rounds, exams, takes, settings, fills and riddles.

    ``opening`` is the outcome of opening the file; ``lasting`` is False for records in memory, which go when the
    program ends.  Every method raises ``RecordsError``, one line for the player, where the file can't be read or
    written.
    """

    def __init__(self, database: Database, opening: Opening, new_uuid: Callable[[], str] = new_uuid) -> None:
        """Use ``Records.open`` or ``Records.in_memory``."""
        self.database = database
        self._new_uuid = new_uuid
        self.opening = opening

    @classmethod
    def open(cls, folder: Path, now: float, wait: float = WAIT_SECONDS) -> Self:
        """Open the records in a data folder, made if missing; ``wait``: seconds to wait for a locked file."""
        records = cls(*open_database(folder, now, wait))
        try:
            records.interrupt_left_exams()
        except RecordsError:
            records.close()
            raise
        return records

    @classmethod
    def in_memory(cls, reason: str | None = None) -> Self:
        """Records that last as long as the program.  ``reason``: why, to be told to the player."""
        database = Database(None)
        upgrade(database.connection)
        notice = f"{reason}. Until then nothing of this session is kept." if reason else None
        return cls(database, Opening(created=True, notice=notice))

    @classmethod
    def open_or_in_memory(cls, folder: Path, now: float, wait: float = WAIT_SECONDS) -> Self:
        """As ``open``; where that fails, records in memory whose notice says why."""
        try:
            return cls.open(folder, now, wait)
        except RecordsError as error:
            return cls.in_memory(str(error))

    def to_memory(self, reason: str) -> "Records":
        """Records in memory that hold what this file holds, as far as it can be read: for going on after an error.

        Players keep their places, so that those known from the file can be used with them.
        """
        carried = Records.in_memory(reason)
        with suppress(RecordsError):
            self.database.copy_to(carried.database.connection)
            return carried
        return Records.in_memory(reason)

    def wait_at_most(self, seconds: float) -> None:
        """Wait no longer, from now on, for another program that holds the file."""
        self.database.wait_at_most(seconds)

    def is_free(self) -> bool:
        """Whether no other program holds the file just now; other faults are left to whoever uses it next."""
        try:
            self.database.knock()
        except LockedRecordsError:
            return False
        except RecordsError:
            return True
        return True

    @property
    def path(self) -> Path | None:
        """The records file; None in memory."""
        return self.database.path

    @property
    def lasting(self) -> bool:
        """Whether what is kept outlives the program."""
        return self.path is not None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; closing twice does nothing."""
        self.database.close()

    def backup(self, path: Path) -> None:
        """Write a copy of everything to ``path``.  Only an older backup is ever replaced."""
        back_up(self.database, path)

    def remove(self, player: Player, now: float) -> Path | None:
        """Remove a player, once everything was copied to a backup: returns where, None in memory.

        Their history lies beside it, to be imported again; ``drumlin history restore`` brings all of the backup back,
        as it was then.  Raises ``RecordsError`` where the backup can't be made; then
        nothing was removed.
        """
        kept = None
        if self.path is not None:
            folder = made_folder(backup_folder(self.path.parent))
            # A name of signs alone leaves nothing for a file's name.
            kept = unused(folder / f"records-with-{slug(player.name) or 'player'}-{minute(now)}.sqlite")
            copy_to(self.database, kept)
            self.export_history(unused(kept.with_suffix(".jsonl")), player)
        self.remove_player(player)
        return kept

    def restore(self, backup: Path, now: float) -> Path | None:
        """Bring a backup back, whole or not at all.  What was there is first kept beside it: returns where.

        Raises ``RecordsError`` where the backup is not sound; then nothing has changed.
        """
        if self.path is not None and backup.resolve() == self.path.resolve():
            raise RecordsError(f"{shown(backup)} is the records file itself; choose a backup")
        if not is_sound(backup):
            raise RecordsError(f"{shown(backup)} is no sound backup of records; choose another")
        kept = self._keep_present(now)
        # Opened as it is, not by ``open``: a backup must not be upgraded, nor get a backup of its own.
        copied = Database(backup)
        try:
            # Into the open file, so that whoever holds these records goes on with the backup's.
            copied.copy_to(self.database.connection)
            # The backup may be of an older version.
            with explaining(self.path):
                upgrade(self.database.connection)
        finally:
            copied.close()
        return kept

    def _keep_present(self, now: float) -> Path | None:
        # Of records without players nothing can be lost.
        if self.path is None or not self.players():
            return None
        kept = unused(self.path.with_name(f"records-before-restore-{minute(now)}.sqlite"))
        copy_to(self.database, kept)
        return kept
