"""The ways in from the home page; each screen is loaded when it is opened."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

from game.screens.base import Screen
from game.screens.context import Context


@dataclass(frozen=True)
class Way:
    """A way in from the home page: its key, its title, a few words, and the screen it opens."""

    name: str
    key: str
    title: str
    about: str
    open: Callable[[Context], Screen]


def _opening(module: str, screen: str) -> Callable[[Context], Screen]:
    """What opens a screen of a module: that module and what it needs are loaded only then."""

    def open_screen(context: Context) -> Screen:
        made: Screen = getattr(import_module(f"game.screens.{module}"), screen)(context)
        return made

    return open_screen


WAYS = (
    Way("practice", "p", "Practice", "Ten bars by ear, about three minutes", _opening("practice.question", "Practice")),
    Way("class", "c", "Class", "A room, a show of hands", _opening("lesson.start", "ClassStart")),
    Way("exam", "e", "Mock exam", "The level's own rules", _opening("exam.start", "ExamStart")),
    Way("reading", "d", "Reading", "From page to ear", _opening("reading.reading", "ReadingStart")),
    Way("plan", "l", "Practice plan", "What to drill next", _opening("progress.plan", "PlanPage")),
    Way("progress", "g", "Progress", "What is mixed up", _opening("progress.progress", "Progress")),
    Way("demo", "o", "Demo", "An invented drum room", _opening("home.demo", "DemoStart")),
)
"""The ways in, the main one first."""

TOOLS = (
    Way("figures", "f", "Figures", "Every figure, its names and sounds", _opening("figures.library", "Library")),
    Way("bars", "b", "Your bars", "Write a bar and play it", _opening("bars.shelf", "OwnBars")),
    Way("levels", "v", "Levels", "Look through, copy and edit", _opening("levels.levels", "Levels")),
)
"""What helps beside the ways in; the home page lists them at its foot."""
