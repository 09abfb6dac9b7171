"""``drumlin demo`` makes an invented drum room apart from anybody's records."""

from pathlib import Path


def test_the_demo_lies_apart(drumlin, tmp_path: Path) -> None:
    """The demo has a folder of its own that says it is invented, and can be looked at like any other."""
    ending = drumlin("demo", "--no-window", "--data-dir", str(tmp_path / "mine"))
    folder = tmp_path / "mine" / "demo"
    assert ending.code == 0
    assert ending.out.startswith(f"The demo is in {folder}: every pupil and every answer in it is invented.\n")
    assert not (tmp_path / "mine" / "records.sqlite").exists()
    assert "(demo): " in drumlin("history", "--data-dir", str(folder)).out
