"""The ways in from the home page; each screen is loaded when it is opened."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from game.screens.base import Screen
from game.screens.context import Context
from shared.figures import Figure


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
        # By name and not by an import above, else the first picture would wait for every page there is.
        opened: Screen = getattr(import_module(f"game.screens.{module}"), opener)(context)
        return opened

    return open_screen


WAYS = (
    Way("practice", "p", "Practice", "Ten bars, three minutes", _at("practice.question.open_practice")),
    Way("figures", "f", "Figures", "Every one, to hear", _at("figures.library.open_library")),
    Way("playing", "y", "Playing", "On keys or a drum", _at("playing.start.open_playing")),
    Way("plan", "l", "Practice plan", "What to drill next", _at("progress.plan.PlanPage")),
    Way("fills", "b", "Your fills", "Write and keep them", _at("fills.shelf.open_fills")),
    Way("reading", "d", "Reading", "From page to ear", _at("reading.reading.ReadingStart")),
    Way("progress", "g", "Progress", "What is mixed up", _at("progress.progress.open_progress")),
    Way("exam", "e", "Mock exam", "The level's own rules", _at("exam.start.ExamStart")),
    Way("class", "c", "Class", "A room, a show of hands", _at("lesson.start.open_class_start")),
    Way("paper", "w", "Paper", "A worksheet for a class", _at("paper.paper.open_paper")),
    Way("pupils", "u", "Pupils", "Who, and what holds", _at("pupils.pupils.open_pupils")),
    Way("level-files", "v", "Levels", "Look, copy and edit", _at("levels.levels.Levels")),
)
"""The ways in: the main one, then the others in their order for somebody who has opened none of them yet."""

PRACTICE = WAYS[0]

SETTINGS = Way("settings", "s", "Settings", "Names, keys, sound", _at("settings.settings.SettingsScreen"))
DEMO = Way("demo", "o", "Demo", "An invented drum room", _at("home.demo.DemoStart"))
"""Two ways that are seldom wanted: their keys stand at the foot of the page."""

RECORDINGS = (".wav", ".flac", ".ogg", ".mp3", ".mid", ".midi")
"""The endings of files that are read as recordings when they are dropped on the first page."""


def recording_way(context: Context, path: Path) -> Screen:
    """The page that reads a recording."""
    opened: Screen = import_module("game.screens.playing.recording").open_recording(context, path)
    return opened


def pair_practice(context: Context, figures: Sequence[Figure]) -> Screen:
    """The page of a short round of two figures."""
    opened: Screen = import_module("game.screens.practice.question").open_drill(context, *figures)
    return opened


CLOSING = Way("closing", "", "Closing round", "All figures, each bar heard once", _at("practice.question.open_closing"))
"""The way that is offered in place of practice when a level holds."""
