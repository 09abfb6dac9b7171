"""Printed pages: whole, the same each time, and readable by another program."""

import re
import shutil
import subprocess
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path

import pytest

from game.engraving import A4_WIDTH
from game.engraving.palette import BLACK, Palette
from game.engraving.pdf import PdfPage
from game.learning import Answer
from game.reports.chart_report import READABLE, chart_pages, chart_report
from game.reports.class_report import class_report
from game.reports.exam_report import exam_report
from game.reports.plan_report import plan_report
from game.reports.sheet import MARGIN, PrintedSheet
from game.sessions.exam.exam import ExamSession
from game.sessions.exam.result import result_of
from game.sessions.lesson.summary import TeamSummary, summarise
from game.sessions.playing.calls import NUMBERS, calling_ways, drawn_calls, rest_bars
from game.sessions.playing.replies import ReplyRule, replies_chart, reply_picked
from game.sessions.progress.plan import plan_for
from game.wording import day_words, local_day
from shared.forms import FORMS, drawn
from shared.levels import Level, shipped_levels, spelling_in
from shared.notation.engraved import Layout
from shared.notation.page import PLAIN, lay_out_figure
from shared.orchestration import Setting
from tests.sampling import some
from tests.sessions.lessons import NOW, STAGE_3, answer

MIXED = [
    answer("1 e &", said, NOW + 60 * k, share, kind="class")
    for k in range(4)
    for said, share in (("1 & a", 0.75), ("1 e &", 0.25))
]
OUTLOOK = ("In an exam like this one, today, you would pass in about 7 tries of 10.",)

LEVELS = tuple(reversed(shipped_levels()))
"""The last stages first: their many figures fill a page soonest, and the suite takes the first of each row."""


def named(what: Level | int) -> str:
    """The name, in a case, of a level or a number."""
    return what.name if isinstance(what, Level) else str(what)


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
    "exam": (exam, ["Mock exam: Wren", "25%. 10 of 40 beats right: below the pass mark.", *OUTLOOK, "Beat by beat"]),
    "lesson": (
        lambda: lesson(MIXED),
        ["Brook: 3 of 4 right.", "1 e & was taken for 1 & a, by 75% in 4 beats.", "Next lesson"],
    ),
    "plan": (
        plan,
        [
            "Practice plan: Wren",
            "Side by side, 3 minutes",
            "Every stroke on the snare drum; up to 60 beats a minute.",
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


@pytest.mark.parametrize("level", some(3, LEVELS), ids=named)
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
    """Eighty lines take more than a page: the next says whose it is, and what its columns are."""
    sheet = PrintedSheet("Mock exam: Wren")
    sheet.table(("Bar", "Heard"), (20.0, 60.0), [(str(number), "1 e & a") for number in range(80)])
    _, *others = pages(sheet.bytes(), tmp_path)
    assert others
    for number, page in enumerate(others, 2):
        assert " ".join(page.split()).startswith(f"Mock exam: Wren, page {number} Bar Heard")


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


@dataclass
class Drawn:
    """Pages that note what is painted on them; every letter is half as wide as it is high."""

    painted: list[tuple[float, float]] = field(default_factory=list)
    spaces: list[float] = field(default_factory=list)
    count: int = 0
    lines: list[str] = field(default_factory=list)
    size: float = 1.0

    def add_page(self) -> None:
        self.count += 1

    def pen(self, ink: str, width: float) -> None: ...
    def line(self, x1: float, y1: float, x2: float, y2: float) -> None: ...
    def rect(self, x: float, y: float, w: float, h: float) -> None: ...

    def paint(self, layout: Layout, left: float, line: float, space: float, palette: Palette = BLACK) -> None:  # noqa: ARG002
        self.painted.append((left, left + layout.width * space))
        self.spaces.append(space)

    def say(self, text: str, *_: float, **__: bool) -> None:
        self.lines.append(text)

    def set_type(self, size: float, bold: bool = True) -> None:  # noqa: ARG002
        self.size = size

    def wide(self, text: str) -> float:
        return len(text) * self.size / 2


def test_no_paragraph_ends_in_a_word_or_two() -> None:
    """The last line fills a quarter of its width at least, however many words there are; nothing is lost."""
    words = (
        "Keep it quiet enough to talk over. If your hands, wrists or ears hurt, stop; if that goes on, see a doctor."
    )
    for many in range(2, len(words.split()) + 1):
        page = Drawn()
        sheet = PrintedSheet("", page=page)
        text = " ".join(words.split()[:many])
        page.lines.clear()
        sheet.text(text, width=60)
        assert " ".join(page.lines) == text
        assert all(page.wide(line) <= 60 for line in page.lines)
        assert len(page.lines) == 1 or page.wide(page.lines[-1]) >= 15


def test_two_long_figures_stay_within_the_margin() -> None:
    """Beside the sentence on a mix-up, in every level, the longest two."""
    for level in shipped_levels():
        longest = max(level.figures, key=lambda one: lay_out_figure(one, spelling_in(level, one)).width)
        page = Drawn()
        PrintedSheet("", page=page).taken(level, longest, longest, "twice")
        assert len(page.painted) == 2
        assert max(right for _, right in page.painted) <= A4_WIDTH - MARGIN + 0.01


@pytest.mark.parametrize(("number", "level"), some(3, NUMBERS, LEVELS), ids=named)
def test_calls_and_answers_are_printed_to_be_read(level: Level, number: int) -> None:
    """Four calls stand on one page at the size of small print, and eight on two at most, whatever their notes."""
    tempo = float(level.tempo.low)
    setting = Setting(tempo=tempo, seed=3, landing=True)
    calls = drawn_calls(level.meter, level.figures, number, setting, calling_ways(level))
    replies = [reply_picked(call, call.figures, ReplyRule.SAME, level.figures) for call in calls]
    page = Drawn()
    chart_pages(replies_chart(replies, rest_bars(level.meter, tempo)), setting, "Calls", "Wren", PLAIN, page)
    assert page.count <= number // 4
    assert min(page.spaces) >= READABLE
    assert len(page.painted) == 3 * number
    assert max(right for _, right in page.painted) <= A4_WIDTH - MARGIN + 0.01


def pages(data: bytes, folder: Path) -> list[str]:
    """The words of each page of a PDF."""
    path = folder / "page.pdf"
    path.write_bytes(data)
    return (
        subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True)
        .stdout.decode()
        .split("\f")[:-1]
    )


@needs_reader
@pytest.mark.parametrize(("days", "level"), some(7, [0, 9, 16], LEVELS), ids=named)
def test_a_step_of_a_plan_is_never_torn(level: Level, days: int, tmp_path: Path) -> None:
    """Each page holds whole steps: none begins with the figures or the words of the one before."""
    pairs = list(zip(level.figures, level.figures[1:], strict=False))[:5]
    answers = [replace(answer(a.count, b.count, NOW + 60 * k), level=level.name) for k in range(4) for a, b in pairs]
    exam = local_day(NOW) + timedelta(days=days) if days else None
    plan = plan_for(level, answers, NOW + 600, 25, exam)
    first, *others = pages(plan_report(plan, "Wren", NOW), tmp_path)
    assert "Your teacher's advice comes before this plan." in first
    for page in others:
        head, body, *_ = [line.strip() for line in page.splitlines() if line.strip()]
        assert head.startswith("Practice plan: Wren, page ")
        assert re.match(r"\d\. ", body)


@needs_reader
@pytest.mark.parametrize("level", some(5, LEVELS), ids=named)
def test_a_lesson_and_an_exam_fit_a_page(level: Level, tmp_path: Path) -> None:
    """With as many mix-ups as are shown; every wrong answer of the exam stands beside what was heard."""
    pairs = list(zip(level.figures, level.figures[1:], strict=False))
    answers = [
        replace(answer(a.count, b.count, NOW + 60 * k, kind="class"), level=level.name)
        for k in range(4)
        for a, b in pairs
    ]
    summary = summarise(level, answers, answers, NOW + 600, [TeamSummary("Brook", 3, 4), TeamSummary("Hill", 2, 4)])
    assert len(pages(class_report(summary, "Millrace Drum Room", level, NOW), tmp_path)) == 1
    session, wrong = ExamSession(level, 3), 0
    for _ in session.paper:
        session.play()
        for place, figure in enumerate(session.question.asked_figures):
            other = level.figures[(level.figures.index(figure) + 1) % len(level.figures)]
            session.pick(place, other if place == 0 else figure)
            wrong += place == 0
        session.hand_in(NOW)
    (page,) = pages(exam_report(result_of(session.rules, session.detail), "Wren", level, NOW, OUTLOOK), tmp_path)
    assert page.split("Beat by beat")[1].count("said ") - 1 == wrong
