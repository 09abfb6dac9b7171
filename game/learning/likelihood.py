"""Works out P(answers of a bar | ability), from what was said, in which time, at which try and after which hearings.

It takes in what was said, how long that took, whether a pick was changed, how often and how slowly the bar was heard,
and which try it was.  A bar that looks answered at random is made to count less, by raising its likelihood to a power
below 1.  Shapes: n beats of the bar, T traits, A abilities.
"""

from dataclasses import dataclass
from math import log2, prod

import numpy as np
from numpy.typing import NDArray

from game.learning.beats import Beat
from game.learning.rates import ODDS, TRAITS
from game.learning.response_times import ResponseTimes

Floats = NDArray[np.float64]

SLIPS = 0.01
"""P(slip of the finger): how often what is known is named wrong, and what is not known is named right."""

HEARING_EASES, TEMPO_EASES = 0.6, 0.2
"""Log-odds by which a beat is easier when it was heard twice as often, and at the level's slowest tempo rather than its
middle one."""

RANDOM_BARS = 0.03
"""The prior probability that a bar is answered at random, without listening."""

EXAM_EARNEST = 0.3
"""The least weight of an exam's answers: an exam is sat in earnest, yet now and then one is thrown away."""

SKIP_WEIGHT = 0.7
"""The weight of a skipped beat against a wrong answer: less, for whoever skips may only have been in a hurry."""

ROUGH_WEIGHT = 0.5
"""The weight of "most, half, few had it" beside hands that were counted: it is a guess by eye, of one beat."""

FOLLOWED = 0.025
"""The step by which the running mean of right answers moves towards each new one (exponential smoothing)."""

_ECHO = np.array([trait.echo for trait in TRAITS])


def right_chances(ringing: Floats, eases: Floats) -> Floats:
    """P(right) of n beats (n, T, A), by trait and ability, as each still rings from its last hearing (n,), 0 to 1.

    ``eases`` (n,) are log-odds by which the beat was easier to hear than as the level usually has it.
    """
    # Everything that helps adds to the log-odds of the ability, as in the Rasch model; a slip bounds both ends.
    odds = ODDS + (ringing[:, None] * _ECHO + eases[:, None])[..., None]
    return np.asarray(SLIPS + (1 - 2 * SLIPS) / (1 + np.exp(-odds)))


def second_chances(chances: Floats, mistaken: Floats) -> Floats:
    """P(right at the second try) of n beats (n, T, A), from P(right) at the first.

    ``mistaken`` (n,) is P(the figure said first | wrong).  That figure is left out, the others keep their ratios:
    the choice rule of R. D. Luce, "Individual choice behavior", 1959.
    """
    # Not below 0.02: with two figures on offer the second try would be certain, and certainty has no logarithm.
    return np.asarray(chances / (chances + (1 - chances) * np.maximum(0.02, 1 - mistaken[:, None, None])))


def eased(beat: Beat) -> float:
    """Log-odds by which a beat was easier to hear than one at the level's middle tempo that was heard twice."""
    # In doublings, from two hearings on, as a bar is usually heard twice; one hearing is a doubling less.
    return HEARING_EASES * (log2(max(1, beat.hearings + beat.alone)) - 1) - TEMPO_EASES * beat.quick


@dataclass(frozen=True)
class Evidence:
    """The answers of a bar as evidence: their ``likelihood`` (n, T, A), and the weight of each (``counts`` (n,), 0 to
    1)."""

    likelihood: Floats
    counts: Floats


class Weighing:
    """Follows what is usual for the player, and weighs each bar against it."""

    def __init__(self, figures: int) -> None:
        self._figures = figures
        self._accuracy = 0.6
        self._times = ResponseTimes()

    def weigh(self, bar: list[Beat], chances: Floats, abilities: Floats) -> Evidence:
        """Weigh a bar's answers, where P(right) is ``chances`` (n, T, A) and P(trait, ability) ``abilities``."""
        said = _said(bar, chances)
        first = bar[0].attempt == 1
        # Who tries again was told which beats were wrong, and has shown to care: a second try is never at random.
        earnest = 1 - self._random(bar) if first else 1.0
        if bar[0].exam:
            earnest = max(EXAM_EARNEST, earnest)
        counts = np.array([earnest * _weight(beat) for beat in bar])
        # Doubt after what was said, since the time that it took belongs to this answer.
        known = abilities * np.exp(said)
        doubts = (known * (1 - chances)).sum(axis=(1, 2)) / known.sum(axis=(1, 2))
        timed = self._timed(bar, chances) + self._changed(bar, chances)
        if first:
            for beat, doubt in zip(bar, doubts.tolist(), strict=True):
                self._follow(beat, doubt, earnest)
        return Evidence(np.exp(counts[:, None, None] * (said + timed)), counts)

    def _timed(self, bar: list[Beat], chances: Floats) -> Floats:
        """The log-likelihood of the times (n, T, A): log seconds lie around a line of doubt, by a normal curve."""
        # One time for the whole bar was divided evenly: then the noise of each beat's part is larger.
        shared = len(bar) if len({beat.seconds for beat in bar}) == 1 else 1
        pauses = [self._times.read(beat.seconds, shared) for beat in bar]
        late, slope, spread = np.array(pauses).T[..., None, None]
        return np.asarray(-0.5 * ((late - slope * (1 - chances)) / spread) ** 2)

    def _changed(self, bar: list[Beat], chances: Floats) -> Floats:
        """The log-likelihood of the changed picks (n, T, A): the surer, the rarer, by as much as this player shows."""
        changed = np.array([beat.changes > 0 for beat in bar])[:, None, None]
        # The hundredth is for a slip that was mended: a changed pick must be possible without any doubt.
        chance = 0.01 + self._times.changing * (1 - chances)
        return np.asarray(np.where(changed, np.log(chance), np.log1p(-chance)))

    def _random(self, bar: list[Beat]) -> float:
        """The probability that the bar was answered at random."""
        answered = [beat.right > 0.5 for beat in bar if not beat.skipped]
        guess = 1 / (bar[0].choices or self._figures)
        # Bayes' rule for two hypotheses: guessing among what is on offer, or answering as well as usual.
        wild = prod(guess if right else 1 - guess for right in answered)
        usual = prod(self._accuracy if right else 1 - self._accuracy for right in answered)
        return RANDOM_BARS * wild / (RANDOM_BARS * wild + (1 - RANDOM_BARS) * usual)

    def _follow(self, beat: Beat, doubt: float, earnest: float) -> None:
        self._times.follow(beat.seconds, beat.changes > 0, doubt)
        accuracy = self._accuracy + FOLLOWED * earnest * (beat.right - self._accuracy)
        # Kept off both ends: with 1, a single wrong beat would prove that a bar was answered at random.
        self._accuracy = min(0.98, max(0.1, accuracy))


def _weight(beat: Beat) -> float:
    """The weight of a beat's answer, by how it came about."""
    if beat.rough:
        return ROUGH_WEIGHT
    return SKIP_WEIGHT if beat.skipped and not beat.unsure else 1.0


def _said(bar: list[Beat], chances: Floats) -> Floats:
    """The log-likelihood of what was said to each beat at each trait and ability (n, T, A).

    An ability is P(right) with all figures on offer.  Who does not know guesses: with fewer on offer a wrong answer
    is rarer by the same factor at every ability, and a right one tells less.
    """
    right, rarer = np.array([(beat.right, beat.wrong) for beat in bar]).T[..., None, None]
    wrong = rarer * (1 - chances)
    return np.asarray(np.log1p(-wrong) * right + np.log(wrong) * (1 - right))
