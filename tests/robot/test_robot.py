"""A player that only hears gets every question right: sound, time, question, keys, marks and records agree."""

from itertools import cycle
from pathlib import Path

import pytest

from shared.figures import Figure
from tests.robot.player import BARS
from tests.robot.window import robot_at

BEATS = 4

FEW = 4
"""Bars enough to see that a player who does not listen gets them wrong."""


@pytest.mark.parametrize("rounds", [1, pytest.param(4, marks=pytest.mark.long)])
def test_the_robot_hears_everything(rounds: int, tmp_path: Path) -> None:
    """Rounds of stage 4 on the snare and down the kit, heard once each from the sound driver: every beat right."""
    with robot_at("stage-4", ("snare", "down-the-kit"), tmp_path, groove_bars=(0,)) as robot:
        for _ in range(rounds):
            robot.play_round()
        assert robot.wrong == []
        assert len(robot.answers) == rounds * BARS * BEATS
        perfect = (BARS * BEATS, BARS, 100 * BARS)
        assert [(done.right, done.hearings, done.score) for done in robot.rounds] == [perfect] * rounds


@pytest.mark.parametrize(
    ("stage", "orchestrations"),
    [
        ("stage-1", ("snare", "down-the-kit")),
        pytest.param("stage-6", ("kick-and-snare",), marks=pytest.mark.long),
    ],
)
def test_grooves_and_hats_do_not_deafen(stage: str, orchestrations: tuple[str, ...], tmp_path: Path) -> None:
    """A round after groove bars, and one with hi-hat quavers over the figures: every beat right."""
    with robot_at(stage, orchestrations, tmp_path) as robot:
        robot.play_round()
        assert robot.wrong == []
        assert len(robot.answers) == BARS * BEATS


def test_the_bars_differ(tmp_path: Path) -> None:
    """A player who does not listen, and says the figures in turn, gets few right: the questions can be failed."""
    with robot_at("stage-4", ("snare", "down-the-kit"), tmp_path, groove_bars=(0,)) as robot:
        turns = cycle(robot.level.figures)

        def say() -> list[Figure]:
            robot.let_pass()
            return [next(turns) for _ in range(BEATS)]

        robot.play_round(say, FEW)
        assert len(robot.answers) == FEW * BEATS
        assert len(robot.wrong) > len(robot.answers) / 2
