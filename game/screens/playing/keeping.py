"""Keeping what was played: the take with the timing of its strokes, and what it tells of each figure."""

from dataclasses import replace

from game.screens.context import Context
from game.sessions.playing.playing import Played, TakeRecord


def keep_record(context: Context, record: TakeRecord) -> None:
    """Keep takes and all that they tell; it can be tried again where that fails.  Raises ``RecordsError``."""
    records, player = context.records, context.player
    for take in record.takes:
        records.keep_take(player, take)
    for question, answers in record.answers:
        context.keep(question, answers)


def keep_played(context: Context, played: Played) -> None:
    """Keep a take of one bar, unless there is nothing of it to be kept.  Raises ``RecordsError``."""
    if played.to_keep:
        keep_record(context, played.to_keep)


def keep_free(context: Context, played: Played) -> None:
    """Keep the strokes alone of a take that was no answer to a bar.  Raises ``RecordsError``."""
    if played.take is not None:
        context.records.keep_take(context.player, replace(played.take, question=None))
