"""What comes next after an event: another screen on top, one in place of this, the one below, or the end."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from game.screens.base import Screen


@dataclass(frozen=True)
class Push:
    """Put a screen on top of this one."""

    screen: "Screen"


@dataclass(frozen=True)
class Replace:
    """Put a screen in the place of this one."""

    screen: "Screen"


@dataclass(frozen=True)
class Pop:
    """Leave this screen for the one below, or so many screens at once."""

    screens: int = 1


@dataclass(frozen=True)
class Quit:
    """Close the window."""


Next = Push | Replace | Pop | Quit | None
"""What an act returns; None stays on the screen."""
