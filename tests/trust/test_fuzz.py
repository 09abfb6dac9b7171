"""Bad input of every kind: a result or an error of our own, never worse.

A few hundred inputs each, found and shrunk by hypothesis; with ``DRUMLIN_INPUTS`` in the environment so many more.
``python -m tests.trust.fuzz`` runs the same targets guided by coverage.
"""

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.trust.fuzz import TARGETS, prepared

INPUTS = {"counts": 400, "levels": 150, "histories": 150, "commands": 60}


def inputs(target: str) -> int:
    """How many inputs a target gets."""
    return int(os.environ.get("DRUMLIN_INPUTS", INPUTS[target]))


@pytest.mark.timeout(0 if "DRUMLIN_INPUTS" in os.environ else 120)
@pytest.mark.parametrize("target", TARGETS)
def test_bad_input_is_borne(target: str, tmp_path: Path) -> None:
    """Whatever the bytes: no traceback, no file outside the folder."""
    act = prepared(target)

    @settings(
        max_examples=inputs(target), deadline=None, database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
    )  # fmt: skip
    @given(st.binary(max_size=120))
    def borne(data: bytes) -> None:
        act(data, tmp_path)

    borne()
