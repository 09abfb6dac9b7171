"""The base of every widget: a rectangle that paints itself, and perhaps takes the focus, a press or a key."""

from collections.abc import Callable
from dataclasses import dataclass, field

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.lettering import Fitted
from game.widgets.look import Look
from game.widgets.moves import Next

Act = Callable[[], Next]
"""The act of a press; it returns the page that comes next, None to stay."""

Draw = Callable[[Surface, Look, Rect], None]
"""Draws something into a rectangle."""


@dataclass(frozen=True)
class Lettered:
    """Text as it lies in its box, for painting and for the checks of the layout."""

    text: str
    box: Rect
    fitted: Fitted
    bold: bool = False

    @property
    def fits(self) -> bool:
        """Whether all the text is there, inside its box."""
        return not self.fitted.cut and self.fitted.width <= self.box.w and self.fitted.height <= self.box.h


def letter(look: Look, text: str, box: Rect, role: str = "body", bold: bool = False) -> Lettered:
    """Fit text of a role into a box."""
    return Lettered(text, box, lettering.fit(text, (box.w, box.h), look.type_size(role), bold), bold)


def write(canvas: Surface, lettered: Lettered, colour: str, align: str = "left", middle: bool = True) -> None:
    """Paint fitted text: aligned ``left``, ``centre`` or ``right``; in the middle of its height, or at the top."""
    fitted, box = lettered.fitted, lettered.box
    step = lettering.line_height(fitted.size)
    top = box.y + (box.h - fitted.height) // 2 if middle else box.y
    # Each line is a picture of its own, which is kept: a page that is painted again draws no letter anew.
    for k, line in enumerate(fitted.lines):
        image = lettering.drawn(line, fitted.size, colour, lettered.bold)
        slack = box.w - image.get_width()
        x = box.x + {"left": 0, "centre": slack // 2, "right": slack}[align]
        canvas.blit(image, (x, top + k * step + (step - image.get_height()) // 2))


@dataclass
class Widget:
    """A part of a screen.  ``name`` is unique on its screen and keeps the focus through a new layout.

    ``key`` is the name of a key that presses the widget from anywhere on the screen.
    """

    name: str
    rect: Rect
    key: str = field(default="", kw_only=True)
    focusable: bool = field(default=False, kw_only=True)
    focused: bool = field(default=False, kw_only=True)
    hovered: bool = field(default=False, kw_only=True)
    on_focus: Callable[[], None] | None = field(default=None, kw_only=True)

    repeats = False
    """Whether a key that is held down acts again and again while the widget has the focus."""

    # Class attributes, not fields: they belong to the kind of widget, and a subclass says otherwise in one line.
    focus_by_click = True
    """Whether a click brings the focus, where the widget can have it."""

    layered = False
    """Whether the widget is meant to lie over others."""

    def paint(self, canvas: Surface, look: Look) -> None:
        """Draw the widget; the focus ring is drawn by the screen."""

    def lettering(self, look: Look) -> list[Lettered]:  # noqa: ARG002
        """All text of the widget as it lies in its boxes."""
        return []

    def is_whole(self, look: Look) -> bool:
        """Whether all its words are there, and they and its notation inside its rectangle."""
        ink = self.ink()
        # Smooth edges of notation may reach two pixels further.
        if ink and not self.rect.inflate(4, 4).contains(ink):
            return False
        pieces = (piece for piece in self.lettering(look) if piece.text)
        return all(piece.fits and self.rect.contains(piece.box) for piece in pieces)

    def ink(self) -> Rect | None:
        """The pixels of notation, where the widget has any; they must lie inside its rectangle."""
        return None

    def press(self) -> Next:
        """The act of Enter, of the widget's key, or of a click."""
        return None

    def click(self, at: tuple[int, int]) -> Next:  # noqa: ARG002
        """A click at a place in the window: a press, unless the place matters."""
        return self.press()

    def drag(self, at: tuple[int, int]) -> bool:  # noqa: ARG002
        """The mouse moved to a place in the window, its button held since a click here; False for no use."""
        return False

    def take(self, event: pygame.Event) -> bool:  # noqa: ARG002 - for those that have a use
        """Take a key event that the focused widget has its own use for; False leaves it to the screen."""
        return False

    def scroll(self, down: int) -> bool:  # noqa: ARG002
        """Move on by so many rows of the mouse wheel; False when the widget does not scroll."""
        return False

    def replaces(self, before: "Widget") -> None:
        """Take over from the widget of this name that was there before what the page does not know."""

    @property
    def takes_text(self) -> bool:
        """Whether keys that write text belong to this widget before anything else."""
        return False

    @property
    def selected(self) -> str:
        """The text that is selected in it, to be copied."""
        return ""


@dataclass
class Label(Widget):
    """Text.  ``role`` is a type size, ``colour`` a colour of the theme, by name."""

    text: str
    role: str = "body"
    bold: bool = False
    colour: str = "ink"
    align: str = "left"
    middle: bool = False

    def lettering(self, look: Look) -> list[Lettered]:
        return [letter(look, self.text, self.rect, self.role, self.bold)]

    def paint(self, canvas: Surface, look: Look) -> None:
        for lettered in self.lettering(look):
            write(canvas, lettered, getattr(look.theme, self.colour), self.align, self.middle)


@dataclass
class Picture(Widget):
    """Something that a function of the screen draws into the rectangle: notation, a diagram.

    ``least`` is the height in units below which it can't be read; larger type must leave it that much.
    """

    draw: Draw
    least: int = field(default=0, kw_only=True)

    def is_whole(self, look: Look) -> bool:
        return self.rect.h >= look.u(self.least) and super().is_whole(look)

    def paint(self, canvas: Surface, look: Look) -> None:
        self.draw(canvas, look, self.rect)
