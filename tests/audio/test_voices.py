"""The kits: every instrument its own sound, alive from hit to hit, the same from run to run."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import KITS, LAYERS, VARIANTS, Bank, KitError
from audio.room import ROOMS
from audio.synthesis import RATE
from audio.voicing import placed
from shared.instruments import INSTRUMENTS
from shared.passages import ACCENT_FROM
from tests.kits import bank_of
from tests.listening import power_in_bands
from tests.sampling import some

DRUM_KITS = ("practice", "stage")
STRUCK = ["kick", "snare", "ghost", "cross-stick", "closed-hat", "open-hat", "foot-hat", "ride", "crash", "high-tom",
          "mid-tom", "floor-tom"]  # fmt: skip
Floats = NDArray[np.float64]


def mono(bank: Bank, instrument: str, velocity: float = 0.8, turn: int = 0) -> Floats:
    sound: Floats = bank.shot(instrument, velocity, turn).samples.astype(np.float64).mean(axis=1) / 32767
    return sound


def centroid(sound: Floats) -> float:
    """The mean frequency of a sound in Hz, weighted by power."""
    power = np.abs(np.fft.rfft(sound, 2**17)) ** 2
    return float(power @ np.fft.rfftfreq(2**17, 1 / RATE) / power.sum())


@pytest.mark.parametrize("kit", KITS)
def test_every_instrument_has_a_voice(kit: str) -> None:
    """Whatever an orchestration asks for can be played on every kit."""
    assert set(INSTRUMENTS) <= set(KITS[kit].voices)


@pytest.mark.parametrize(("instrument", "kit"), some(3, list(INSTRUMENTS), list(KITS)))
def test_hit_is_sound_and_ends(instrument: str, kit: str) -> None:
    """A hit starts on its first sample, is sharp, never clips, and dies away."""
    sound = mono(bank_of(kit), instrument)
    peak = np.abs(sound).max()
    assert 0.01 < peak < 0.75
    assert sound[0] != 0
    assert np.argmax(np.abs(sound) > peak / 10) / RATE < 0.0004
    assert np.abs(sound[-48:]).max() < 0.01 * peak


@pytest.mark.parametrize("kit", KITS)
def test_same_seed_gives_the_same_bits(kit: str) -> None:
    """Two banks of one kit and seed agree to the bit, whatever was asked for first."""
    one, two = Bank(kit, seed=5), Bank(kit, seed=5)
    two.shot("kick", 0.8)
    for instrument in ("snare", "kick", "closed-hat", "high-tom"):
        assert np.array_equal(one.shot(instrument, 0.6, 1).samples, two.shot(instrument, 0.6, 1).samples)


def test_other_seed_gives_another_drum() -> None:
    """Another seed is another take."""
    assert not np.array_equal(Bank(seed=1).shot("snare", 0.8).samples, Bank(seed=2).shot("snare", 0.8).samples)


@pytest.mark.parametrize(("instrument", "kit"), some(2, list(INSTRUMENTS), DRUM_KITS))
def test_neighbouring_hits_differ(instrument: str, kit: str) -> None:
    """No two hits in a row are alike, through several rounds of the variants."""
    bank = bank_of(kit)
    hits = [bank.shot(instrument, 0.8, turn).samples for turn in range(3 * VARIANTS + 1)]
    assert not any(np.array_equal(a, b) for a, b in pairwise(hits))


@pytest.mark.parametrize("instrument", ["kick", "snare", "closed-hat", "ride", "high-tom", "floor-tom"])
def test_variants_are_one_instrument(instrument: str) -> None:
    """Hits in turn differ in their waves, but hardly in loudness."""
    bank = bank_of()
    levels = [10 * np.log10(np.sum(mono(bank, instrument, turn=turn) ** 2)) for turn in range(VARIANTS)]
    assert 0 < np.ptp(levels) < 2.0


def test_kick_hits_vary() -> None:
    """Even the lowest drum has hits whose waves part."""
    bank = bank_of()
    hits = np.array([mono(bank, "kick", turn=turn)[:9600] for turn in range(VARIANTS)])
    assert np.corrcoef(hits)[np.triu_indices(VARIANTS, 1)].min() < 0.97


@pytest.mark.parametrize(("instrument", "kit"), some(2, STRUCK, DRUM_KITS))
def test_hard_hits_are_brighter_and_louder(instrument: str, kit: str) -> None:
    """Velocity changes the tone, not only the level."""
    bank = bank_of(kit)
    soft, hard = mono(bank, instrument, 0.25), mono(bank, instrument, 1.0)
    assert np.sum(hard**2) > 3 * np.sum(soft**2)
    assert centroid(hard) > 1.02 * centroid(soft)


@pytest.mark.parametrize(("instrument", "kit"), some(3, list(INSTRUMENTS), list(KITS)))
def test_each_layer_is_louder_by_less(instrument: str, kit: str) -> None:
    """From layer to layer a stroke grows, by no more than before, and by 4 dB at most from the third on."""
    bank = bank_of(kit)
    hits = [[mono(bank, instrument, layer / LAYERS, turn)[:4800] for turn in (0, 1)] for layer in range(1, LAYERS + 1)]
    plain = [hit for hit, layer in zip(hits, range(1, LAYERS + 1), strict=True) if layer / LAYERS < ACCENT_FROM]
    steps = np.diff([10 * np.log10(np.mean([np.sum(sound**2) for sound in hit])) for hit in plain])
    assert (steps > 0).all()
    assert (np.diff(steps) < 0.2).all()
    assert steps[2:].max() < 4.2


def test_ghost_lies_under_the_accent() -> None:
    """A ghost note lies 10 to 16 dB under an accent (common practice, no source)."""
    bank = bank_of()
    accent, ghost = (np.sum(mono(bank, name, v)[:4800] ** 2) for name, v in (("snare", 1.0), ("ghost", 0.3)))
    assert 10 < 10 * np.log10(accent / ghost) < 16


def test_first_count_of_a_bar_is_higher() -> None:
    """The accented stick stands out by pitch."""
    bank = bank_of()
    assert centroid(mono(bank, "sticks", 1.0)) > 1.3 * centroid(mono(bank, "sticks", 0.8))


@pytest.mark.parametrize("instrument", ["kick", "snare", "high-tom", "mid-tom", "floor-tom"])
def test_stage_kit_is_larger(instrument: str) -> None:
    """The drums of the stage kit are lower or ring longer than those of the practice kit."""
    dry, large = mono(bank_of("practice"), instrument), mono(bank_of("stage"), instrument)
    assert large.size > 1.15 * dry.size
    low = [np.abs(np.fft.rfft(sound, 2**17))[: 2**17 * 500 // RATE].argmax() for sound in (dry, large)]
    assert low[1] < 0.97 * low[0]


def test_stage_kit_stands_in_a_room() -> None:
    """The room reaches both sides, unlike a dry stick in the middle."""
    dry, large = (bank_of(kit).shot("cross-stick", 0.8).samples.astype(float) for kit in DRUM_KITS)
    # The stick itself is over by then.
    tails = [np.sum(sound[round(0.3 * RATE) :] ** 2) / np.sum(sound**2) for sound in (dry, large)]
    assert tails[1] > 20 * tails[0]


def features(sound: Floats, high_pass: bool) -> Floats:
    """Power in 32 bands over three stretches of time, in dB under the strongest, to -60 dB."""
    edges = tuple(np.geomspace(40.0, 16_000.0, 33))
    stretches = ((0, 2400), (2400, 9600), (9600, 24_000))
    power = np.concatenate([power_in_bands(sound[a:b], edges, high_pass) for a, b in stretches])
    level = 10 * np.log10(power + 1e-9)
    return np.maximum(level - level.max(), -60.0)


def take_of(kit: str, seed: int, high_pass: bool, turns: int) -> Floats:
    """Features of every instrument at seven velocities, each in so many variants: (instruments, hits, features)."""
    bank = bank_of(kit, seed)
    hits = [(layer, (layer + turn) % VARIANTS) for layer in range(2, LAYERS + 1) for turn in range(turns)]
    return np.array(
        [[features(mono(bank, name, layer / LAYERS, turn), high_pass) for layer, turn in hits] for name in INSTRUMENTS]
    )


# The suite hears one variant of each layer in turn, on one kit and where less is left of it to be told apart.
@pytest.mark.parametrize(("turns", "kit", "high_pass"), some(8, [1, VARIANTS], DRUM_KITS, [True, False]))
def test_voices_can_be_told_apart(turns: int, kit: str, high_pass: bool) -> None:
    """A nearest-mean classifier, trained on one take, names every voice of another at every velocity.

    ``high_pass`` leaves what small loudspeakers play.
    """
    trained, heard = (take_of(kit, seed, high_pass, turns) for seed in (1, 2))
    means = trained.mean(axis=1)
    spread = (trained - means[:, np.newaxis]).std(axis=(0, 1)) + 1.0
    distance = np.linalg.norm((heard[:, :, np.newaxis] - means) / spread, axis=-1)
    wrong = distance.argmin(axis=-1) != np.arange(len(INSTRUMENTS))[:, np.newaxis]
    assert not wrong.any(), [list(INSTRUMENTS)[k] for k in np.flatnonzero(wrong.any(axis=1))]


@pytest.mark.parametrize(("kit", "room"), some(3, list(KITS), list(ROOMS)))
def test_whole_bank_stays_small(kit: str, room: str) -> None:
    """Every one-shot of a kit together stays under 60 MB, even at the longest, in any room."""
    bank = Bank(kit, room=room)
    for instrument in INSTRUMENTS:
        bank.shot(instrument, 1.0)
    assert bank.nbytes * LAYERS * VARIANTS < 60e6


def test_bank_is_lazy() -> None:
    """A new bank holds nothing, and a hit asked for twice is made once."""
    bank = Bank()
    assert bank.nbytes == 0
    assert bank.shot("snare", 0.8) is bank.shot("snare", 0.8)


def test_unknown_kit_is_named() -> None:
    """A kit that does not exist: the message says which there are."""
    with pytest.raises(KitError, match="kit 'marching': choose from practice, stage, click"):
        Bank("marching")


def test_unknown_room_is_named() -> None:
    """A room that does not exist: the message says which there are."""
    with pytest.raises(KitError, match="room 'cellar': choose from dry, room, hall"):
        Bank(room="cellar")


def test_rooms_ring_longer_and_longer() -> None:
    """Between dry, room and hall more and more is left of a stroke after it; what comes first is the same."""
    hits = [Bank(room=room).shot("cross-stick", 0.8).samples.astype(float) for room in ("dry", "room", "hall")]
    late = [np.sum(hit[round(0.3 * RATE) :] ** 2) for hit in hits]
    assert late[0] < late[1] < late[2]
    assert all(np.array_equal(hits[0][:300], hit[:300]) for hit in hits[1:])


@pytest.mark.parametrize("instrument", ["snare", "closed-hat", "ride", "crash", "high-tom"])
def test_width_vanishes_in_mono(instrument: str) -> None:
    """Left and right differ by more than a pan, and their sum is the plain hit at its place."""
    voice = KITS["practice"].voices[instrument]
    sound = voice.hit(np.random.default_rng(1), 0.8)
    wide, plain = (placed(one, sound, None).astype(float) for one in (voice, replace(voice, width=0.0)))
    assert np.allclose(wide.sum(axis=1), plain.sum(axis=1), atol=1e-6)
    assert np.corrcoef(wide.T)[0, 1] < 0.97


@pytest.mark.parametrize("kit", DRUM_KITS)
def test_cymbals_are_wide(kit: str) -> None:
    """Left and right of a ride and a crash are as unlike as in a stereo recording, 0.32 at most in six of seven."""
    for instrument in ("ride", "crash"):
        left, right = bank_of(kit).shot(instrument, 0.8).samples[: round(0.4 * RATE)].astype(float).T
        assert left @ right / np.sqrt((left @ left) * (right @ right)) < 0.32
