"""Confidence intervals for shares of right answers, and for the difference of two shares, by Wilson's score method.

E. B. Wilson, "Probable inference, the law of succession, and statistical inference", JASA 22, 1927;
R. G. Newcombe, "Two-sided confidence intervals for the single proportion" (method 3) and "Interval
estimation for the difference between independent proportions" (method 10), Statistics in Medicine 17, 1998.
"""

from math import sqrt

Z_95 = 1.959964
"""The normal deviate of a two-sided 95 % interval."""


def wilson(right: float, answers: float) -> tuple[float, float]:
    """The 95 % interval for a share of which ``right`` of ``answers`` were seen; (0, 1) without any answer."""
    if answers <= 0:
        return 0.0, 1.0
    share, z = right / answers, Z_95
    middle = share + z * z / (2 * answers)
    half = z * sqrt(share * (1 - share) / answers + z * z / (4 * answers * answers))
    scale = 1 + z * z / answers
    # Clipped against rounding alone: the score interval never leaves 0 to 1, which is why it was chosen.
    return max(0.0, (middle - half) / scale), min(1.0, (middle + half) / scale)


def difference(after: tuple[float, float], before: tuple[float, float]) -> tuple[float, float]:
    """The 95 % interval for the later share less the earlier, each given as (right, answers), with answers above 0."""
    late, early = after[0] / after[1], before[0] / before[1]
    late_low, late_high = wilson(*after)
    early_low, early_high = wilson(*before)
    gap = late - early
    return (
        gap - sqrt((late - late_low) ** 2 + (early_high - early) ** 2),
        gap + sqrt((late_high - late) ** 2 + (early - early_low) ** 2),
    )
