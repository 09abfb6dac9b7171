"""The strokes as an ear finds them, from sound alone, against the exact times of the count."""

from fractions import Fraction
from itertools import combinations
from random import Random

import librosa
import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from shared.bars import METERS, Bar
from shared.figures import Figure
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage
from tests.kits import bank_of
from tests.listening import find_onsets
from tests.sampling import some

BANK = bank_of()
GRID = tuple(
    Figure(tuple(Fraction(k, parts) for k in places))
    for parts in (4, 3)
    for count in range(1, parts + 1)
    for places in combinations(range(parts), count)
)
"""Every figure of semiquavers and of quaver triplets."""

PLAIN = ("snare", "down-the-kit", "toms", "hands")


def bars(seed: int, count: int) -> list[Bar]:
    random = Random(seed)
    return [Bar(METERS["4/4"], tuple(random.choice(GRID) for _ in range(4))) for _ in range(count)]


def exact_times(passage: Passage) -> NDArray[np.float64]:
    """The place of every stroke in seconds, by arithmetic: beats times 60 / tempo, each once."""
    places = {passage.position(stroke) for stroke in passage.strokes}
    return np.array(sorted(float(place * 60 / Fraction(passage.tempo)) for place in places))


def f_measure(passage: Passage, bank: Bank = BANK) -> float:
    """How well the onsets heard agree with the exact times, within 5 ms (mir_eval)."""
    return float(mir_eval.onset.f_measure(exact_times(passage), find_onsets(mix(passage, bank)), window=0.005)[0])


@pytest.mark.parametrize("first", range(0, len(GRID), 2))
def test_every_figure_is_heard_exactly(first: int) -> None:
    """A bar of two figures in turn on the snare alone: every stroke found within 5 ms and nothing else."""
    passage = arrange(Bar(METERS["4/4"], GRID[first : first + 2] * 2), Setting("snare", 90))
    assert f_measure(passage) == 1.0


@pytest.mark.parametrize("tempo", [60, 80, 100, 120, 140, 160])
def test_kick_and_snare_are_heard_under_hats(tempo: int) -> None:
    """Figures shared by kick and snare under hi-hat quavers: F at least 0.99 at 5 ms."""
    scores = [f_measure(arrange(bar, Setting("kick-and-snare", tempo, seed=k))) for k, bar in enumerate(bars(tempo, 2))]
    assert np.mean(scores) >= 0.99


@pytest.mark.parametrize(("name", "kit"), some(4, list(ORCHESTRATIONS), ["practice", "stage", "click"]))
def test_every_orchestration_is_heard(name: str, kit: str) -> None:
    """On every kit, after a groove bar, at slow and fast tempi: F at least 0.99 at 5 ms."""
    bank = bank_of(kit)
    scores = [
        f_measure(arrange(bar, Setting(name, tempo, groove_bars=1, seed=tempo)), bank)
        for tempo, count in ((60, 1), (160, 2))
        for bar in bars(tempo, count)
    ]
    assert np.mean(scores) >= 0.99


@pytest.mark.parametrize("kit", some(2, ["practice", "stage"]))
def test_drums_are_heard_under_a_ringing_ride(kit: str) -> None:
    """At the tempi between, where strokes fall into what the ride rings on: F at least 0.99 at 5 ms."""
    bank = bank_of(kit)
    scores = [
        f_measure(arrange(bar, Setting("ride", tempo, groove_bars=1, seed=tempo)), bank)
        for tempo in (75, 105, 135, 150)
        for bar in bars(tempo, 2)
    ]
    assert np.mean(scores) >= 0.99


@pytest.mark.parametrize("kit", ["practice", "stage"])
def test_no_ghost_note_is_lost_after_an_accent(kit: str) -> None:
    """At 160 a minute a ghost note follows an accent by 94 ms: the ear finds every one of them."""
    bank = bank_of(kit)
    for bar in bars(160, 6):
        passage = arrange(bar, Setting("accents", 160, groove_bars=1, seed=160))
        heard = find_onsets(mix(passage, bank))
        ghosts = [seconds for seconds, stroke in passage.timed if stroke.instrument == "ghost"]
        assert all(np.abs(heard - seconds).min() < 0.005 for seconds in ghosts), bar.count


def beats_read(passage: Passage, onsets: NDArray[np.float64]) -> list[Figure | None]:
    """The figure on each beat of the last bar by onset times alone: the one whose onsets lie nearest, or None."""
    read: list[Figure | None] = []
    for beat in range(1, passage.meter.beats + 1):
        begin = passage.time_of_beat(passage.figure_bar, beat)
        inside = (onsets - begin) / passage.beat_seconds
        inside = inside[(inside > -1 / 24) & (inside < 1 - 1 / 24)]
        likely = [f for f in GRID if len(f.onsets) == len(inside)]
        errors = [np.abs(inside - np.array(f.onsets, float)).sum() for f in likely]
        read.append(likely[int(np.argmin(errors))] if likely else None)
    return read


@pytest.mark.parametrize("name", PLAIN)
def test_figures_can_be_read_from_sound_alone(name: str) -> None:
    """Where nothing but the figure sounds, at least 99 % of the beats are read right."""
    right = []
    for k, bar in enumerate(bars(11, 6)):
        passage = arrange(bar, Setting(name, (70, 90, 110)[k % 3], seed=k))
        read = beats_read(passage, find_onsets(mix(passage, BANK)))
        right += [found == figure for found, figure in zip(read, bar.figures, strict=True)]
    assert np.mean(right) >= 0.99


@pytest.mark.long
@pytest.mark.timeout(400)  # librosa compiles itself on its first use in a new environment
def test_second_opinion_agrees() -> None:
    """librosa's own detector, at its usual 50 ms, finds the snare strokes too."""
    scores = []
    for bar in bars(3, 3):
        passage = arrange(bar, Setting("snare", 80))
        sound = mix(passage, BANK).astype(np.float32).mean(axis=1) / 32768
        heard = librosa.onset.onset_detect(y=sound, sr=48_000, hop_length=256, units="time")
        scores.append(mir_eval.onset.f_measure(exact_times(passage), heard, window=0.05)[0])
    assert np.mean(scores) >= 0.95


def test_silence_has_no_onsets() -> None:
    """The ear itself invents nothing."""
    assert find_onsets(np.zeros((48_000, 2), np.int16)).size == 0


def test_feel_stays_inside_the_figure() -> None:
    """The loosest feel moves no stroke by half the gap to another figure, 1/24 beat, and less than drummers do.

    Trained drummers spread by 10 to 20 ms (several studies; from memory).
    """
    for tempo in (40, 90, 160, 240):
        for seed in range(5):
            passage = arrange(bars(seed, 1)[0], Setting("snare", tempo, seed=seed, feel=1.0))
            moved = np.array([stroke.moved for stroke in passage.strokes])
            assert np.abs(moved).max() < passage.beat_seconds / 24
            assert moved.std() < 0.010
