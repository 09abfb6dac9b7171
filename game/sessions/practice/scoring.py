"""A round's minutes and points: how many points each right beat earns, and why not all of them."""

from collections.abc import Sequence

from game.wording import how_often

ROUND_MINUTES = 3
"""About how long a round takes, heard and answered."""

BEAT_POINTS = 10
"""The points of a beat that is right at the first try, its bar heard once."""

LEAST = 5
"""The fewest points that a right beat keeps: to listen once more must never be worse than to guess."""

FULL = 1000
"""The score, as it is kept, of a round in which every beat earned all it could; a player sees points alone."""

RULE_NUMBER = 2
"""The number of this rule, kept with each round: a best is compared only with rounds under the same rule.  It goes up
whenever points are counted otherwise."""

RULE = (
    "A right beat earns 10 points. Hearing the bar again takes 1 off each beat, slower 1 more; hearing a beat alone "
    "1 off that beat; never below 5. Right at the second try: half."
)


def beat_points(right: bool, mended: bool, replays: int) -> int:
    """The points of a beat, 0 to ``BEAT_POINTS``.

    ``replays`` is how many points its hearings take off; ``mended``: right at the second try, which is worth half,
    rounded up.
    """
    kept = max(LEAST, BEAT_POINTS - replays)
    if right:
        return kept
    # Rounded up: points are whole numbers, and the half of one must not be none.
    return (kept + 1) // 2 if mended else 0


def score(earned: int, possible: int) -> int:
    """The score of a round, 0 to ``FULL``: each beat that was asked weighs alike."""
    return round(FULL * earned / possible) if possible else 0


def points_of(score: int, beats: int) -> tuple[int, int]:
    """The points that a kept score of a round of so many beats stands for, and the most there were."""
    possible = BEAT_POINTS * beats
    return round(score * possible / FULL), possible


def why(
    right: Sequence[bool], mended: int, whole: int, slower: int, alone: Sequence[int], beats: Sequence[int]
) -> tuple[str, ...]:
    """Why a bar earned what it did, a few words for each thing that counted; ``beats`` are the asked ones, from 1.

    ``whole`` is how often the bar was heard, ``slower`` how often of these slower, ``alone`` how often each beat.
    """
    count, asked = sum(right), len(right)
    words = [f"{count} of {asked} right" if asked > 1 else "right" if count else "not right"]
    if mended:
        words.append(f"{mended} more at the second try" if count else f"{mended} at the second try")
    if not count and not mended:
        return tuple(words)
    if whole > 1:
        words.append(f"the bar heard {how_often(whole)}")
    if slower:
        words.append("slowly" if slower == 1 else f"slowly {how_often(slower)}")
    heard = [beat for beat, times in zip(beats, alone, strict=True) if times]
    if heard:
        words.append(f"beat {' and '.join(map(str, heard))} heard alone")
    return tuple(words)
