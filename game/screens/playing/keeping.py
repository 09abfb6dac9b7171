"""Keeping what was played: the take with the timing of its strokes, and what it tells of each figure."""

from game.screens.context import Context
from game.sessions.playing.playing import TakeRecord


def keep_record(context: Context, record: TakeRecord) -> None:
    """Keep takes and all that they tell; it can be tried again where that fails.  Raises ``RecordsError``."""
    for take in record.takes:
        context.records.keep_take(context.player, take)
    for question, answers in record.answers:
        context.keep(question, answers)
