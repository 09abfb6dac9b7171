"""What people played on an electronic kit to a metronome is read as they played it.

Source: Groove MIDI Dataset 1.0.0 (Gillick et al., ICML 2019), CC BY 4.0; a selection, see played_takes_licence.txt.
Its figures are not annotated: a beat counts only where every stroke is clearly of one semiquaver.
"""

import json
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from audio.reading import PADS, read
from shared.figures import Figure
from shared.reading import Habits
from shared.strokes import TakeStroke
from tests.playing import SEMIQUAVERS, WITH_TRIPLETS

TAKES = json.loads((Path(__file__).with_name("played_takes.json")).read_text(encoding="utf-8"))["takes"]

PLAYER = Habits(0.0, 0.03)
"""What is known of an unknown player on a pad: no sound delay, taps early or late by habit."""


def meant(picture: str) -> Figure:
    return Figure(tuple(Fraction(k, 4) for k, sign in enumerate(picture) if sign == "x"))


def outcomes(take: dict[str, Any], figures: tuple[Figure, ...], device: Habits = PLAYER) -> Counter[str]:
    """Of the clear beats of a take: how many, read as played, told, told otherwise."""
    strokes = [TakeStroke(seconds, None, None, velocity / 127) for seconds, _, velocity in take["strokes"]]
    reading = read(strokes, figures, take["tempo"], take["beats"], device, PADS)
    found: Counter[str] = Counter()
    for beat, picture, clear in zip(reading.beats, take["grid"], take["clear"], strict=True):
        if clear:
            want = meant(picture)
            found["beats"] += 1
            found["right"] += beat.likeliest == want
            found["told"] += beat.figure is not None
            found["otherwise"] += beat.figure not in (None, want)
    return found


def shares(figures: tuple[Figure, ...], device: Habits = PLAYER) -> dict[str, float]:
    total = sum((outcomes(take, figures, device) for take in TAKES), Counter[str]())
    return {name: total[name] / total["beats"] for name in ("right", "told", "otherwise")}


def test_there_is_something_to_read() -> None:
    """Enough clear beats, of enough kinds, to tell a good reader from a bad one."""
    pictures = [g for take in TAKES for g, clear in zip(take["grid"], take["clear"], strict=True) if clear]
    assert len(pictures) > 280
    assert len(set(pictures)) >= 12


def test_clear_beats_are_read_as_played() -> None:
    """With the semiquaver figures in question: read as played in 98 %, told in 90 %, told otherwise in at most 1 %."""
    found = shares(SEMIQUAVERS)
    assert found["right"] >= 0.98
    assert found["told"] >= 0.90
    assert found["otherwise"] <= 0.01


def test_triplets_in_question_make_no_others_of_them() -> None:
    """With triplets in question too, at most 1.5 % are told otherwise, and most are still told."""
    found = shares(WITH_TRIPLETS)
    assert found["otherwise"] <= 0.015
    assert found["told"] >= 0.5


@pytest.mark.parametrize("offset", [pytest.param(-0.02, marks=pytest.mark.long), 0.02])
def test_a_start_a_little_off_changes_little(offset: float) -> None:
    """Were the clock of the click 20 ms off, next to nothing would be told otherwise."""
    found = shares(SEMIQUAVERS, Habits(offset, 0.03))
    assert found["right"] >= 0.95
    assert found["otherwise"] <= 0.02
