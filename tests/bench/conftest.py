"""Everything in this folder is a measurement, run on its own: ``python -m tests.bench``."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture
def measuring(request: pytest.FixtureRequest) -> None:
    """Measure only when asked to: on a busy machine times say nothing."""
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("a measurement; run it with python -m tests.bench")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder as a measurement."""
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.bench)
