"""How well a player that only hears does in every way of playing; `-s` shows the scores.

It takes minutes: `python -m pytest -m bench tests/bench/test_robot.py -s`.
"""

from pathlib import Path

import pytest

from tests.bench.page import hold
from tests.robot.window import PARTS, robot_at

STAGES = tuple(f"stage-{number}" for number in range(1, 7))
PLAIN = ("snare", "down-the-kit", "toms", "hands", "accents", "fill-1", "fill-2")
"""Where nothing but the figures sounds while they do."""


@pytest.mark.timeout(600)
@pytest.mark.parametrize("name", [*PLAIN, *PARTS])
@pytest.mark.parametrize("stage", STAGES)
def test_robot_hears_every_way_of_playing(stage: str, name: str, tmp_path: Path) -> None:
    """A round of ten bars after up to two groove bars: every beat right, in the mixed ways of playing nearly so."""
    with robot_at(stage, (name,), tmp_path, groove_bars=(0, 1, 2)) as robot:
        robot.play_round()
        right = 1 - len(robot.wrong) / len(robot.answers)
        print(f"{stage} {name:15}{len(robot.answers):3} beats, {right:.1%} right {robot.wrong}")
        kind = "mixed" if name in PARTS else "plain"
        hold(
            f"the robot hears, {kind} ways of playing",
            100 * right,
            95.0 if name in PARTS else 100.0,
            "% of beats",
            True,
        )
