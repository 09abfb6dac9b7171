"""Whether sounds begin where the playhead counts from."""

import os
from pathlib import Path

import pytest

from tests.audio.test_stream import starts_off
from tests.bench.page import hold

pytestmark = pytest.mark.usefixtures("measuring")


@pytest.mark.skipif(os.name == "nt", reason="the limits of this check are those of POSIX systems")
def test_starts_are_exact(tmp_path: Path) -> None:
    """Of 200 starts on the disk driver at least 190 lie within 3 ms of the told one."""
    exact = int((abs(starts_off(200, tmp_path)) < 0.003).sum())
    hold("starts within 3 ms of the told one, of 200", exact, 190, "starts", at_least=True)
