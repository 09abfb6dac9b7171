"""Banks that the tests of a run share: a hit is made once, not once in each of them, and nobody can write into it."""

from functools import cache

from audio.kit import Bank


@cache
def bank_of(kit: str = "practice", seed: int = 0) -> Bank:
    """The bank of a kit in its own room."""
    return Bank(kit, seed)
