"""Score intervals against the published examples."""

import pytest

from game.sessions.progress.chance import Z_95, difference, wilson


@pytest.mark.parametrize(
    ("right", "answers", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_newcombes_single_proportions(right: int, answers: int, low: float, high: float) -> None:
    """Method 3 of Newcombe, Statistics in Medicine 17, 1998, pp. 857-872, table I (cases from memory)."""
    assert wilson(right, answers) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(
    ("first", "second", "low", "high"),
    [((56, 70), (48, 80), 0.0524, 0.3339), ((9, 10), (3, 10), 0.1705, 0.8090), ((5, 56), (0, 29), -0.0381, 0.1926)],
)
def test_newcombes_differences(first: tuple[int, int], second: tuple[int, int], low: float, high: float) -> None:
    """Method 10 of Newcombe, Statistics in Medicine 17, 1998, pp. 873-890, table II (cases from memory)."""
    assert difference(first, second) == pytest.approx((low, high), abs=5e-5)


def test_nothing_is_known_without_answers() -> None:
    """Without an answer any share is possible."""
    assert wilson(0, 0) == (0.0, 1.0)


def test_normal_deviate() -> None:
    """The deviate is that of the standard normal distribution."""
    from statistics import NormalDist

    assert NormalDist().cdf(Z_95) == pytest.approx(0.975, abs=1e-6)
