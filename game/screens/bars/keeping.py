"""Keeping a bar under a name, from the list of bars or from the desk where one is written."""

from game.records import OwnBar
from game.records.players import name_key
from game.screens.context import Context
from game.sessions.bars.writing import kept
from shared.bars import Bar
from shared.orchestration import Setting
from shared.swing import STRAIGHT


def is_taken(context: Context, name: str) -> str:
    """Why a name can't be given to another bar, or nothing."""
    taken = any(name_key(bar.name) == name_key(" ".join(name.split())) for bar in context.records.bars(context.player))
    return f"There is already a bar called {name.strip()}; choose another name." if taken else ""


def keep(context: Context, name: str, bar: Bar, setting: Setting) -> OwnBar:
    """Keep a bar under a name, in place of an older one of that name.  Raises ``RecordsError``."""
    return context.records.save_bar(context.player, OwnBar(name, bar.count, kept(bar, setting)))


def as_swing(swing: float) -> str:
    """A swing in per cent, in words."""
    return "straight" if swing == STRAIGHT else f"{swing:.0f}%"
