"""The page of a pupil: what holds, what is mixed up, what to do, and a bar to learn by heart."""

import shutil
import subprocess
from pathlib import Path

import pytest

from game.reports.pupil_report import pupils_report
from game.sessions.progress.standing import HORIZONS, Standing
from game.sessions.pupils.pupil import PupilPage, by_heart, pupil_page
from tests.sessions.lessons import NOW, STAGE_3, answer, figure

FIRM, WEAK = "1 &", "1 & a"


def page(name: str = "Wren") -> PupilPage:
    """A pupil who holds one figure, and took another for its like three times."""
    counts = tuple(one.count for one in STAGE_3.figures)
    heard = tuple(9 if count == FIRM else 3 for count in counts)
    recall = tuple(tuple(0.99 if count == FIRM else 0.5 for count in counts) for _ in HORIZONS)
    known = Standing(STAGE_3.name, NOW, NOW, counts, heard, recall)
    rows = [answer(WEAK, "1 e &", NOW - k) for k in range(3)] + [answer(FIRM, "1", NOW - 9)]
    return pupil_page(name, STAGE_3, rows, known, NOW)


def test_what_holds_and_what_is_mixed_up() -> None:
    """The firm figure holds; what happened once is no mix-up."""
    found = page()
    assert [one.count for one in found.holds] == [FIRM]
    assert [(one.heard.count, one.said.count) for one in found.mixed] == [(WEAK, "1 e &")]


def test_bar_by_heart_holds_the_mix_up_among_what_holds() -> None:
    """Both figures of the largest mix-up are in it, the rest holds; it begins on the beat, and is each pupil's own."""
    found = page()
    names = {one.count for one in found.bar.figures}
    assert {WEAK, "1 e &"} <= names <= {WEAK, "1 e &", FIRM}
    assert found.bar.figures[0].onsets[0] == 0
    assert by_heart(STAGE_3, found.holds, found.mixed, "Wren") == found.bar
    assert len({by_heart(STAGE_3, STAGE_3.figures, found.mixed, name).count for name in ("Wren", "Ash", "Hazel")}) > 1


def test_bar_by_heart_where_nothing_is_known() -> None:
    """A pupil without any answers gets a whole bar of the level."""
    assert len(by_heart(STAGE_3, (), (), "New").figures) == STAGE_3.meter.beats


def test_one_page_a_pupil(tmp_path: Path) -> None:
    """Three pupils are three pages, each headed by a name, with all four parts, as poppler reads them."""
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's programs are not installed")
    path = tmp_path / "class.pdf"
    path.write_bytes(pupils_report([page(name) for name in ("Wren", "Ash", "Hazel")], "Blue Room", NOW))
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    texts = done.stdout.split("\f")[:-1]
    assert [text.strip().split("\n")[0] for text in texts] == ["Wren", "Ash", "Hazel"]
    for text in texts:
        places = [text.index(part) for part in ("What holds", "What is mixed up", "This week", "By heart")]
        assert places == sorted(places)
        assert f"{WEAK} was taken for 1 e &, in 100% of the answers" in text
    assert figure(WEAK) in page().bar.figures
