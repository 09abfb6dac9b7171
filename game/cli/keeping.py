"""Opens the records for a command, and finds the player that it is about."""

import argparse
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager

from game.cli.errors import say
from game.data_folder import data_folder
from game.records import Player, Records
from game.records.backups import backup_folder
from game.records.folders import RECORDS_NAME
from shared.errors import UserError

NOBODY = "there are no players yet; play a round first, with `drumlin` or `drumlin listen`"


class NobodyError(UserError, LookupError):
    """No player is known yet.  The message says what would do."""


@contextmanager
def opened_records(options: argparse.Namespace) -> Iterator[Records]:
    """The records of the data folder that was asked for; what was found there is told on the error stream."""
    with Records.open(data_folder(options.data_dir), time.time()) as records:
        if records.opening.notice:
            say(records.opening.notice)
        yield records


@contextmanager
def existing_records(options: argparse.Namespace) -> Iterator[Records]:
    """As ``opened_records``, for who only looks: where there is nothing, nothing is made.  Raises ``NobodyError``."""
    folder = data_folder(options.data_dir)
    # A link that leads nowhere, and backups of records that are gone, are something: opening tells what became of them.
    if not (os.path.lexists(folder / RECORDS_NAME) or backup_folder(folder).is_dir()):
        raise NobodyError(NOBODY)
    with opened_records(options) as records:
        yield records


def chosen_player(records: Records, name: str | None) -> Player:
    """The player of that name, else the one who played last.  Raises ``RecordsError`` or ``NobodyError``."""
    found = records.find_player(name) if name else records.most_recent_player()
    if found is None:
        raise NobodyError(NOBODY)
    return found
