"""A feel is how limbs move: apart by a hair, slowly, and never as far as another figure."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, product
from statistics import mean, pstdev

import pytest

from shared.counting import parse_bar
from shared.feel import felt, limit
from shared.levels import shipped_levels
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke

BAR = parse_bar("1 e & a 2 e & a 3 e & a 4 e & a")


def played(seed: int = 0, **changes: object) -> Passage:
    return arrange(BAR, replace(Setting("kick-and-snare", 90, 3, seed=seed, feel=1.0), **changes))


def mean_moved(passage: Passage, *instruments: str) -> float:
    return mean(one.moved for one in passage.strokes if one.instrument in instruments)


@pytest.mark.parametrize(("tempo", "least", "most"), [(60, 8, 12), (90, 8, 12), (120, 7, 12), (200, 3, 10)])
def test_kick_and_snare_lie_ahead_of_the_hat(tempo: int, least: float, most: float) -> None:
    """By 8 to 12 ms up to 120 beats a minute, less where the beats are short (Fujii and others, 2011, abstract)."""
    passages = [played(seed, tempo=float(tempo)) for seed in range(20)]
    apart = [mean_moved(one, "closed-hat") - mean_moved(one, "kick", "snare") for one in passages]
    assert least < 1000 * mean(apart) < most


def test_the_drift_is_slow() -> None:
    """Neighbouring strokes of a limb stay closer together than strokes a bar apart."""
    near, far = [], []
    for seed in range(40):
        hats = [one.moved for one in played(seed).strokes if one.instrument == "closed-hat"]
        near += [abs(b - a) for a, b in pairwise(hats)]
        far += [abs(b - a) for a, b in zip(hats, hats[8:], strict=False)]
    assert mean(near) < 0.75 * mean(far)


def test_limbs_share_the_drift() -> None:
    """The distance of kick and hat that sound together wavers less than either alone."""
    pairs = []
    for seed in range(40):
        at: dict[tuple[int, int, Fraction], dict[str, float]] = {}
        for one in played(seed).strokes:
            at.setdefault((one.bar, one.beat, one.at), {})[one.instrument] = one.moved
        pairs += [(both["closed-hat"], both["kick"]) for both in at.values() if {"closed-hat", "kick"} <= set(both)]
    assert pstdev(hat - kick for hat, kick in pairs) < 0.8 * pstdev(kick for _, kick in pairs)


def test_velocities_breathe() -> None:
    """No two bars of a groove are equally loud stroke for stroke, and the hand that does not lead is softer."""
    hits = [one for seed in range(20) for one in played(seed, orchestration="snare").strokes if one.figure]
    assert len({one.velocity for one in hits}) > len(hits) / 2
    leading, other = ([one.velocity for one in hits if one.hand == hand] for hand in "RL")
    assert 0.04 < mean(leading) - mean(other) < 0.1


@pytest.mark.parametrize("feel", [0.3, 1.0])
def test_accents_stay_accents(feel: float) -> None:
    """Breathing makes no accent of a plain stroke, and none less."""
    plain, free = (arrange(BAR, Setting("accents", 90, 1, feel=one)) for one in (0.0, feel))
    assert [one.accent for one in plain.strokes] == [one.accent for one in free.strokes]


def test_exact_is_exact() -> None:
    """Without feel nothing moves, in time or in force."""
    strokes = [Stroke(0, 1, Fraction(1, 2), "snare", 0.8, "L")]
    assert list(felt(strokes, 4, 90, 0.0, "R", None)) == strokes  # type: ignore[arg-type]


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_no_figure_of_a_level_turns_into_another(level) -> None:
    """At every tempo of a level, two strokes that lean apart as far as they can still lie nearer to their own figure.

    Each moves by the limit at most, the distance between two by twice that; halfway to another figure lies half
    the least difference between onsets of two figures of the level that have as many strokes.
    """
    differences = [
        max(abs(a - b) for a, b in zip(one.onsets, other.onsets, strict=True))
        for one, other in product(level.figures, repeat=2)
        if one != other and len(one.onsets) == len(other.onsets) > 0
    ]
    for tempo in (level.tempo.low, level.tempo.high):
        assert 2 * limit(tempo, 1.0) < float(min(differences, default=Fraction(1))) / 2 * 60 / tempo + 1e-9
