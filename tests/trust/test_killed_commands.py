"""Commands killed at a random moment leave the older state or the newer one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.skipif(os.name != "posix", reason="processes are forked and killed the POSIX way")
@pytest.mark.parametrize(
    "name",
    [
        "restore",
        *(pytest.param(name, marks=pytest.mark.long) for name in ("import", "backup", "level", "sheet", "takes")),
    ],
)
def test_what_is_left_is_whole(name: str, tmp_path: Path) -> None:
    """In a process of its own, which has no thread when it forks; ``tests.long kills`` kills each 50 times."""
    command = [sys.executable, "-m", "tests.trust.kills", "--kills", "2", "--only", name]
    ending = subprocess.run(
        command, cwd=ROOT, env=os.environ | {"TMPDIR": str(tmp_path)}, capture_output=True, text=True, timeout=110
    )
    assert ending.returncode == 0, ending.stdout + ending.stderr
    assert ending.stdout.startswith(f"{name}: killed ")
