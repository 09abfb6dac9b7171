"""Printed pages: whole, the same each time, and readable by another program."""

import shutil
import subprocess
from pathlib import Path

import pytest

from game.engraving.pdf import PdfPage
from game.learning import Answer
from game.reports.chart_report import chart_report
from game.reports.class_report import class_report
from game.reports.exam_report import exam_report
from game.reports.plan_report import plan_report
from game.reports.sheet import PrintedSheet
from game.sessions.exam.exam import ExamSession
from game.sessions.exam.result import result_of
from game.sessions.lesson.summary import TeamSummary, summarise
from game.sessions.progress.plan import plan_for
from game.wording import day_words
from shared.forms import FORMS, drawn
from shared.levels import shipped_levels
from shared.orchestration import Setting
from tests.sampling import some
from tests.sessions.lessons import NOW, STAGE_3, answer

MIXED = [
    answer("1 e &", said, NOW + 60 * k, share, kind="class")
    for k in range(4)
    for said, share in (("1 & a", 0.75), ("1 e &", 0.25))
]
OUTLOOK = ("In an exam like this one, today, you would pass in about 7 tries of 10.",)


def exam() -> bytes:
    session = ExamSession(STAGE_3, 3)
    for _ in session.paper:
        session.play()
        session.pick(0, session.question.asked_figures[0])
        session.hand_in(NOW)
    return exam_report(result_of(session.rules, session.detail), "Wren", STAGE_3, NOW, OUTLOOK)


def lesson(answers: list[Answer]) -> bytes:
    summary = summarise(STAGE_3, answers, answers, NOW + 600, [TeamSummary("Brook", 3, 4)])
    return class_report(summary, "Millrace Drum Room", STAGE_3, NOW)


def plan() -> bytes:
    return plan_report(plan_for(STAGE_3, MIXED, NOW + 600), "Wren", NOW)


def chart() -> bytes:
    drawn_chart = drawn(FORMS["sixteen bars"], STAGE_3.meter, STAGE_3.figures, 70, 2)
    return chart_report(drawn_chart, Setting(tempo=70), "A chart of sixteen bars", "Wren")


PAGES = {
    "chart": (chart, ["A chart of sixteen bars", "Wren, 70 beats a minute", "is played twice", "rest if a hand hurts"]),
    "exam": (exam, ["Mock exam: Wren", "10 of 40 beats right: 25%, below the pass mark.", *OUTLOOK, "Beat by beat"]),
    "lesson": (
        lambda: lesson(MIXED),
        ["Brook: 3 of 4 right.", "1 e & was taken for 1 & a, in 75% of the answers.", "Next lesson"],
    ),
    "plan": (
        plan,
        [
            "Practice plan: Wren",
            "Side by side, 3 minutes",
            "Every stroke on the snare drum; 60 beats a minute.",
            "Your teacher's advice comes before this plan.",
        ],
    ),
}


@pytest.mark.parametrize("name", PAGES)
def test_the_same_values_give_the_same_bytes(name: str) -> None:
    """A report printed twice is the same file."""
    make, _ = PAGES[name]
    assert make() == make()


def read(page: bytes, folder: Path) -> str:
    """The words of a PDF, as another program reads them."""
    path = folder / "page.pdf"
    path.write_bytes(page)
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True).stdout.decode()
    return " ".join(text.split())


needs_reader = pytest.mark.skipif(not shutil.which("pdftotext"), reason="needs pdftotext (poppler) to read the pages")


@needs_reader
@pytest.mark.parametrize("name", PAGES)
def test_another_program_reads_the_words(name: str, tmp_path: Path) -> None:
    """Poppler's pdftotext finds the sentences of each page."""
    make, words = PAGES[name]
    flat = read(make(), tmp_path)
    assert [phrase for phrase in words if phrase not in flat] == []
    assert "A box stands for" not in flat


@needs_reader
def test_a_lesson_without_mix_ups(tmp_path: Path) -> None:
    """Nothing collected makes a page too, and what comes next lesson is what the screen says, not a "then"."""
    words = read(lesson([]), tmp_path)
    assert "Next lesson A round of everything: no pair stands out yet." in words
    assert "Then a round" not in words


@pytest.mark.parametrize("level", some(3, shipped_levels()), ids=lambda level: level.name)
def test_every_level_has_a_plan_to_print(level: object) -> None:
    """A plan of any level, with up to 20 figures, is a page or two."""
    data = plan_report(plan_for(level, [], NOW, 25), "Wren", NOW)  # type: ignore[arg-type]
    assert 1 <= data.count(b"/Type /Page\n") <= 2


@needs_reader
def test_a_plan_takes_as_long_as_was_asked_for(tmp_path: Path) -> None:
    """Fifteen minutes are fifteen on paper too: thirteen of practice, and the break beside them."""
    pairs = (("1", "1 &"), ("1 e &", "1 & a"), ("(1) &", "1 e & a"))
    answers = [answer(heard, said, NOW + 60 * k) for k in range(6) for heard, said in pairs]
    data = plan_report(plan_for(STAGE_3, answers, NOW + 600, 15), "Wren", NOW)
    assert ", 13 minutes a day and a break of 2 " in read(data, tmp_path)


def test_long_text_goes_on_to_new_pages() -> None:
    """Text stays within the margins: a sheet grows by pages."""
    sheet = PrintedSheet("A long sheet")
    for _ in range(80):
        sheet.text("One line of many, which is long enough to be wrapped at the end of the line it stands in. " * 2)
        assert sheet.y < 297 - 16 + 1
    assert sheet.bytes().count(b"/Type /Page\n") > 2


def test_days_are_written_out() -> None:
    """A day for the reader has its month in letters."""
    assert " 1972" in day_words(NOW)


@needs_reader
def test_letters_that_the_type_lacks_are_told(tmp_path: Path) -> None:
    """A name in another script: the rest of it stands, and the foot of each such page says what the boxes are."""
    sheet = PrintedSheet("Practice plan: 小明 Wren")
    for _ in range(80):
        sheet.text("Zoë, Łukasz and Zoe\u0308 can be printed.")
    first, *others = read(sheet.bytes(), tmp_path).split("A box stands for a letter that this type does not have: ")
    assert "Practice plan:" in first
    assert "Wren" in first
    assert "Zoë, Łukasz and Zoë can be printed." in first
    # The name heads each further page as well.
    assert len(others) == sheet.bytes().count(b"/Type /Page\n")
    assert all(other.startswith("U+5C0F, U+660E.") for other in others)


@needs_reader
def test_greek_and_cyrillic_names_are_printed(tmp_path: Path) -> None:
    """Names in them stand on the page as they were written, and nothing tells of boxes."""
    text = read(PrintedSheet("Practice plan: Ελένη and Юлия Їжак").bytes(), tmp_path)
    assert "Practice plan: Ελένη and Юлия Їжак" in text
    assert "A box stands" not in text


@needs_reader
def test_a_long_table_has_its_heads_on_each_page(tmp_path: Path) -> None:
    """The forty beats of an exam take more than a page: the next says whose it is, and what its columns are."""
    path = tmp_path / "exam.pdf"
    path.write_bytes(exam())
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True).stdout.decode()
    pages = [" ".join(page.split()) for page in text.split("\f")[:-1]]
    assert len(pages) > 1
    for number, page in enumerate(pages[1:], 2):
        assert page.startswith(f"Mock exam: Wren, page {number} Bar Beat Heard Said ")


def test_each_letter_that_the_type_lacks_has_a_box(monkeypatch: pytest.MonkeyPatch) -> None:
    """Boxes take the place of the letters, in their order, and room on the line."""
    drawn: list[float] = []
    monkeypatch.setattr(PdfPage, "rect", lambda _self, x, *_: drawn.append(x))
    page = PdfPage("x")
    page.add_page()
    page.set_type(8)
    start, end = 20 + page.wide("Wren "), 20 + page.wide("Wren 小明")
    page.say("Wren 小明 Reed", 20, 20, 8)
    page.bytes()
    assert len(drawn) == 2
    assert start < drawn[0] < drawn[1] < end
