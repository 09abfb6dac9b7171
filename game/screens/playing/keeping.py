"""Keeping what was played: the take, what it tells of each figure, and the timing of its strokes."""

from dataclasses import replace

from game.screens.context import Context
from game.sessions.playing.playing import TIMING, Played, TakeRecord
from game.sessions.progress.hands import with_take


def keep_record(context: Context, record: TakeRecord) -> None:
    """Keep takes and all that they tell; it can be tried again where that fails.  Raises ``RecordsError``."""
    records, player = context.records, context.player
    for take in record.takes:
        records.keep_take(player, take)
    for question, answers in record.answers:
        context.keep(question, answers)
    # The last of all: what fails before it is tried again, and no stroke may count twice.
    kept = records.derived(player, TIMING)
    told = with_take(kept if isinstance(kept, dict) else None, record.deviations, record.at)
    records.keep_derived(player, TIMING, told)


def keep_played(context: Context, played: Played) -> None:
    """Keep a take of one bar, unless there is nothing of it to be kept.  Raises ``RecordsError``."""
    if played.to_keep:
        keep_record(context, played.to_keep)


def keep_free(context: Context, played: Played) -> None:
    """Keep the strokes alone of a take that was no answer to a bar.  Raises ``RecordsError``."""
    if played.take is not None:
        context.records.keep_take(context.player, replace(played.take, question=None))
