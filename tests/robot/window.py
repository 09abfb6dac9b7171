"""The robot before the real window, on a display that nobody sees."""

import os
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any, TypeVar

import pygame
import pytest

from game.app import App, close_display, open_display
from game.screens.context import open_context
from game.screens.home.home import first_screens
from game.sessions.levels.writing import level_text
from shared.levels import find_level
from shared.orchestration import ORCHESTRATIONS
from tests.listening import CYMBALS, DRUMS, EVERYTHING
from tests.robot.ear import Microphone
from tests.robot.player import Robot

MONDAY = 1_750_000_000.0
"""When the robot's clock begins, in seconds since the epoch."""

Ear = TypeVar("Ear", bound=Microphone)

PARTS = {"kick-and-snare": DRUMS, "hat": CYMBALS, "ride": CYMBALS}
"""Where the figures are, in the orchestrations in which something else sounds at the same time."""


@contextmanager
def robot_at(
    stage: str, orchestrations: Sequence[str], folder: Path, groove_bars: tuple[int, ...] | None = None
) -> Iterator[Robot]:
    """A robot that practises a stage, played in the ways given, from the home page on."""
    (how,) = {(ORCHESTRATIONS[name].asked_beats, PARTS.get(name, EVERYTHING)) for name in orchestrations}
    changes = {"groove_bars": groove_bars} if groove_bars else {}
    with window_at(stage, orchestrations, folder, **changes) as (app, microphone):
        yield Robot(app, microphone, *how)


@contextmanager
def window_at(
    stage: str, orchestrations: Sequence[str], folder: Path, ear: type[Ear] = Microphone, **changes: Any
) -> Iterator[tuple[App, Ear]]:
    """The window on a stage, with what is changed in it, at its home page; and the ear that hears what it plays.

    The clock runs as fast as the sound is heard; whatever else the machine does, it changes nothing.
    """
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    level = replace(find_level(stage), orchestrations=tuple(orchestrations), **changes)
    file = folder / f"{stage}-here.toml"
    file.write_text(level_text(level), encoding="utf-8")
    with ExitStack() as stack:
        microphone = ear(folder)
        patch = stack.enter_context(pytest.MonkeyPatch.context())
        for name, value in {**microphone.environment, "SDL_VIDEODRIVER": "dummy"}.items():
            patch.setenv(name, value)
        seeds = count(1)
        context = open_context(
            lambda: MONDAY + microphone.seconds, lambda: next(seeds), level=str(file), folder=folder / "data"
        )
        stack.callback(context.records.close)
        # First answers, to all figures of the level, are what it is held to.
        context.change_settings(first_start_done=True, second_try=False, beginnings={context.level.name: "at once"})
        canvas = open_display((1024, 640))
        stack.callback(close_display)
        stack.callback(context.sound.close)
        stack.callback(microphone.close)
        pygame.event.clear()  # what an earlier window was told is not for this one
        yield App(context, first_screens(context), canvas), microphone
