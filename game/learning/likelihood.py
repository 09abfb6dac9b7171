"""How likely an answer is at each ability: what was said, in what time, how it was heard, and how earnestly.

A bar answered at random tells nothing; doubt shows in time and in changed picks; what was heard slowly or often is
easier; on a second try one wrong figure is out of the running.
"""

from dataclasses import dataclass
from math import log2, prod

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import Beat
from game.learning.rates import ODDS, TRAITS
from game.learning.response import ResponseTimes

Floats = NDArray[np.float64]

SLIPS = 0.01
"""How often what is known is named wrong, and what is not known right, by a slip of the finger."""

HEARING_EASES, TEMPO_EASES = 0.6, 0.2
"""Log-odds by which twice as many hearings make a bar easier, and its level's slowest tempo against its middle one."""

RANDOM_BARS = 0.03
"""How often a bar is answered at random, before it is seen."""

EXAM_EARNEST = 0.3
"""The least that an exam's answers count: it is sat in earnest, and yet one may be thrown away."""

SKIP_WEIGHT = 0.7
"""What a skipped beat tells of not knowing: less than a mistake, which may only be a slip the other way."""

FOLLOWED = 0.025
"""How quickly the usual accuracy follows each new answer."""

_ECHO = np.array([trait.echo for trait in TRAITS])


def right_chances(ringing: Floats, eases: Floats) -> Floats:
    """P(right) of n beats (n, T, A), by trait and ability, as each still rings from its last hearing (n,), 0 to 1.

    ``eases`` (n,) are log-odds by which the beat was easier to hear than as the level usually has it.
    """
    odds = ODDS + (ringing[:, None] * _ECHO + eases[:, None])[..., None]
    return np.asarray(SLIPS + (1 - 2 * SLIPS) / (1 + np.exp(-odds)))


def second_chances(chances: Floats, mistaken: Floats) -> Floats:
    """P(right at the second try) of n beats (n, T, A), from P(right) at the first.

    ``mistaken`` (n,) is P(the figure said first | wrong).  That figure is left out, the others keep their ratios:
    the choice rule of R. D. Luce, "Individual choice behavior", 1959.
    """
    return np.asarray(chances / (chances + (1 - chances) * np.maximum(0.02, 1 - mistaken[:, None, None])))


def eased(beat: Beat) -> float:
    """Log-odds by which a beat was easier to hear than the level's middle tempo, heard twice, makes it."""
    return HEARING_EASES * (log2(max(1, beat.hearings + beat.alone)) - 1) - TEMPO_EASES * beat.quick


@dataclass(frozen=True)
class Evidence:
    """What the answers of a bar tell: their ``likelihood`` (n, T, A), and how far each ``counts`` (n,), 0 to 1."""

    likelihood: Floats
    counts: Floats


class Weighing:
    """Follows what is usual for the player, and weighs each bar against it."""

    def __init__(self, figures: int) -> None:
        self._figures = figures
        self._accuracy = 0.6
        self._times = ResponseTimes()

    def weigh(self, bar: list[Beat], chances: Floats, abilities: Floats) -> Evidence:
        """What a bar's answers tell, where P(right) is ``chances`` (n, T, A) and P(trait, ability) ``abilities``."""
        said = _said(bar, chances)
        first = bar[0].attempt == 1
        earnest = 1 - self._random(bar) if first else 1.0
        if bar[0].exam:
            earnest = max(EXAM_EARNEST, earnest)
        counts = np.array([earnest * (SKIP_WEIGHT if beat.skipped and not beat.unsure else 1.0) for beat in bar])
        known = abilities * np.exp(said)
        doubts = (known * (1 - chances)).sum(axis=(1, 2)) / known.sum(axis=(1, 2))
        timed = self._timed(bar, chances) + self._changed(bar, chances)
        if first:
            for beat, doubt in zip(bar, doubts.tolist(), strict=True):
                self._follow(beat, doubt, earnest)
        return Evidence(np.exp(counts[:, None, None] * (said + timed)), counts)

    def _timed(self, bar: list[Beat], chances: Floats) -> Floats:
        """The log-likelihood of the times (n, T, A): log seconds lie around a line of doubt, by a normal curve."""
        shared = len(bar) if len({beat.seconds for beat in bar}) == 1 else 1
        pauses = [self._times.read(beat.seconds, shared) for beat in bar]
        late, slope, spread = np.array(pauses).T[..., None, None]
        return np.asarray(-0.5 * ((late - slope * (1 - chances)) / spread) ** 2)

    def _changed(self, bar: list[Beat], chances: Floats) -> Floats:
        """The log-likelihood of the changed picks (n, T, A): the surer, the rarer, by as much as this player shows."""
        changed = np.array([beat.changes > 0 for beat in bar])[:, None, None]
        chance = 0.01 + self._times.changing * (1 - chances)
        return np.asarray(np.where(changed, np.log(chance), np.log1p(-chance)))

    def _random(self, bar: list[Beat]) -> float:
        """The probability that the bar was answered at random."""
        answered = [beat.right > 0.5 for beat in bar if not beat.skipped]
        guess = 1 / (bar[0].choices or self._figures)
        wild = prod(guess if right else 1 - guess for right in answered)
        usual = prod(self._accuracy if right else 1 - self._accuracy for right in answered)
        return RANDOM_BARS * wild / (RANDOM_BARS * wild + (1 - RANDOM_BARS) * usual)

    def _follow(self, beat: Beat, doubt: float, earnest: float) -> None:
        self._times.follow(beat.seconds, beat.changes > 0, doubt)
        accuracy = self._accuracy + FOLLOWED * earnest * (beat.right - self._accuracy)
        self._accuracy = min(0.98, max(0.1, accuracy))


def _said(bar: list[Beat], chances: Floats) -> Floats:
    """The log-likelihood of what was said to each beat at each trait and ability (n, T, A).

    An ability is P(right) with all figures on offer.  Who does not know guesses: with fewer on offer a wrong answer
    is rarer by the same factor at every ability, and a right one tells less.
    """
    right, rarer = np.array([(beat.right, beat.wrong) for beat in bar]).T[..., None, None]
    wrong = rarer * (1 - chances)
    return np.asarray(np.log1p(-wrong) * right + np.log(wrong) * (1 - right))
