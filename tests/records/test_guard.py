"""The guard of the whole suite: no test reaches the records of whoever runs it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from game.data_folder import data_folder
from game.records import Records
from tests.records.record_samples import NOW


def test_the_real_records_are_out_of_reach(real_records: Path) -> None:
    """Opening them fails the test at once, whatever the code around it catches."""
    for folder in (real_records, data_folder()):
        with pytest.raises(pytest.fail.Exception, match="reached for the real records"):
            Records.open_or_in_memory(folder, NOW)


def test_a_started_program_finds_no_home(real_records: Path) -> None:
    """Programs that a test starts can't make the usual folder either."""
    program = "import platformdirs; print(platformdirs.user_data_path('drumlin', appauthor=False))"
    printed = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert Path(printed.strip()) == data_folder() != real_records
    with pytest.raises(OSError, match="Not a directory"):
        (data_folder() / "records.sqlite").stat()


def test_nothing_is_seen_or_heard() -> None:
    """The suite opens no window and no sound device by itself."""
    assert os.environ["SDL_VIDEODRIVER"]
    assert os.environ["SDL_AUDIODRIVER"]
