"""Bad input of every kind: a result or an error of our own, never worse.

Some hundred inputs of each kind here, found and shrunk by hypothesis; many times as many in the long run.
"""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from tests.trust.fuzz import TARGETS, prepared

INPUTS = {"counts": 400, "levels": 150, "histories": 150, "commands": 60}
MANY = 25
"""How many times as many inputs each round of the long run makes."""

ROUNDS = range(1, 11)


def bear(target: str, inputs: int, folder: Path, round_seed: int | None = None) -> None:
    """Let a target take so many inputs, drawn by a seed or, without one, by the test's own."""
    act = prepared(target)

    @settings(
        max_examples=inputs, deadline=None, database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
    )  # fmt: skip
    @given(st.binary(max_size=120))
    def borne(data: bytes) -> None:
        act(data, folder)

    (borne if round_seed is None else seed(round_seed)(borne))()


@pytest.mark.parametrize("target", TARGETS)
def test_bad_input_is_borne(target: str, tmp_path: Path) -> None:
    """Whatever the bytes: no traceback, no file outside the folder."""
    bear(target, INPUTS[target], tmp_path)


@pytest.mark.long
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("round_seed", ROUNDS)
@pytest.mark.parametrize("target", TARGETS)
def test_much_bad_input_is_borne(target: str, round_seed: int, tmp_path: Path) -> None:
    """As above, with inputs by the ten thousand."""
    bear(target, MANY * INPUTS[target], tmp_path, round_seed)
