"""A stroke that was played is a plain value, and an impossible one is refused."""

import math

import pytest

from shared.strokes import EVEN, TakeStroke


def test_a_stroke_is_a_value() -> None:
    """Equal strokes are one, and strokes stand in the order of time, hands known or not."""
    assert TakeStroke(1.0, "R", "snare", 0.5) == TakeStroke(1.0, "R", "snare", 0.5)
    played = [TakeStroke(1.0, "L"), TakeStroke(-0.25), TakeStroke(1.0, None, "snare"), TakeStroke(0.5, "R")]
    assert [s.seconds for s in sorted(played, key=lambda stroke: stroke.seconds)] == [-0.25, 0.5, 1.0, 1.0]
    assert TakeStroke(0.0).velocity == EVEN


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"seconds": math.nan}, "seconds"),
        ({"seconds": math.inf}, "seconds"),
        ({"seconds": 0.0, "hand": "right"}, "R, L or None"),
        ({"seconds": 0.0, "velocity": 1.5}, "from 0 to 1"),
        ({"seconds": 0.0, "velocity": math.nan}, "from 0 to 1"),
    ],
)
def test_an_impossible_stroke_is_refused(wrong: dict, told: str) -> None:
    """Neither a time that is no number, nor a third hand, nor a velocity out of range goes in."""
    with pytest.raises(ValueError, match=told):
        TakeStroke(**wrong)
