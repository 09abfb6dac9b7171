"""What is believed of one player on one level: abilities, mix-ups, new figures, slowed pairs, predictions that held.

What needs the whole log, the memory over days and the staircase, is not in it.  A belief begins at some answer of the
log and takes in every one after it.  The coach begins a new one every so many answers and uses it once it has taken in
enough: so a long log need not be read from its start, and the same log always gives the same belief.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import AnsweredBar, Beat
from game.learning.confusions import Confusions
from game.learning.curves import Curves
from game.learning.evidence import Answer
from game.learning.forecast import TrackRecord
from game.learning.introduction import Steps
from game.learning.likelihood import Weighing, eased, right_chances, second_chances
from game.learning.recent import RecentAnswers
from game.learning.slow_practice import SlowedPairs

Floats = NDArray[np.float64]

SECOND_COUNTS = 0.7
"""The weight of a second wrong figure as a mix-up, against that of the first."""


class Lived(NamedTuple):
    """An answered bar as it was met: what time had undone of each figure (K,), and how far each still rang (K,).

    ``first`` is what was said at the first try, by the place of the beat, where this is the second.
    """

    bar: AnsweredBar
    forgotten: Floats
    ringing: Floats
    first: dict[int, int]


@dataclass
class Belief:
    """``steps`` is where it begins: what the answers before it tell of which figures were met."""

    steps: Steps

    def __post_init__(self) -> None:
        level = self.steps.level
        self.curves = Curves(len(level.figures))
        self.confusions = Confusions(level.figures)
        self.recent = RecentAnswers(len(level.figures), level.meter.beats)
        self.slowed = SlowedPairs(level)
        self.track = TrackRecord()
        self._weighing = Weighing(len(level.figures))

    def live_through(self, lived: list[Lived], rows: tuple[Answer, ...]) -> None:
        """Take in the answers to a bar: as beats, and as the rows of the log that they are."""
        for one in lived:
            absorb = self._absorb_second if one.bar[0][0].attempt > 1 else self._absorb
            absorb(*one.bar, one)
        self.steps = self.steps.after(rows)

    def _absorb(self, bar: list[Beat], places: list[int], lived: Lived) -> None:
        heard = np.array([beat.heard for beat in bar])
        forgotten = lived.forgotten[heard]
        chances = right_chances(lived.ringing[heard], np.array([eased(beat) for beat in bar]))
        abilities = self.curves.trait_abilities(heard, forgotten)
        # The prediction is noted before the answer is learned from: afterwards it would be no prediction.
        self.track.note(bar, (abilities * chances).sum(axis=(1, 2)).tolist())
        evidence = self._weighing.weigh(bar, chances, abilities)
        self.curves.absorb(heard, evidence.likelihood, forgotten, np.ones(len(bar)))
        # In this order: whether a pair was slowed is decided by the counts as they stood when the bar was asked.
        self.slowed.note(heard.tolist(), bar[0].tempo, self.recent)
        self.recent.note(bar, places)
        for beat, counts in zip(bar, evidence.counts.tolist(), strict=True):
            self.confusions.note(beat.heard, beat.said, counts)
        self.confusions.contrast(heard)

    def _absorb_second(self, bar: list[Beat], places: list[int], lived: Lived) -> None:
        """Take in a second try: of the same hearing, so that no time has passed, and a lesson where it came right."""
        heard = np.array([beat.heard for beat in bar])
        table = self.confusions.mistakes()
        said_first = [lived.first.get(place, -1) for place in places]
        mistaken = np.array(
            [table[beat.heard, said] if said >= 0 else 0.0 for beat, said in zip(bar, said_first, strict=True)]
        )
        eases = np.array([eased(beat) for beat in bar])
        chances = second_chances(right_chances(lived.ringing[heard], eases), mistaken)
        still = np.zeros(len(bar))
        evidence = self._weighing.weigh(bar, chances, self.curves.trait_abilities(heard, still))
        self.curves.absorb(heard, evidence.likelihood, still, np.array([float(beat.right > 0.5) for beat in bar]))
        for beat in bar:
            if beat.right <= 0.5:
                self.confusions.note(beat.heard, beat.said, SECOND_COUNTS)
