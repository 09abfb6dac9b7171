"""``drumlin sheet`` writes a worksheet and the sound that goes with it."""

from pathlib import Path

import pytest


def test_pages_and_sound(drumlin, tmp_path: Path) -> None:
    """The pages and, beside them, the sound of the same name; both are named."""
    ending = drumlin("sheet", "stage-1", "lesson.pdf", "--questions", "2")
    assert (ending.code, ending.out.splitlines(), ending.err) == (0, ["lesson.pdf", "lesson.wav"], "")
    assert (tmp_path / "lesson.pdf").read_bytes()[:5] == b"%PDF-"
    assert (tmp_path / "lesson.wav").read_bytes()[:4] == b"RIFF"


def test_a_chart_and_its_score(drumlin, tmp_path: Path) -> None:
    """The bars as drum music: pages and, beside them, a score of the same name in place of the sound."""
    ending = drumlin("sheet", "stage-1", "lesson.pdf", "--questions", "2", "--chart")
    assert (ending.code, ending.out.splitlines(), ending.err) == (0, ["lesson.pdf", "lesson.musicxml"], "")
    assert (tmp_path / "lesson.pdf").read_bytes()[:5] == b"%PDF-"
    assert b"<score-partwise" in (tmp_path / "lesson.musicxml").read_bytes()
    assert not (tmp_path / "lesson.wav").exists()


def test_same_seed_same_sheet(drumlin, tmp_path: Path) -> None:
    """The same seed gives the same bytes, another seed another sheet."""
    for name, seed in (("a", "3"), ("b", "3"), ("c", "4")):
        drumlin("sheet", "stage-3", f"{name}.pdf", "--questions", "1", "--seed", seed)
    a, b, c = ((tmp_path / f"{name}.pdf").read_bytes() for name in "abc")
    assert a == b != c


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["stage-33", "x.pdf"], "level 'stage-33': there is none of that name"),
        (["stage-1", "x.png"], "x.png: files that end in .png are not written; choose from .pdf"),
        (["stage-1", "nowhere/x.pdf"], "nowhere/x.pdf: there is no folder nowhere; make it first"),
        (["stage-1", "x.pdf", "--questions", "41"], "41 questions: choose from 1 to 40"),
        (["stage-1", "x.pdf", "--chart", "--tracks"], "--chart: a chart has no tracks, versions or cards"),
        (["stage-1", "taken.pdf"], "taken.wav: the file that is there is no WAV sound; choose another name"),
    ],
)
def test_refusals(drumlin, tmp_path: Path, words: list[str], said: str) -> None:
    """What can't be made is one line, and neither file is written."""
    (tmp_path / "taken.wav").write_text("rain on the millrace", encoding="utf-8")
    ending = drumlin("sheet", *words)
    assert (ending.code, ending.out) == (1, "")
    assert ending.line.startswith(f"drumlin: {said}")
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["taken.wav"]
