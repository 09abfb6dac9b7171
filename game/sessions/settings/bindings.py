"""Which key does what while a bar is heard and answered, and a player's own choice of keys."""

from collections.abc import Mapping
from dataclasses import dataclass

from shared.errors import UserError

TILE_KEYS = "1234567890qwertyuiopdfgj"
"""The keys of the tiles, in their order: as many as a level can have figures."""

ACTS = {
    "hear": ("Hear the bar", "space"),
    "slower": ("Slower", "s"),
    "beat": ("Hear one beat", "b"),
    "listening": ("How it is heard", "l"),
    "take back": ("Take back", "backspace"),
    "not sure": ("Not sure", "n"),
    "known": ("I know it", "k"),
    "answer": ("Your answer", "a"),
    "both": ("Both in turn", "c"),
    "word": ("Your own word", "m"),
}
"""The acts that have a key, beside the tiles': the words for each, and its usual key."""

TILES = tuple(f"tile {number}" for number in range(1, len(TILE_KEYS) + 1))
"""The acts of saying a figure, by the number of its tile."""

USUAL = {**{act: key for act, (_, key) in ACTS.items()}, **dict(zip(TILES, TILE_KEYS, strict=True))}
"""The usual key of every act."""

FIXED = ("return", "escape", "tab", "left", "right", "up", "down", "f11")
"""Keys that mean the same everywhere."""


class TakenKeyError(UserError, ValueError):
    """A key that can't be had for an act.  The message says why and what would do."""


@dataclass(frozen=True)
class Bindings:
    """The keys of a player.  ``own`` holds those that differ from the usual ones, by act, as the settings keep them."""

    own: Mapping[str, str]

    @classmethod
    def kept(cls, own: Mapping[str, str]) -> "Bindings":
        """Those that were kept; the usual ones where they can't all be used, as after a change by hand."""
        # An act of another version is passed over.
        known = cls({act: key for act, key in own.items() if act in USUAL})
        keys = [known.key(act) for act in USUAL]
        # One key for two acts, or a fixed key for any, and some act could not be reached: better none of them than
        # half.
        return known if len({*keys, *FIXED}) == len(keys) + len(FIXED) else cls({})

    def key(self, act: str) -> str:
        """The key of an act."""
        return self.own.get(act) or USUAL[act]

    @property
    def tiles(self) -> tuple[str, ...]:
        """The keys of the tiles, in their order."""
        return tuple(self.key(act) for act in TILES)

    def changed(self, act: str, key: str) -> dict[str, str]:
        """The player's own keys with another one for an act.  Raises ``TakenKeyError``."""
        if key in FIXED:
            raise TakenKeyError("That key means the same on every page: choose another.")
        for other in USUAL:
            if other != act and self.key(other) == key:
                raise TakenKeyError(f"That key is taken by “{act_words(other)}”: choose another, or change that first.")
        own = {**self.own, act: key}
        # Only what differs is kept: whoever has changed nothing gets the usual keys of a later version too.
        return {name: chosen for name, chosen in own.items() if USUAL.get(name) != chosen}


def act_words(act: str) -> str:
    """The words for an act."""
    return ACTS[act][0] if act in ACTS else act.capitalize()
