"""A robot that plays: it hears the bar from the sound driver, works out its strokes, and plays them into the real loop.

As key events, on a kit of MIDI pads, and on a drum before a microphone in a room with noise and the loudspeaker on.
"""

from pathlib import Path

import pytest

from tests.robot.drummer import Drummer, before_a_microphone, drummer_at, on_pads

SEMIQUAVER_LEVELS = ("stage-3", "stage-4")
"""Shipped levels whose figures lie on the semiquaver grid."""


def plays_rightly(drummer: Drummer, bars: int) -> None:
    """Every bar is heard as it is written, and read and kept as it was heard, all at the tempo of the level."""
    kept = []
    for _ in range(bars):
        heard, played = drummer.play_bar()
        assert heard == played.bar.figures, "the robot misheard"
        assert played.reading.figures == heard
        assert played.tempo == drummer.level.tempo.low
        kept += [(figure.count, figure.count) for figure in heard]
        drummer.go_on()
    assert [(row.heard, row.said) for row in drummer.taken] == kept
    assert len(set(kept)) > 2, "bars of too few figures"


@pytest.mark.parametrize(
    ("stage", "tempo", "bars"),
    [
        ("stage-4", 100, 3),
        *(
            pytest.param(stage, tempo, 12, marks=pytest.mark.long)
            for stage in SEMIQUAVER_LEVELS
            for tempo in (60, 70, 80, 90, 100)
        ),
    ],
)
def test_keys_are_read_right(stage: str, tempo: float, bars: int, tmp_path: Path) -> None:
    """With 10 ms of jitter every bar is read as it was heard, up to 100 a minute on semiquaver levels."""
    with drummer_at(stage, tempo, tmp_path) as drummer:
        plays_rightly(drummer, bars)


@pytest.mark.long
@pytest.mark.parametrize("tempo", [60, 80, 100])
@pytest.mark.parametrize("stage", SEMIQUAVER_LEVELS)
def test_pads_are_read_right(stage: str, tempo: float, tmp_path: Path) -> None:
    """A kit sends each stroke among its clock, and bounces of the pad."""
    with drummer_at(stage, tempo, tmp_path) as drummer:
        on_pads(drummer)
        plays_rightly(drummer, 8)


@pytest.mark.long
@pytest.mark.parametrize("loud", [0.0, 0.1, 0.5])
@pytest.mark.parametrize("drum", ["snare", "cross-stick", "high-tom", "floor-tom"])
@pytest.mark.parametrize(("stage", "tempo"), [("stage-3", 60), ("stage-3", 100), ("stage-4", 80)])
def test_a_drum_in_a_room_is_read_right(stage: str, tempo: float, drum: str, loud: float, tmp_path: Path) -> None:
    """With headphones and over loudspeakers, on four drums, with noise and 10 ms of jitter."""
    with drummer_at(stage, tempo, tmp_path) as drummer:
        before_a_microphone(drummer, drum, loud)
        plays_rightly(drummer, 3)
