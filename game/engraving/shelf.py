"""Caches of drawn pictures, each limited by its number of pixels.

A limit on the number of pictures would let a few large ones fill the memory.
"""

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, ParamSpec, TypeVar

from pygame import Surface

Value = TypeVar("Value")
Arguments = ParamSpec("Arguments")


class Shelf(Generic[Value]):
    """A cache of drawn pictures, least recently used first, up to a number of pixels."""

    def __init__(self, pixels: int) -> None:
        self.pixels = pixels
        self.clear()

    def clear(self) -> None:
        """Forget everything."""
        self.room = self.pixels
        self.kept: OrderedDict[object, tuple[Value, int]] = OrderedDict()

    def get(self, key: object) -> Value | None:
        """The value kept under a key, which becomes the last to go; None where there is none."""
        if key not in self.kept:
            return None
        self.kept.move_to_end(key)
        return self.kept[key][0]

    def keep(self, key: object, value: Value, pixels: int) -> Value:
        """Keep a value and forget the least used until all fit."""
        self.kept[key] = (value, pixels)
        self.room -= pixels
        # What was just drawn stays, however large: it is about to be shown.
        while self.room < 0 and len(self.kept) > 1:
            self.room += self.kept.popitem(last=False)[1][1]
        return value


class Shelved(Generic[Arguments]):
    """A function that draws surfaces, with a shelf of its own: what it was asked for before it need not draw."""

    def __init__(self, draw: Callable[Arguments, Surface], pixels: int) -> None:
        self.draw = draw
        self.shelf: Shelf[Surface] = Shelf(pixels)

    def __call__(self, *args: Arguments.args, **keywords: Arguments.kwargs) -> Surface:
        """The surface; treat it as read-only."""
        # An argument given by name is another key than the same one by place: it is drawn twice, which costs time only.
        key = args, tuple(keywords.items())
        kept = self.shelf.get(key)
        if kept is not None:
            return kept
        surface = self.draw(*args, **keywords)
        return self.shelf.keep(key, surface, surface.get_width() * surface.get_height())


def shelved(pixels: int) -> Callable[[Callable[Arguments, Surface]], Shelved[Arguments]]:
    """Keep what a function draws, up to so many pixels of 4 bytes in all."""
    return lambda draw: Shelved(draw, pixels)
