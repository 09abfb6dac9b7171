"""Keeping what was played: the take, what it tells of each figure, and the timing of its strokes."""

from dataclasses import replace

from game.screens.context import Context
from game.sessions.playing.playing import TIMING, Played
from game.sessions.progress.hands import with_take


def keep_played(context: Context, played: Played) -> None:
    """Keep a take and all that it tells; it can be tried again where that fails.  Raises ``RecordsError``."""
    if played.take is None:
        return
    records, player = context.records, context.player
    records.keep_take(player, played.take)
    for answers in played.answers:
        context.keep(played.question, answers)
    # The last of all: what fails before it is tried again, and no stroke may count twice.
    kept = records.derived(player, TIMING)
    strokes = played.report.deviations
    records.keep_derived(player, TIMING, with_take(kept if isinstance(kept, dict) else None, strokes, played.take.at))


def keep_free(context: Context, played: Played) -> None:
    """Keep the strokes alone of a take that was no answer to a bar.  Raises ``RecordsError``."""
    if played.take is not None:
        context.records.keep_take(context.player, replace(played.take, question=None))
