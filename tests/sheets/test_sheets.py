"""Worksheets: pages and sound for a class, the same for the same seed."""

import errno
import io
import os
import re
import shutil
import subprocess
import wave
from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import music21
import numpy as np
import pytest

from audio.kit import Bank
from game.engraving import A4_HEIGHT
from game.engraving.palette import BLACK, Palette
from game.learning import Answer
from game.sessions.letters import LETTERS
from game.sessions.paper.worksheet import Worksheet, class_pairs
from game.sheets import SheetError, draw_sheet_chart, sheet_pages, write_chart, write_sheet
from game.sheets.pages import draw_sheet
from game.sheets.sound import sheet_tracks, sign, starts, whole_sheet
from shared.files import FileError
from shared.levels import Level, find_level, shipped_levels
from shared.notation.engraved import Layout
from shared.orchestration import arrange
from tests.sampling import some

LEVEL = find_level("stage-6")


@pytest.fixture(scope="module")
def bank() -> Bank:
    """One bank of sounds for all."""
    return Bank()


def frames(data: bytes) -> int:
    with wave.open(io.BytesIO(data)) as file:
        return file.getnframes()


def sheet(seed: int = 0, bars: int = 2, **more: Any) -> Worksheet:
    return Worksheet(LEVEL, bars, seed, **more)


def test_pages_and_sound_stand_side_by_side(tmp_path: Path) -> None:
    """A sheet is a PDF, and a WAV of the same name beside it."""
    pages, sound = write_sheet(sheet(), tmp_path / "Rowan.pdf")
    assert {path.name for path in tmp_path.iterdir()} == {"Rowan.pdf", "Rowan.wav"}
    assert pages.read_bytes()[:5] == b"%PDF-"
    assert sound.read_bytes()[:4] == b"RIFF"


def test_each_bar_has_a_track_when_asked_for(tmp_path: Path) -> None:
    """The tracks are numbered in the order of the bars; the whole file is the tracks with their signs."""
    _, whole, *tracks = write_sheet(sheet(), tmp_path / "Rowan.pdf", tracks=True)
    assert [path.name for path in tracks] == ["Rowan-01.wav", "Rowan-02.wav"]
    alone = sum(frames(path.read_bytes()) for path in tracks)
    assert frames(whole.read_bytes()) == alone + 2 * round(2.6 * 48000)


def test_same_choice_same_sheet(bank: Bank) -> None:
    """The same choice gives every byte again; another seed asks other bars."""
    assert sheet_pages(sheet(7)) == sheet_pages(sheet(7))
    one, other = (sheet_tracks(sheet(7).questions(), maker) for maker in (bank, Bank()))
    assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))
    assert sheet(8).questions() != sheet(7).questions()


def test_each_bar_is_played_twice(bank: Bank) -> None:
    """A track is both hearings, of the very same sound, and the pauses between and after them."""
    (question,) = sheet(1, 1).questions()
    (track,) = sheet_tracks((question,), bank)
    seconds = arrange(question.bar, replace(question.setting, count_in=True)).seconds
    assert len(track) / 48000 == pytest.approx(2 * seconds + 2.0 + 5.0, abs=0.001)
    second = round((seconds + 2.0) * 48000)
    length = round(seconds * 48000)
    rung_out = np.abs(track[:length].astype(int) - track[second : second + length]).max()
    assert rung_out < 0.02 * np.abs(track).max()


def test_times_of_the_key_are_those_of_the_sound(bank: Bank) -> None:
    """Where the answer key says that a bar is announced, the sign begins after silence."""
    questions = sheet(3, 3).questions()
    whole = whole_sheet(sheet_tracks(questions, bank))[:, 0]
    for at in starts(questions):
        place = round(at * 48000)
        assert np.abs(whole[max(0, place - 24000) : place]).max(initial=0) < 200
        assert np.array_equal(whole[place : place + len(sign())], sign()[:, 0])


def test_sign_is_no_stroke() -> None:
    """What announces a bar rises for half a second at least and has no attack; a stroke is there within 10 ms.

    An attack below about 20 ms is what makes a sound percussive (common practice, no source).
    """
    loud = np.abs(sign()[:, 0].astype(float))
    blocks = np.array([block.max() for block in np.array_split(loud, 40)])
    peak = int(blocks.argmax())
    assert peak * 1.6 / 40 >= 0.5
    assert (np.diff(blocks[: peak + 1]) > -0.02 * blocks.max()).all()
    assert (np.diff(blocks[peak:]) < 0.02 * blocks.max()).all()
    assert blocks.max() < 0.2 * 32767


@pytest.mark.parametrize("questions", [0, -3, 41])
def test_number_of_bars_has_bounds(tmp_path: Path, questions: int) -> None:
    """A number that no sheet has is refused in one line, and nothing is written."""
    with pytest.raises(SheetError, match="choose from 1 to 40"):
        write_sheet(sheet(bars=questions), tmp_path / "x.pdf")
    assert list(tmp_path.iterdir()) == []


def test_other_endings_are_refused(tmp_path: Path) -> None:
    """A sheet is a PDF and nothing else."""
    with pytest.raises(SheetError, match=r"a sheet is a \.pdf"):
        write_sheet(sheet(), tmp_path / "x.doc")


def test_missing_folder_is_one_line(tmp_path: Path) -> None:
    """A folder that is not there is named, and nothing is written."""
    with pytest.raises(FileError, match="there is no folder"):
        write_sheet(sheet(), tmp_path / "nowhere" / "x.pdf")


def test_sound_that_fails_leaves_no_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a sheet is none: where the sound cannot be written there are no pages either."""
    synced: list[int] = []

    def fill_up(number: int) -> None:
        synced.append(number)
        if len(synced) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", fill_up)
    with pytest.raises(FileError, match="disk is full"):
        write_sheet(sheet(), tmp_path / "Hazel.pdf")
    assert list(tmp_path.iterdir()) == []


@dataclass
class Drawn:
    """Takes down what is drawn: for each page the layouts with their left edge, line and staff space."""

    pages: list[list[tuple[Layout, float, float, float]]] = field(default_factory=list)
    words: list[list[tuple[str, float]]] = field(default_factory=list)

    def add_page(self) -> None:
        self.pages.append([])
        self.words.append([])

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:  # noqa: ARG002
        self.pages[-1].append((layout, left, line, space))

    def say(self, text: str, x: float, y: float, *_size: object, **_type: object) -> None:
        assert 0 < x < 210
        self.words[-1].append((text, y))

    def pen(self, *_pen: object) -> None: ...

    def set_type(self, size: float, bold: bool = True) -> None: ...

    def wide(self, text: str) -> float:
        return len(text) * 2.0

    def line(self, *_ends: float) -> None: ...

    def rect(self, x: float, y: float, w: float, h: float) -> None:
        assert 0 <= x <= x + w <= 210
        assert 0 <= y <= y + h <= A4_HEIGHT


def drawn(chosen: Worksheet) -> Drawn:
    pages = Drawn()
    draw_sheet(chosen, pages)
    return pages


def bars_of(page: list[tuple[Layout, float, float, float]]) -> list[tuple[Layout, float, float, float]]:
    """The bars among what is on a page: they have a bar line, as tall as the staff is wide."""
    return [one for one in page if len(one[0].beats) > 1]


def test_bar_lines_stand_under_each_other() -> None:
    """Whatever their figures, the bars of a page are equally wide."""
    for page in drawn(sheet(3, 12)).pages:
        assert len({round(layout.width, 6) for layout, *_ in bars_of(page)}) <= 1


@pytest.mark.parametrize(("bars", "name"), some(2, [6, 10, 17, 33], ["stage-1", "stage-5", "stage-8"]))
def test_sheet_fills_its_pages(name: str, bars: int) -> None:
    """The bars reach down to the last fifth of each page, and no page holds one bar where another holds many."""
    found = drawn(Worksheet(find_level(name), bars))
    kinds = ["answers" in said[0][0] for said in found.words]
    for key in (False, True):
        pages = [bars_of(page) for page, is_key in zip(found.pages, kinds, strict=True) if is_key == key]
        pages = [page for page in pages if page]
        assert sum(map(len, pages)) == bars
        counts = [len(page) for page in pages]
        # A row of two more or less, and the last row may be half full.
        assert max(counts) - min(counts) <= 3
        if bars > 6:
            assert all(max(line for _, _, line, _ in page) > 0.72 * A4_HEIGHT for page in pages[:-1] or pages)
        for page in pages:
            for layout, left, line, space in page:
                assert 10 <= left + layout.width * space <= 197
                assert 20 <= line + layout.top * space
                assert line + layout.bottom * space <= 285


def test_every_page_says_which_of_how_many() -> None:
    """Level, seed and the number of the page stand on each, cards and answers too, as loose pages get mixed up."""
    found = drawn(sheet(5, 40, pupils=3))
    total = len(found.pages)
    feet = [said[-1][0] for said in found.words]
    assert feet == [f"{LEVEL.name}, 40 bars, seed 5. Page {page} of {total}" for page in range(1, total + 1)]


def test_versions_ask_the_same_bars_under_other_letters() -> None:
    """Neighbours hear the same bars; no figure has the same letter on two sheets."""
    three = sheet(versions=3)
    a, b, c = (three.letters(version) for version in range(3))
    assert all(len({a[figure], b[figure], c[figure]}) == 3 for figure in LEVEL.figures)
    assert a == dict(zip(LEVEL.figures, LETTERS, strict=False))
    assert sorted(b.values()) == sorted(a.values())


def test_two_figures_make_two_versions() -> None:
    """A level of two figures has but two ways of lettering: a third version comes about all the same."""
    two = replace(find_level("stage-1"), figures=find_level("stage-1").figures[:2])
    found = [Worksheet(two, 2, versions=3).letters(version) for version in range(3)]
    assert found[0] != found[1]
    assert all(sorted(letters.values()) == ["A", "C"] for letters in found)


def test_mix_ups_of_a_class_come_first() -> None:
    """The first bars hold just the pairs that the class mixes up, both figures in each; the rest holds everything."""
    one, other = LEVEL.figures[2], LEVEL.figures[5]
    rows = [
        Answer(1000.0 + k, LEVEL.name, "4/4", "1 2 3 4", 0, one.count, other.count, None, "snare", 60.0, kind="class")
        for k in range(3)
    ]
    pairs = class_pairs(LEVEL, rows, 2000.0)
    assert pairs == ((one, other),)
    asked = [set(question.asked_figures) for question in sheet(4, 10, pairs=pairs, orchestration="snare").questions()]
    assert asked[:2] == [{one, other}] * 2
    assert set().union(*asked[2:]) == set(LEVEL.figures)


def test_tempo_and_way_hold_for_all_bars() -> None:
    """What was chosen in place of the level's own is said of each bar in the answer key."""
    chosen = sheet(2, 6, tempo=66.0, orchestration="snare")
    assert {(q.setting.tempo, q.setting.orchestration) for q in chosen.questions()} == {(66.0, "snare")}
    key = next(said for said in drawn(chosen).words if "answers" in said[0][0])
    assert sum(words.startswith("66 a minute, snare") for words, _ in key) == 6


def test_figures_without_counts() -> None:
    """Without counts neither key nor cards spell a figure out; the answers do."""
    found = drawn(sheet(counts=False))
    figures = [layout for page in found.pages for layout, *_ in page if len(layout.beats) == 1]
    assert figures
    assert not any(layout.words for layout in figures)


@pytest.mark.parametrize(("pupils", "name"), [(1, "stage-1"), (30, "stage-1"), (7, "stage-5"), (2, "stage-8")])
def test_each_pupil_has_a_set_of_cards(pupils: int, name: str) -> None:
    """There are as many cards of each figure as pupils."""
    chosen = Worksheet(find_level(name), 1, pupils=pupils)
    pages = [page for page in drawn(chosen).pages if not bars_of(page)]
    cards = [layout.label for page in pages for layout, *_ in page]
    assert Counter(cards) == dict.fromkeys((figure.count for figure in chosen.level.figures), pupils)


def read(folder: Path, questions: int) -> list[str]:
    """What poppler reads on each page of a sheet."""
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's programs are not installed")
    path = folder / "sheet.pdf"
    path.write_bytes(sheet_pages(sheet(7, questions)))
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    return done.stdout.split("\f")[:-1]


@pytest.fixture(scope="module")
def page_texts(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The pages of a sheet of twelve bars."""
    return read(tmp_path_factory.mktemp("sheet"), 12)


def key_pages(texts: list[str]) -> list[str]:
    return [text for text in texts if ": answers" in text]


def test_answers_have_pages_of_their_own(page_texts: list[str]) -> None:
    """The first page asks and does not tell; the next one tells."""
    assert "Name" in page_texts[0]
    assert "answers" not in page_texts[0]
    assert page_texts[1].lstrip().startswith(f"{LEVEL.title}: answers")


def test_every_page_to_fill_in_takes_a_name(tmp_path: Path) -> None:
    """Loose pages find their pupil again, and the mark is out of the number of boxes."""
    pages = read(tmp_path, 30)
    to_fill_in = pages[: next(place for place, text in enumerate(pages) if ": answers" in text)]
    boxes = sum(len(question.asked) for question in sheet(7, 30).questions())
    assert len(to_fill_in) > 1
    assert all("Name" in text and f"/ {boxes}" in text for text in to_fill_in)


def test_groove_before_a_bar_is_told(page_texts: list[str]) -> None:
    """A pupil can know how many bars of groove come before the bar to write down; so can the teacher."""
    grooves = [question.setting.groove_bars for question in sheet(7, 12).questions() if question.setting.groove_bars]
    for text in (page_texts[0], " ".join(key_pages(page_texts))):
        found = re.findall(r"\bgroove (\d)", text.replace("Groove 1, groove 2 and so on", ""))
        assert sorted(map(int, found)) == sorted(grooves)


def test_letters_answer_the_bars(page_texts: list[str]) -> None:
    """The answer key shows the letter of each asked beat, in order."""
    letters = dict(zip(LEVEL.figures, LETTERS, strict=False))
    expected = [letters[figure] for question in sheet(7, 12).questions() for figure in question.asked_figures]
    found = [word for word in " ".join(key_pages(page_texts)).split() if len(word) == 1 and word.isupper()]
    assert sorted(found) == sorted(expected)


def test_every_figure_has_a_card(page_texts: list[str]) -> None:
    """There is one card for each figure of the level, with its letter."""
    words = " ".join(page_texts[1 + len(key_pages(page_texts)) :]).split()
    letters = LETTERS[: len(LEVEL.figures)]
    assert sorted(word for word in words if len(word) == 1 and word.isupper()) == sorted(letters)


@pytest.mark.parametrize("level", some(5, shipped_levels()), ids=lambda level: level.name)
def test_every_level_makes_a_sheet(level: Level) -> None:
    """Every shipped level, the longest sheet in three versions: nothing leaves a page, and notes can be read.

    A staff space under 1.1 mm is too small to be read at a desk (Gould, Behind Bars, 2011, "Stave size": single
    parts from about 1.5 mm; from memory).
    """
    found = drawn(Worksheet(level, 40, 3, versions=3))
    spaces = [space for page in found.pages for *_, space in page]
    assert min(spaces) >= 1.1


@pytest.mark.parametrize("level", some(5, shipped_levels()), ids=lambda level: level.name)
def test_ten_bars_of_a_chart_fit_one_page(level: Level) -> None:
    """With their grooves, on staves of one size that are read at a music stand, inside the margins, none over another.

    The least is a staff space of 1.3 mm: music printed small (common practice, no source).
    """
    pages = Drawn()
    draw_sheet_chart(Worksheet(level, 10, 2), pages)
    (page,) = pages.pages
    assert len(page) == 20
    (space,) = {space for *_, space in page}
    assert 1.3 <= space <= 2.0
    lines: dict[float, list[tuple[float, float, float, float]]] = {}
    for layout, left, line, _ in page:
        edges = left, left + layout.width * space, line + layout.top * space, line + layout.bottom * space
        lines.setdefault(line, []).append(edges)
    assert all(len(line) == 2 for line in lines.values())
    for (left, middle, *_), (start, right, *_) in lines.values():
        assert (left, middle, right) == pytest.approx((16.0, start, 194.0), abs=0.1)
    reaches = [(min(top for *_, top, _ in line), max(low for *_, low in line)) for line in lines.values()]
    assert all(low < top for (_, low), (top, _) in pairwise(reaches))
    assert reaches[-1][1] < A4_HEIGHT - 16


def test_a_long_chart_goes_on_to_more_pages() -> None:
    """Eighteen bars stand on two pages, nine lines each, on staves of one size that is read with ease."""
    pages = Drawn()
    draw_sheet_chart(Worksheet(LEVEL, 18, 2), pages)
    assert [len(page) for page in pages.pages] == [18, 18]
    (space,) = {space for page in pages.pages for *_, space in page}
    assert space >= 1.6
    assert max(line + layout.bottom * space for page in pages.pages for layout, _, line, _ in page) < A4_HEIGHT - 16


@pytest.mark.parametrize("way", [None, "down-the-kit"])
def test_a_chart_holds_the_bars_of_the_sheet(way: str | None, tmp_path: Path) -> None:
    """music21 reads them back: groove, then each bar with its own onsets, both between repeat signs."""
    sheet = Worksheet(LEVEL, 3, seed=4, orchestration=way, counts=False)
    page, score = write_chart(sheet, tmp_path / "chart.pdf")
    part = music21.converter.parse(score).parts[0]
    measures = list(part.getElementsByClass(music21.stream.Measure))
    heard = list(part.expandRepeats().getElementsByClass(music21.stream.Measure))
    assert (len(measures), len(heard)) == (6, 12)
    beat = LEVEL.meter.crotchets_in_beat
    for question, measure in zip(sheet.questions(), measures[1::2], strict=True):
        found = {Fraction(note.offset).limit_denominator(96) for note in measure.flatten().notes}
        onsets = {place: question.bar.figures[place].onsets for place in question.asked}
        for place, own in onsets.items():
            there = {(at - place * beat) / beat for at in found if place * beat <= at < (place + 1) * beat}
            assert there == set(own)
    assert all(measure.flatten().notes for measure in measures[::2])
    assert page.read_bytes().startswith(b"%PDF-")
