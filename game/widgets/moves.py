"""The moves between pages that an event can bring: put one on top, replace one, leave one, or close the window."""

from dataclasses import dataclass
from typing import Protocol

import pygame
from pygame import Rect, Surface

from game.sessions.inputs import Input
from game.widgets.look import Look


# A protocol and no base class: widgets return moves to pages, and must not import the pages that are made of them.
class Page(Protocol):
    """A page on the window's stack: it paints itself, takes events and says which page comes next.

    ``over``: the page below stays visible around it; ``stale``: it must be painted again; ``type_room``: the largest
    factor of type that was not found too large, by the window's size in pixels.
    """

    over: bool
    stale: bool
    type_room: dict[tuple[int, int], float]

    @property
    def taking(self) -> bool:
        """Whether a take runs, whose strokes are recorded with their times."""

    @property
    def hears_pads(self) -> bool:
        """Whether strokes on pads are wanted now."""

    def strike(self, stroke: Input) -> bool:
        """Take a stroke; False leaves its key to what keys do otherwise."""

    @property
    def repeats(self) -> bool:
        """Whether a key that is held down acts again and again."""

    @property
    def takes_text(self) -> bool:
        """Whether keys write text."""

    @property
    def writing_area(self) -> Rect | None:
        """Where text is written; None where none is."""

    @property
    def selected(self) -> str:
        """The text that is selected, to be copied."""

    def entered(self) -> None:
        """Begin: the page has come to the top."""

    def left(self) -> None:
        """Stop what must not go on: the page is no longer on top."""

    def is_whole(self, look: Look) -> bool:
        """Whether nothing of it is cut or hidden."""

    def tell(self, words: str) -> None:
        """Show a message at the head of the page until the next key or click."""

    def handle(self, event: pygame.Event) -> "Next":
        """Take an event."""

    def moves_on(self, now: float) -> "Next":
        """The move that the page makes by itself at a time (seconds); None to stay."""

    def tick(self, now: float) -> list[Rect]:
        """Let time pass; returns the rectangles that must be painted again."""

    def lay_out(self, look: Look) -> None:
        """Lay out the widgets anew."""

    def lose_focus(self) -> None:
        """Show no focus."""

    def paint(self, canvas: Surface, look: Look) -> None:
        """Draw all of it."""


@dataclass(frozen=True)
class Push:
    """Put a page on top of this one."""

    page: Page


@dataclass(frozen=True)
class Replace:
    """Put a page in the place of this one, or of ``old`` and all that lies over it."""

    page: Page
    old: Page | None = None


@dataclass(frozen=True)
class Pop:
    """Leave this page for the one below, or ``page`` with all that lies over it."""

    page: Page | None = None


@dataclass(frozen=True)
class Quit:
    """Close the window."""


Next = Push | Replace | Pop | Quit | None
"""The result of an act: where to go; None stays on the page."""
