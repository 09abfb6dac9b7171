"""Sound files: read back by the standard library, refused in one line."""

import wave
from pathlib import Path

import numpy as np
import pytest
from scipy.io import wavfile

from audio.wav import wav_bytes
from shared.files import FileError, write_beside

SOUND = np.random.default_rng(1).integers(-30_000, 30_000, (4800, 2)).astype(np.int16)


def test_file_holds_the_samples(tmp_path: Path) -> None:
    """An independent reader finds the same samples, rate and format."""
    write_beside(tmp_path / "bar.wav", wav_bytes(SOUND))
    rate, found = wavfile.read(tmp_path / "bar.wav")
    assert rate == 48_000
    assert np.array_equal(found, SOUND)


def test_header_says_what_it_is(tmp_path: Path) -> None:
    """Two channels of 16 bits at the rate given."""
    write_beside(tmp_path / "bar.wav", wav_bytes(SOUND, rate=44_100))
    with wave.open(str(tmp_path / "bar.wav")) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (2, 2, 44_100)


def test_missing_folder_is_one_line(tmp_path: Path) -> None:
    """A folder that is not there: what, where, what would do."""
    with pytest.raises(FileError, match="there is no folder") as caught:
        write_beside(tmp_path / "nowhere" / "bar.wav", wav_bytes(SOUND))
    assert "\n" not in str(caught.value)


def test_folder_is_no_file(tmp_path: Path) -> None:
    """A path that is a folder is refused, and nothing is left beside it."""
    with pytest.raises(FileError, match="this is a folder"):
        write_beside(tmp_path, wav_bytes(SOUND))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("samples", [SOUND.astype(np.float32), SOUND[:, 0]], ids=["floats", "one channel flat"])
def test_other_samples_are_refused(samples: np.ndarray) -> None:
    """Only (frames, channels) of 16 bits make a file."""
    with pytest.raises(ValueError, match="a WAV file takes"):
        wav_bytes(samples)
