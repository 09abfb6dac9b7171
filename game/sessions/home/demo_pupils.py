"""Invented pupils who learn: believable answers without anybody's data."""

from dataclasses import dataclass, field
from math import exp
from random import Random

from shared.figures import Figure
from shared.likeness import likeness

SLIP = 0.02
"""How often even a known figure is missed."""

NIGHT_LOSS = 0.06
"""Log-odds that a night away costs each figure."""


@dataclass
class Pupil:
    """A simulated learner: log-odds of knowing each figure, which grow with hearing and fade overnight.

    ``start`` is the log-odds of a figure never heard; ``gain`` what one hearing adds, less where much is known.
    """

    name: str
    start: float
    gain: float
    pace: float = 3.0
    known: dict[Figure, float] = field(default_factory=dict)

    def chance(self, figure: Figure, behind: float = 0.0) -> float:
        """P(named right if asked now), or played right by hands so far ``behind`` in log-odds."""
        return (1 - SLIP) / (1 + exp(behind - self.known.get(figure, self._first(figure))))

    def _first(self, figure: Figure) -> float:
        """Fewer strokes, and a stroke on the beat, are easier to begin with (our own assumption)."""
        off_the_beat = not figure.onsets or figure.onsets[0] != 0
        return self.start - 0.35 * len(figure.onsets) - 0.8 * off_the_beat + 1.0

    def say(self, heard: Figure, choices: tuple[Figure, ...], random: Random, behind: float = 0.0) -> Figure:
        """Name a figure, or play it with hands so far ``behind`` the ear in log-odds: the right one, or one like it."""
        if random.random() < self.chance(heard, behind):
            return heard
        others = [figure for figure in choices if figure != heard]
        # Squared, since pupils mix up what is most alike far more than the rest; a little is left for any other.
        return random.choices(others, [likeness(heard, other) ** 2 + 1e-3 for other in others])[0]

    def hear(self, figure: Figure) -> None:
        """Hear a figure with its name."""
        # A little is gained even where all is known (1.15, not 1), else nights would undo more than days bring.
        self.known[figure] = self.known.get(figure, self._first(figure)) + self.gain * (1.15 - self.chance(figure))

    def sleep(self) -> None:
        """A night passes."""
        for figure in self.known:
            self.known[figure] -= NIGHT_LOSS

    def seconds(self, heard: Figure, random: Random) -> float:
        """How long a beat's answer takes: longer where less is known."""
        # Response times are skewed, with few very long ones; a log-normal is their usual plain model (from memory).
        return round(self.pace * (1.6 - self.chance(heard)) * random.lognormvariate(0, 0.35), 2)
