"""How hard a bar is made to hear: a staircase towards four right beats in five.

Weighted up-down after C. Kaernbach, "Simple adaptive testing with the weighted up-down method",
Perception & Psychophysics 49, 1991: steps up and down balance where up x p = down x (1 - p).
"""

from random import Random

from shared.levels import Level
from shared.orchestration import Setting

TARGET = 0.8
"""The share of right beats that the staircase settles at."""

STEP_UP = 0.01
STEP_DOWN = STEP_UP * TARGET / (1 - TARGET)

START = 0.25
"""Where on the way from easiest (0) to hardest (1) a new player begins."""

WANDER = 0.12
"""How far, on that way, a single bar strays, so that the ear learns the figure and not the tempo."""


class Staircase:
    """The difficulty that suits the player, from 0 to 1, and the settings that make it."""

    def __init__(self) -> None:
        self.difficulty = START

    def note(self, right: float, weight: float) -> None:
        """Take in a beat of which the share ``right`` was named right."""
        step = weight * (right * STEP_UP - (1 - right) * STEP_DOWN)
        self.difficulty = min(1.0, max(0.0, self.difficulty + step))

    def setting(self, level: Level, random: Random, easy: bool) -> Setting:
        """How to play the next bar: the level's easiest way, or one that suits the player."""
        difficulty = 0.0 if easy else min(1.0, max(0.0, self.difficulty + random.uniform(-WANDER, WANDER)))
        return Setting(
            orchestration=_orchestration(level, difficulty, random),
            tempo=_tempo(level, difficulty),
            groove_bars=min(level.groove_bars) if easy else random.choice(level.groove_bars),
            seed=random.getrandbits(31),
        )


def _tempo(level: Level, difficulty: float) -> float:
    low, high = level.tempo.low, level.tempo.high
    return min(high, max(low, float(round(low + difficulty * (high - low)))))


def _orchestration(level: Level, difficulty: float, random: Random) -> str:
    """One of the level's orchestrations; the later ones join as the difficulty rises."""
    open_to = 1 + int(difficulty * 1.5 * len(level.orchestrations))
    return random.choice(level.orchestrations[:open_to])
