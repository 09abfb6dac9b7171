"""A recording held against the figures of a level: theirs are read as before, and others are told as what they are."""

import numpy as np
import pytest

from audio.recordings import read_recording
from game.sessions.playing.recorded import other_figures, readable
from shared.figures import Figure
from shared.levels import find_level
from shared.strokes import Take, TakeStroke
from tests.sampling import some

TEMPO, BEATS, TAKES = 80, 8, 12


def counted_in(rng: np.random.Generator, figures: list[Figure], spread: float) -> Take:
    """Four clicks, then the figures, each stroke with a normal deviation in seconds."""
    beat = 60 / TEMPO
    times = [
        4 * beat + (k + float(at)) * beat + rng.normal(0, spread) for k, one in enumerate(figures) for at in one.onsets
    ]
    return tuple(TakeStroke(0.5 + float(at)) for at in sorted([*(k * beat for k in range(4)), *times]))


def beats_read(level: str, spread: float, share: float, widely: bool) -> tuple[int, int, int]:
    """Of the beats of some takes: right, told, told wrongly; ``share`` of them are none of the level's."""
    _, figures = readable(find_level(level), None)
    others, rng, found = other_figures(figures), np.random.default_rng(round(spread * 1000)), []
    for _ in range(TAKES):
        meant = [(others if rng.random() < share else figures)[rng.integers(len(figures))] for _ in range(BEATS)]
        take = counted_in(rng, meant, spread)
        reading = read_recording(take, figures, 4, TEMPO, 4, others if widely else ()).reading
        found += [
            (beat.likeliest == one, beat.figure is not None, beat.figure not in (None, one))
            for beat, one in zip(reading.beats, meant, strict=False)
        ]
    right, told, wrong = np.array(found).sum(0)
    return int(right), int(told), int(wrong)


@pytest.mark.parametrize(("level", "spread"), some(2, ["stage-2", "stage-3"], [0.01, 0.03]))
def test_the_level_s_own_figures_are_read_as_before(level: str, spread: float) -> None:
    """To look for other figures too takes nothing from those of the level: as many right and told, none more wrong."""
    before, after = (beats_read(level, spread, 0.0, widely) for widely in (False, True))
    assert after[:2] >= before[:2]
    assert after[2] <= before[2]


@pytest.mark.parametrize("level", some(2, ["stage-2", "stage-3"]))
def test_figures_that_a_level_lacks_are_told(level: str) -> None:
    """Of beats of which a third are other figures, at most a quarter as many are told wrongly, and more are right."""
    before, after = (beats_read(level, 0.01, 0.33, widely) for widely in (False, True))
    assert after[2] <= before[2] / 4
    assert after[0] > before[0]
