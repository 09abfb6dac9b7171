"""Everything in this folder is a measurement, run on its own: ``python -m pytest -m bench --benchmark-enable``."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder as a measurement."""
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.bench)
