"""The robot's window, its microphone and its level."""

import os
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path

import pygame
import pytest

from game.app import App, close_display, open_display
from game.screens.context import Context, open_context
from game.screens.home import first_screens
from shared.levels import find_level, level_text
from tests.robot.ear import Microphone

MONDAY = 1_750_000_000.0
"""When the robot's clock begins, in seconds since the epoch."""


@pytest.fixture
def microphone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Microphone]:
    """An ear at the sound driver, for a program that opens its sound after it."""
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    microphone = Microphone(tmp_path)
    for name, value in microphone.environment.items():
        monkeypatch.setenv(name, value)
    yield microphone
    microphone.close()


@pytest.fixture
def context(tmp_path: Path, microphone: Microphone) -> Iterator[Context]:
    """A player on stage 4, played plainly; the clock runs as fast as the sound is heard."""
    level = replace(find_level("stage-4"), orchestrations=("snare", "down-the-kit"), groove_bars=(0,))
    file = tmp_path / "plain-stage-4.toml"
    file.write_text(level_text(level), encoding="utf-8")
    seeds = count(1)
    context = open_context(
        lambda: MONDAY + microphone.seconds, lambda: next(seeds), level=str(file), folder=tmp_path / "data"
    )
    context.change_settings(first_start_done=True)
    yield context
    context.records.close()


@pytest.fixture
def app(context: Context, microphone: Microphone, monkeypatch: pytest.MonkeyPatch) -> Iterator[App]:
    """The real window on a display that nobody sees."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    canvas = open_display((1024, 640))
    yield App(context, first_screens(context), canvas)
    microphone.close()
    context.sound.close()
    pygame.event.clear()
    close_display()
