"""The ways in from the home page; each screen is loaded when it is opened."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from game.screens.base import Screen
from game.screens.context import Context


@dataclass(frozen=True)
class Way:
    """A way in from the home page: its key, its title, a few words, and what opens its screen."""

    name: str
    key: str
    title: str
    about: str
    open: Callable[[Context], Screen]


def _at(place: str) -> Callable[[Context], Screen]:
    """The function that opens a screen, by its place in ``game.screens``; only the call loads the module."""
    module, _, opener = place.rpartition(".")

    def open_screen(context: Context) -> Screen:
        opened: Screen = getattr(import_module(f"game.screens.{module}"), opener)(context)
        return opened

    return open_screen


WAYS = (
    Way("practice", "p", "Practice", "Ten bars by ear, about three minutes", _at("practice.question.open_practice")),
    Way("class", "c", "Class", "A room, a show of hands", _at("lesson.start.open_class_start")),
    Way("exam", "e", "Mock exam", "The level's own rules", _at("exam.start.ExamStart")),
    Way("reading", "d", "Reading", "From page to ear", _at("reading.reading.ReadingStart")),
    Way("playing", "y", "Playing", "On keys, pads or a drum", _at("playing.start.open_playing")),
    Way("plan", "l", "Practice plan", "What to drill next", _at("progress.plan.PlanPage")),
    Way("progress", "g", "Progress", "What is mixed up", _at("progress.progress.open_progress")),
    Way("demo", "o", "Demo", "An invented drum room", _at("home.demo.DemoStart")),
)
"""The ways in, the main one first."""

TOOLS = (
    Way("figures", "f", "Figures", "Every figure, its names and sounds", _at("figures.library.open_library")),
    Way("fills", "b", "Your fills", "Make music with what you know", _at("fills.shelf.open_fills")),
    Way("paper", "w", "Paper", "A worksheet for a class", _at("paper.paper.open_paper")),
    Way("levels", "v", "Levels", "Look through, copy and edit", _at("levels.levels.Levels")),
)
"""What helps beside the ways in; the home page lists them at its foot."""

RECORDINGS = (".wav", ".flac", ".ogg", ".mp3", ".mid", ".midi")
"""The endings of files that are read as recordings when they are dropped on the first page."""


def recording_way(context: Context, path: Path) -> Screen:
    """The page that reads a recording."""
    opened: Screen = import_module("game.screens.playing.recording").open_recording(context, path)
    return opened


CLOSING = Way("closing", "", "Closing round", "All figures, each bar heard once", _at("practice.question.open_closing"))
"""What is offered in place of practice when a level holds."""
