"""Answers and histories to keep in tests."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from functools import cache
from pathlib import Path
from uuid import UUID

from game.learning.evidence import Answer
from game.records import PlayedStroke, Player, Records, Round, Take
from game.records.database import Database
from game.records.log import Logged
from game.records.opening import Opening
from game.records.takes import PlaceTiming

NOW = 1_795_591_891.25
"""A November morning in 2026, in seconds since the epoch."""

DAY = 86_400.0

ANSWER = Answer(
    at=NOW,
    level="stage-3",
    meter="4/4",
    bar="1 e a 2 & 3 e a 4 & a",
    beat=0,
    heard="1 e a",
    said="1 & a",
    seconds=2.4,
    orchestration="snare",
    tempo=80.0,
)


def uuid(number: int) -> str:
    """A UUID that is the same in every run."""
    return str(UUID(int=number, version=4))


def bar(at: float = NOW, **changes: object) -> list[Answer]:
    """The answers to one bar: right, wrong, skipped, right."""
    said = ("1 e a", "1 e", None, "1 & a")
    heard = ("1 e a", "1 &", "1 e a", "1 & a")
    return [
        replace(ANSWER, at=at, beat=beat, heard=heard[beat], said=said[beat], **changes)  # type: ignore[arg-type]
        for beat in range(4)
    ]


def how_it_came_about(**changes: object) -> list[Answer]:
    """The answers to one bar with every field at another value than usual."""
    told: dict[str, object] = {
        "hearings": 3, "choices": ("1 e a", "1 & a", "1 e"), "met": ("1 e a",), "changes": 2, "alone": 1, "slower": 2,
        "reason": "mixed up", "probability": 0.125, "ability": "reading",
    }  # fmt: skip
    return [replace(answer, unsure=answer.said is None) for answer in bar(**told | changes)]  # type: ignore[arg-type]


TAKE = Take(
    uuid="0b8f4f5e-43d5-4d1c-8a40-9c2f00000007",
    at=NOW,
    question="0b8f4f5e-43d5-4d1c-8a40-9c2f00000001",
    source="pads",
    tempo=80.0,
    strokes=(PlayedStroke(0.0, "R", "snare", 0.8), PlayedStroke(0.1875, None, "bass drum", 0.5)),
    timing=(PlaceTiming("all", 2, 0.015625, 0.0001220703125), PlaceTiming("&", 1, 0.0078125, 0.00006103515625)),
)


def keep_bars(records: Records, player: Player, bars: int) -> None:
    """Keep so many bars, one a second, at once: each by itself would be written through to the disk."""
    numbered = (enumerate(bar(at=NOW + number)) for number in range(bars))
    records.append_all(
        player, [Logged(uuid(number), *one) for number, answers in enumerate(numbered) for one in answers]
    )


def a_round(score: int = 640, **changes: object) -> Round:
    """A finished round of stage 3."""
    return replace(Round("stage-3", NOW, NOW + 300, 40, 31, 14, score, 10), **changes)  # type: ignore[arg-type]


def integrity(path: Path) -> str:
    """What SQLite's own full check says of a file."""
    with closing(sqlite3.connect(path)) as connection:
        return str(connection.execute("PRAGMA integrity_check").fetchone()[0])


@cache
def _tables() -> bytes:
    with Records.in_memory() as records:
        return records.database.connection.serialize()


def empty_records() -> Records:
    """Records as ``Records.in_memory`` makes them, from tables that are made once: for hundreds of examples."""
    database = Database(None)
    database.connection.deserialize(_tables())
    return Records(database, Opening(created=True))
