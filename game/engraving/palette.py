"""Palettes: the colour that a painter gives each tone of a layout."""

from collections.abc import Mapping

from shared.notation.engraved import INK

Palette = Mapping[str, str]
"""A colour such as ``#b35900`` for each tone; tones it lacks take the colour of ``ink``."""

BLACK: Palette = {INK: "#000000"}
"""Every tone in black."""


def colour(palette: Palette, tone: str) -> str:
    """The colour of a tone, such as ``#b35900``."""
    return palette.get(tone) or palette[INK]


def rgb(colour: str) -> tuple[int, int, int]:
    """A colour such as ``#b35900`` as red, green and blue from 0 to 255."""
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return red, green, blue
