"""``drumlin demo`` makes an invented drum room apart from anybody's records."""

from pathlib import Path

import pytest


@pytest.mark.usefixtures("short_demo")
def test_the_demo_lies_apart(drumlin, tmp_path: Path) -> None:
    """The demo has a folder of its own that says it is invented, and can be looked at like any other."""
    ending = drumlin("demo", "--no-window", "--data-dir", str(tmp_path / "mine"))
    folder = tmp_path / "mine" / "demo"
    assert ending.code == 0
    assert ending.out.startswith(f"The demo is in {folder}: every pupil and every answer in it is invented.\n")
    assert not (tmp_path / "mine" / "records.sqlite").exists()
    assert "(demo): " in drumlin("history", "--data-dir", str(folder)).out


def test_a_folder_that_cannot_be_is_told(drumlin, tmp_path: Path) -> None:
    """A file in place of the data folder is told in one line, as for every command."""
    (tmp_path / "file").write_text("rain", encoding="utf-8")
    ending = drumlin("demo", "--no-window", "--data-dir", str(tmp_path / "file"))
    assert ending.code == 1
    assert ending.err == (
        f"drumlin: {tmp_path / 'file'} can't be used as a folder: File exists; choose another with --data-dir\n"
    )


def test_another_demo_folder_is_left_alone(drumlin, tmp_path: Path) -> None:
    """Something else of that name is neither written to nor taken for the demo."""
    folder = tmp_path / "mine" / "demo"
    folder.mkdir(parents=True)
    (folder / "takes.txt").write_text("rain", encoding="utf-8")
    ending = drumlin("demo", "--no-window", "--data-dir", str(tmp_path / "mine"))
    assert ending.code == 1
    assert ending.err == f"drumlin: {folder} is there already and is no demo; move it away or rename it\n"
    assert [path.name for path in folder.iterdir()] == ["takes.txt"]
