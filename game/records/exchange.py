"""Export of a player's history to a file, as JSON lines or as a table, and import of one."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from itertools import chain, count, groupby
from operator import attrgetter
from pathlib import Path
from typing import cast

from game.learning.evidence import Answer
from game.records.fills import Fills, KeptFill, SharedRiddle
from game.records.folders import check_target
from game.records.history_file import Progress, is_history, read_history, write_lines
from game.records.history_lines import (
    Owner,
    answer_line,
    exam_line,
    fill_line,
    header_line,
    riddle_line,
    round_line,
    take_line,
)
from game.records.log import Log, Logged, Wanted
from game.records.players import Player, PlayerKind, Players
from game.records.preferences import Preferences
from game.records.results import Exam, Results, Round
from game.records.takes import Take, Takes
from shared.levels import shipped_names
from shared.tables import csv_line

_FIELDS = tuple(one.name for one in fields(Answer))

LOOKED_BACK = 1000
"""How many of the last answers are looked through for a level that this machine has."""

CSV_COLUMNS = ("time", *_FIELDS)
"""The columns of a CSV file: the time in ISO 8601, UTC, then the fields of ``Answer``; figures are set off by ;"""


@dataclass(frozen=True)
class Imported:
    """The outcome of an import: for whom, how many answers and rounds were new, how many answers were there already.

    ``fills`` and ``riddles`` are how many of these were new; ``known_as`` is the player's name in the file where it is
    another than here.
    """

    player: Player
    answers: int
    known: int
    rounds: int
    fills: int = 0
    riddles: int = 0
    known_as: str | None = None


class Exchange(Players, Log, Results, Takes, Fills, Preferences):
    """Histories out of one records file and into it."""

    def export_history(self, path: Path, player: Player) -> int:
        """Write what is kept of a player to a history file, but for settings; returns how many answers.

        Raises ``RecordsError`` where the file can't be written, or is there already and is no history.
        """
        check_target(path, is_history, "history file")
        write_lines(path, self._history_lines(player))
        return self.count_answers(player)

    def _history_lines(self, player: Player) -> Iterator[str]:
        yield header_line(Owner(player.uuid, player.name, player.kind))
        yield from map(answer_line, self.logged(player))
        for uuid, finished in self.round_rows(player):
            yield round_line(uuid, finished)
        # One that is being sat now is left out: it could be gone on with on two machines.
        yield from (exam_line(exam) for exam in self.exams(player) if exam.state != "running")
        yield from map(take_line, self.takes(player))
        yield from map(fill_line, self.fills(player))
        yield from map(riddle_line, self.shared_riddles(player))

    def export_csv(self, path: Path, player: Player) -> int:
        """Write a player's answers as a table for other programs; returns how many.

        Raises ``RecordsError`` where the file can't be written, or is there already and is no such table.
        """
        check_target(path, _is_our_csv, "table of answers")
        answers = self.answers(player)
        write_lines(path, chain([_CSV_HEADER], map(_csv_row, answers)))
        return len(answers)

    def import_history(
        self, path: Path, now: float, into: Player | None = None, progress: Progress = lambda _: None
    ) -> Imported:
        """Bring in a history file: all of it, or nothing where a line is bad.

        It goes to the player of the same UUID, or to ``into``; else a player is added, under another name where
        the name is taken: "Wren (2)".  What is here already stays as it is, so importing twice changes nothing.
        Whoever had no answers here goes on at the level they last played.
        ``progress`` is told how far the file is read.
        """
        items = read_history(path, progress)
        number = count()
        # One transaction around all of it: a bad line at the end undoes what the first thousand brought.
        with self.database.transaction():
            owner = cast(Owner, next(items))
            player = into or self.player_with_uuid(owner.uuid) or self._add_owner(owner, now)
            answers, rounds = 0, len(self.round_rows(player))
            new = not self.answers(player, Wanted(last=1))
            made: Counter[type] = Counter()
            # Answers come in long runs: each run goes into the file in batches, all else one by one.
            for kind, group in groupby(items, type):
                if kind is Logged:
                    # ``number`` counts what is read, without holding it.  The group comes first in the zip, so that
                    # its end uses up no number.
                    numbered = zip(cast(Iterator[Logged], group), number, strict=False)
                    answers += self.append_all(player, (one for one, _ in numbered))
                else:
                    for item in group:
                        made[kind] += self._bring_in(player, item)
            rounds = len(self.round_rows(player)) - rounds
            if new:
                self._go_on(player)
        known_as = owner.name if into is None and player.name != owner.name else None
        return Imported(player, answers, next(number) - answers, rounds, made[KeptFill], made[SharedRiddle], known_as)

    def _bring_in(self, player: Player, item: object) -> bool:
        """Bring in one thing; returns whether it is a fill or a riddle that was not here."""
        match item:
            case (str(uuid), Round() as finished):
                self.save_round(player, finished, uuid)
            case Exam():
                self.save_exam(player, item)
            case Take():
                self.keep_take(player, item)
            case KeptFill():
                return self.bring_fill(player, item)
            case SharedRiddle():
                return self.bring_riddle(player, item)
        return False

    def _go_on(self, player: Player) -> None:
        """Put a player on the level of their last answers; a level file of another machine may not be here."""
        levels = (answer.level for answer in reversed(self.answers(player, Wanted(last=LOOKED_BACK))))
        level = next((name for name in levels if name in shipped_names()), None)
        if level:
            self.save_settings(player, replace(self.settings(player), level=level))

    def _add_owner(self, owner: Owner, now: float) -> Player:
        # Not as the most recent: a teacher who brings in a pupil's history does not want to play as that pupil.
        return self.add_player(self.free_name(owner.name), now, cast(PlayerKind, owner.kind), owner.uuid, recent=False)


def _iso(at: float) -> str:
    # By adding, since ``fromtimestamp`` goes no further than the year 3000 on some systems (from memory).
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=at)).isoformat(timespec="seconds")


_cells = attrgetter(*_FIELDS)


def _csv_row(answer: Answer) -> str:
    cells = (";".join(cell) if isinstance(cell, tuple) else cell for cell in _cells(answer))
    return csv_line([_iso(answer.at), *cells])


_CSV_HEADER = csv_line(CSV_COLUMNS)


def _is_our_csv(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(_CSV_HEADER)) == _CSV_HEADER.encode()
