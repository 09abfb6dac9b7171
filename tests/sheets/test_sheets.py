"""Worksheets: pages and sound for a class, the same for the same seed."""

import errno
import io
import os
import re
import shutil
import subprocess
import wave
from pathlib import Path

import numpy as np
import pytest

from audio.kit import Bank
from game.sessions.exam.paper import draw_paper
from game.sheets import SheetError, write_sheet
from game.sheets.pages import _alike, _Sheet, sheet_pages
from game.sheets.sound import number_in_strokes, sheet_sound
from shared.files import FileError
from shared.levels import Level, find_level, shipped_levels
from shared.orchestration import arrange

LEVEL = find_level("stage-6")


@pytest.fixture(scope="module")
def bank() -> Bank:
    """One bank of sounds for all."""
    return Bank()


def frames(data: bytes) -> int:
    with wave.open(io.BytesIO(data)) as file:
        return file.getnframes()


def test_pages_and_sound_stand_side_by_side(tmp_path: Path) -> None:
    """A sheet is a PDF, and a WAV of the same name beside it."""
    pages, sound = write_sheet(LEVEL, tmp_path / "Rowan.pdf", questions=2)
    assert {path.name for path in tmp_path.iterdir()} == {"Rowan.pdf", "Rowan.wav"}
    assert pages.read_bytes()[:5] == b"%PDF-"
    assert sound.read_bytes()[:4] == b"RIFF"


def test_same_seed_same_sheet(bank: Bank) -> None:
    """Level, number and seed settle every byte; another seed asks other bars."""
    paper = draw_paper(LEVEL, 7, 3)
    assert sheet_pages(LEVEL, paper, 7) == sheet_pages(LEVEL, draw_paper(LEVEL, 7, 3), 7)
    assert sheet_sound(paper, bank) == sheet_sound(paper, Bank())
    assert draw_paper(LEVEL, 8, 3) != paper


def test_each_bar_is_played_twice(bank: Bank) -> None:
    """The sound is as long as its numbers, both hearings and the pauses between them."""
    paper = draw_paper(LEVEL, 1, 2)
    data = sheet_sound(paper, bank)
    playing = sum(2 * arrange(question.bar, question.setting).seconds for question in paper)
    counting = sum(number_in_strokes(number).seconds for number in (1, 2))
    pauses = 2 * (1.0 + 2.0 + 5.0)
    assert frames(data) / 48000 >= playing + counting + pauses


def test_hearings_are_alike(bank: Bank) -> None:
    """After the gap comes the very same bar again."""
    paper = draw_paper(LEVEL, 1, 1)
    with wave.open(io.BytesIO(sheet_sound(paper, bank))) as file:
        assert file.getnchannels() == 1
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    sounding = np.flatnonzero(np.abs(samples) > 200)
    breaks = np.flatnonzero(np.diff(sounding) > 48000 * 1.5)
    first, second = sounding[np.searchsorted(sounding, sounding[breaks[-1]]) + 1], None
    length = sounding[-1] - first
    second = samples[first : first + length]
    earlier = np.flatnonzero(samples[: first - length // 2] == second[0])
    assert any(np.array_equal(samples[place : place + length], second) for place in earlier)


@pytest.mark.parametrize(("number", "low", "high"), [(1, 0, 1), (4, 0, 4), (5, 1, 0), (7, 1, 2), (40, 8, 0)])
def test_numbers_are_struck_in_fives_and_ones(number: int, low: int, high: int) -> None:
    """A low drum counts five and a stick one."""
    drums = [stroke.instrument for stroke in number_in_strokes(number).strokes]
    assert drums == ["floor-tom"] * low + ["sticks"] * high


@pytest.mark.parametrize("questions", [0, -3, 41])
def test_number_of_bars_has_bounds(tmp_path: Path, questions: int) -> None:
    """A number that no sheet has is refused in one line, and nothing is written."""
    with pytest.raises(SheetError, match="choose from 1 to 40"):
        write_sheet(LEVEL, tmp_path / "x.pdf", questions)
    assert list(tmp_path.iterdir()) == []


def test_other_endings_are_refused(tmp_path: Path) -> None:
    """A sheet is a PDF and nothing else."""
    with pytest.raises(SheetError, match=r"a sheet is a \.pdf"):
        write_sheet(LEVEL, tmp_path / "x.doc")


def test_missing_folder_is_one_line(tmp_path: Path) -> None:
    """A folder that is not there is named, and nothing is written."""
    with pytest.raises(FileError, match="there is no folder"):
        write_sheet(LEVEL, tmp_path / "nowhere" / "x.pdf", 1)


def test_sound_that_fails_leaves_no_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a sheet is none: where the sound cannot be written there are no pages either."""
    synced: list[int] = []

    def fill_up(number: int) -> None:
        synced.append(number)
        if len(synced) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", fill_up)
    with pytest.raises(FileError, match="disk is full"):
        write_sheet(LEVEL, tmp_path / "Hazel.pdf", 1)
    assert list(tmp_path.iterdir()) == []


def test_bar_lines_stand_under_each_other() -> None:
    """Whatever their figures, the bars of a page are equally wide."""
    sheet = _Sheet(LEVEL, draw_paper(LEVEL, 3, 12), 3)
    assert sheet.bytes()
    widths = {layout.width for layout in _alike(sheet._full, sheet.paper)}
    assert len({sheet._full(question, 0.0).width for question in sheet.paper}) > 1
    assert len(widths) == 1


def read(folder: Path, questions: int) -> list[str]:
    """What poppler reads on each page of a sheet."""
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's programs are not installed")
    path = folder / "sheet.pdf"
    path.write_bytes(sheet_pages(LEVEL, draw_paper(LEVEL, 7, questions), 7))
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    return done.stdout.split("\f")[:-1]


@pytest.fixture(scope="module")
def page_texts(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The pages of a sheet of twelve bars."""
    return read(tmp_path_factory.mktemp("sheet"), 12)


def test_answers_have_pages_of_their_own(page_texts: list[str]) -> None:
    """The first page asks and does not tell; the next one tells."""
    assert "Name" in page_texts[0]
    assert "answers" not in page_texts[0]
    assert page_texts[1].lstrip().startswith(f"{LEVEL.title}: answers")


def test_every_page_to_fill_in_takes_a_name(tmp_path: Path) -> None:
    """Loose pages find their pupil again, and the mark is out of the number of boxes."""
    pages = read(tmp_path, 30)
    to_fill_in = pages[: next(place for place, text in enumerate(pages) if ": answers" in text)]
    boxes = sum(len(question.asked) for question in draw_paper(LEVEL, 7, 30))
    assert len(to_fill_in) > 1
    assert all("Name" in text and f"/ {boxes}" in text for text in to_fill_in)


def test_groove_before_a_bar_is_told(page_texts: list[str]) -> None:
    """A pupil can know how many bars of groove come before the bar to write down; so can the teacher."""
    grooves = [question.setting.groove_bars for question in draw_paper(LEVEL, 7, 12) if question.setting.groove_bars]
    for text in page_texts[:2]:
        found = re.findall(r"\bgroove (\d)", text.replace("Groove 1, groove 2 and so on", ""))
        assert sorted(map(int, found)) == sorted(grooves)


def test_letters_answer_the_bars(page_texts: list[str]) -> None:
    """The answer key shows the letter of each asked beat, in order."""
    letters = dict(zip(LEVEL.figures, "ABCDEFGHIJKLMNOPQRSTUVWX", strict=False))
    expected = [letters[figure] for question in draw_paper(LEVEL, 7, 12) for figure in question.asked_figures]
    found = [word for word in page_texts[1].split() if len(word) == 1 and word.isupper()]
    assert sorted(found) == sorted(expected)


def test_every_figure_has_a_card(page_texts: list[str]) -> None:
    """There is one card for each figure of the level, with its letter."""
    words = " ".join(page_texts[2:]).split()
    assert sorted(word for word in words if word.isupper()) == sorted("ABCDEFGHIJKLMNOPQRSTUVWX"[: len(LEVEL.figures)])


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_every_level_makes_a_sheet(level: Level) -> None:
    """Every shipped level, the longest sheet: pages come about and hold more than one page."""
    assert sheet_pages(level, draw_paper(level, 3, 40), 3).count(b"/Type /Page\n") >= 4
