"""Reads and keeps the fills of whoever plays, for every page that shows them, and says which names are taken."""

from game.records import KeptFill
from game.records.players import name_key
from game.screens.context import Context
from game.sessions.fills.keeping import OpenedFill, kept_setting, opened
from shared.errors import UserError
from shared.fills import Fill, as_values
from shared.orchestration import Setting


def opened_fill(context: Context, one: KeptFill) -> OpenedFill | None:
    """A kept fill, ready to be heard and changed; None where it can't be read."""
    try:
        return opened(one.name, one.count, one.fill, one.setting, Setting(lead=context.settings.hand))
    except UserError:
        return None


def opened_fills(context: Context) -> list[OpenedFill]:
    """Every fill of the player that can be read."""
    found = (opened_fill(context, one) for one in context.records.fills(context.player))
    return [one for one in found if one]


def is_taken(context: Context, name: str) -> str:
    """Why a name can't be given to another fill, or nothing."""
    # As the records compare names: by other capitals or spaces a fill is still the same one.
    key = name_key(" ".join(name.split()))
    taken = any(name_key(one.name) == key for one in context.records.fills(context.player))
    return f"There is already a fill called {name.strip()}; choose another name." if taken else ""


def keep(context: Context, name: str, fill: Fill, setting: Setting) -> KeptFill:
    """Keep a fill under a name, in place of an older one of that name.  Raises ``RecordsError``."""
    kept = KeptFill(name, fill.count, as_values(fill), kept_setting(setting))
    return context.records.save_fill(context.player, kept)
