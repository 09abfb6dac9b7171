"""The reading's numbers against a model written down anew, against scipy, and against mido's own clock."""

from fractions import Fraction
from pathlib import Path

import mido
import numpy as np
import pytest
from scipy import stats

from audio.midi import midi
from audio.reading import confused, read
from audio.takes import load_take
from shared.counting import parse_bar, parse_figure
from shared.orchestration import Setting, arrange
from shared.reading import Habits
from shared.strokes import TakeStroke
from tests.playing import SEMIQUAVERS, STAGE_4, WITH_TRIPLETS, played

CHECKED = [
    ("0 1/4 3/4", "1 e a", 0.992), ("0 1/3 2/3", "1 trip let", 0.996), ("0 7/24 17/24", "1 e a", 0.494),
    ("0 17/24", "1 let", 0.495),
]  # fmt: skip
"""Strokes in a beat of 0.75 s, the figure, and its probability by a prototype of the same model, worked out apart."""


@pytest.mark.parametrize(("places", "count", "certainty"), CHECKED)
def test_probabilities_agree_with_a_reckoning_apart(places: str, count: str, certainty: float) -> None:
    """One beat, 22 figures, offset known to 15 ms: the same probabilities, up to what is held of the spread before."""
    take = [TakeStroke(float(Fraction(place)) * 0.75) for place in places.split()]
    (beat,) = read(take, WITH_TRIPLETS, 80, 1, Habits(0.0, 0.015)).beats
    told = {beat.likeliest: beat.certainty, beat.rival: beat.rival_certainty}
    assert told[parse_figure(count)] == pytest.approx(certainty, abs=0.012)


@pytest.mark.parametrize("takes", [60, pytest.param(150, marks=pytest.mark.long)])
def test_certainty_is_the_share_that_is_right(takes: int) -> None:
    """Of beats told with some probability that share is right: no surer, and not much less, than it should be."""
    rng = np.random.default_rng(31)
    sure, right = [], []
    for _ in range(takes):
        spread = float(np.exp(rng.normal(np.log(0.03), 0.4)))
        one = played(rng, SEMIQUAVERS, 100, 4, spread)
        for beat, meant in zip(read(one.take, SEMIQUAVERS, 100, 4, Habits(0, 0.015)).beats, one.figures, strict=True):
            sure.append(beat.certainty)
            right.append(beat.likeliest == meant)
    expected, found = float(np.mean(sure)), float(np.mean(right))
    assert abs(found - expected) < 4 * np.sqrt(expected * (1 - expected) / len(sure)) + 0.01


def test_share_confused_is_the_normal_tail() -> None:
    """Two figures a quarter of a beat apart are confused as often as a normal deviation goes half the way (scipy)."""
    pair = (parse_figure("1 e"), parse_figure("1 &"))
    for spread in (0.05, 0.1, 0.2):
        assert confused(pair, spread) == pytest.approx(stats.norm.sf(0.25 / (2 * spread)))


def test_offset_and_spread_are_those_of_the_strokes() -> None:
    """Over long takes the offset agrees with scipy's mean of the deviations, the spread with their normal fit."""
    rng = np.random.default_rng(6)
    for spread in (0.010, 0.020, 0.030):
        one = played(rng, STAGE_4, 70, 64, spread)
        reading = read(one.take, STAGE_4, 70, 64)
        late = [(placed.late or 0.0) + reading.offset for placed in reading.strokes if not placed.extra]
        mean, width = stats.norm.fit(late)
        assert reading.offset == pytest.approx(mean, abs=0.0008)
        assert reading.spread == pytest.approx(width, rel=0.12)
        assert reading.offset_sd < 2 * stats.sem(late)


def test_midi_times_are_those_of_mido(tmp_path: Path) -> None:
    """The strokes of a MIDI file with changing tempi lie where mido plays them."""
    path = tmp_path / "take.mid"
    path.write_bytes(midi(arrange(parse_bar("1 e a 2 & 3 trip let 4"), Setting("kick-and-snare", 77))))
    file = mido.MidiFile(path)
    file.tracks[0].insert(9, mido.MetaMessage("set_tempo", tempo=400_000, time=0))
    file.save(path)
    now, expected = 0.0, []
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == "note_on" and message.velocity:
            expected.append(now)
    take = load_take(path)
    assert isinstance(take, tuple)
    assert [stroke.seconds for stroke in take] == pytest.approx(expected, abs=1e-9)
